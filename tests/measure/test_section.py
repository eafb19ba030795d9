"""Weakest section. "row n" is row n of the check table."""

import math

import msgspec
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from filigree.errors import FiligreeError
from filigree.job import Job
from filigree.measure.pull import borders, direction
from filigree.measure.section import weakest
from filigree.plies.tooling import before_tooling
from tests.make.shapes import circle, pattern, rectangle, square_grid


def test_three_strands_side_by_side_add_up():
    """Row 61: strands of 2, 3 and 2.5 mm give 7.5, not the least bridge of 2."""
    strap = pattern(
        rectangle(20, 2, 40, 5), rectangle(20, 10, 40, 5), outline=shapely.box(0, 0, 100, 17.5)
    )
    found = weakest(strap, pull="long")
    assert found.width == pytest.approx(7.5, abs=1e-9)
    assert found.share == pytest.approx(7.5 / 17.5, abs=1e-9)


def test_square_plate_by_hand():
    """7 x 7 holes of 3 mm on 5 mm, 5 mm round them: 6 bars of 2 and 2 margins of 5 make 22."""
    plate = pattern(*[circle(x, y, 1.5, 1e-4) for x, y in square_grid(7, 7, 5)], margin=5)
    assert weakest(plate, pull="x").width == pytest.approx(22, abs=0.01)


def test_a_slanting_cut_beats_every_straight_one():
    """Two long slits in step: the least cut runs slantwise between their ends (closed form)."""
    strap = pattern(
        rectangle(0, 0, 40, 8), rectangle(43, 12, 40, 8), outline=shapely.box(-20, -2, 103, 22)
    )
    found = weakest(strap, pull="x")
    assert found.width == pytest.approx(2 + math.hypot(3, 4) + 2, abs=1e-9)


def test_an_uncut_piece_is_whole():
    found = weakest(pattern(circle(0, 0, 0.01), margin=20), pull="x")
    assert found.share > 0.999


def test_sides_of_a_strap_leave_out_its_straight_ends():
    found = borders(shapely.box(0, 0, 100, 20), np.array([1.0, 0.0]))
    one, other = found.sides
    assert found.notches == ()
    assert one.length == pytest.approx(100)
    assert other.length == pytest.approx(100)


LYING = [  # outline, unit vector of "long", by hand
    pytest.param(shapely.box(0, 0, 50, 50), (1, 0), id="a square is pulled level"),
    pytest.param(shapely.box(0, 0, 30, 50), (0, 1), id="upright"),
    pytest.param(circle(0, 0, 20, 0.01), (1, 0), id="a disc too"),
    pytest.param(
        affinity.rotate(shapely.box(0, 0, 100, 20), 30, origin=(0, 0)),
        (math.sqrt(3) / 2, 1 / 2),
        id="slanting",
    ),
]


@pytest.mark.parametrize(("outline", "unit"), LYING)
def test_the_long_way_of_a_piece(outline, unit):
    assert direction("long", outline) == pytest.approx(np.array(unit), abs=1e-6)


def test_section_and_stretch_go_by_one_direction():
    """A square face with a slit across: the weakest way across is that beside the slit, stretched along its pull."""
    square = pattern(shapely.box(20, 5, 22, 45), outline=shapely.box(0, 0, 50, 50))
    assert weakest(square, pull="long").width == pytest.approx(10)  # pulled level: 5 + 5 stay
    plate, _, _, said = before_tooling(
        square,
        square.outline,
        np.zeros((0, 2)),
        msgspec.convert({"cut": {"stretch_along": 1.1}}, Job),
    )
    left, top, right, bottom = plate.outline.bounds
    assert (right - left, bottom - top) == pytest.approx((50 / 1.1, 50))
    assert "left and right" in said


@pytest.mark.parametrize("pull", ["along", "", "nan", "inf"])
def test_a_direction_that_is_none_is_refused(pull):
    with pytest.raises(FiligreeError, match="pull"):
        direction(pull, shapely.box(0, 0, 2, 1))


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10_000), turn=st.floats(0, 360))
def test_no_straight_cut_is_weaker_and_turning_changes_nothing(seed, turn):
    rng = np.random.default_rng(seed)
    outline = shapely.box(0, 0, 100, 30)
    discs = [
        circle(x, y, rng.uniform(1, 4), 0.01) for x, y in rng.uniform([8, 6], [92, 24], (9, 2))
    ]
    holes = [h for k, h in enumerate(discs) if all(h.distance(o) > 0.1 for o in discs[:k])]
    found = weakest(pattern(*holes, outline=outline), pull="x")
    land = outline.difference(shapely.union_all(holes))
    cuts = shapely.linestrings([[[x, -1], [x, 31]] for x in np.linspace(1, 99, 197)])
    assert found.width <= shapely.length(shapely.intersection(land, cuts)).min() + 1e-6
    turned = pattern(
        *[affinity.rotate(h, turn, origin=(0, 0)) for h in holes],
        outline=affinity.rotate(outline, turn, origin=(0, 0)),
    )
    assert weakest(turned, pull=str(turn)).width == pytest.approx(found.width, abs=1e-6)
    assert sum(math.dist(a, b) for a, b in found.gaps) == pytest.approx(found.width)


@settings(max_examples=4, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_agrees_with_a_shortest_way_on_a_fine_grid(seed):
    """An independent method: every straight step between grid points up to 5 apart, on a 1 mm grid.

    A way on the grid is a cut, so it is never narrower; steps in 40 directions and holes rounded to the
    grid keep it within 3 % and 0.3 mm.
    """
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import dijkstra

    rng = np.random.default_rng(seed)
    outline, step = shapely.box(0, 0, 40, 16), 1.0
    discs = [
        circle(x, y, rng.uniform(1.5, 3), 0.01) for x, y in rng.uniform([5, 4], [35, 12], (6, 2))
    ]
    holes = [h for k, h in enumerate(discs) if all(h.distance(o) > 0.4 for o in discs[:k])]
    x, y = np.meshgrid(np.arange(41), np.arange(17))
    moves = [(a, b) for a in range(-5, 6) for b in range(6) if math.gcd(a, b) == 1]
    node = np.arange(x.size).reshape(x.shape)
    pairs = []
    for a, b in moves:
        here = (y + b < 17) & (x + a >= 0) & (x + a < 41)
        pairs.append(np.c_[node[here], node[(y + b)[here], (x + a)[here]]])
    rows, columns = np.concatenate(pairs).T
    place = np.c_[x.ravel(), y.ravel()] * step
    steps = shapely.linestrings(np.stack([place[rows], place[columns]], axis=1))
    land = outline.difference(shapely.union_all(holes))
    shapely.prepare(land)
    costs = shapely.length(shapely.intersection(steps, land)) + 1e-9
    graph = coo_matrix((costs, (rows, columns)), (x.size, x.size)).tocsr()
    ways = dijkstra(graph, directed=False, indices=node[0], min_only=True)
    found = weakest(pattern(*holes, outline=outline), pull="x").width
    on_grid = float(ways[node[-1]].min())
    assert found <= on_grid + 0.25  # the grid's ways are real cuts, measured to 1/16 mm a step
    assert found == pytest.approx(on_grid, abs=0.7)  # and miss the best by their few directions


@pytest.mark.parametrize("seed", range(3))
def test_agrees_with_the_greatest_flow_on_a_fine_grid(seed):
    """Max-flow = min-cut: leather lets through as much as it is wide.

    Each cell of 0.25 mm is tied to 16 neighbours so that a cut costs its length (Boykov and Kolmogorov
    2003, from memory: capacity = side^2 x angle between neighbours / (2 x length)); 16 directions are right
    within 3 %, and every edge of a hole may move by half a cell.
    """
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import maximum_flow

    rng, step, scale = np.random.default_rng(seed), 0.25, 10_000
    discs = [
        circle(x, y, rng.uniform(1.5, 3), 0.01) for x, y in rng.uniform([6, 4], [34, 12], (6, 2))
    ]
    holes = [h for k, h in enumerate(discs) if all(h.distance(o) > 0.6 for o in discs[:k])]
    outline = shapely.box(0, 0, 40, 16)
    x, y = np.meshgrid(np.arange(160), np.arange(64))
    middle = (np.c_[x.ravel(), y.ravel()] + 0.5) * step
    leather = shapely.contains_xy(outline.difference(shapely.union_all(holes)), *middle.T)
    leather = leather.reshape(x.shape)
    moves = sorted(
        ((a, b) for a in range(-2, 3) for b in range(3) if math.gcd(a, b) == 1 and (b or a > 0)),
        key=lambda m: math.atan2(m[1], m[0]),
    )
    turns = [math.atan2(b, a) for a, b in moves]
    node = np.arange(x.size).reshape(x.shape)
    rows, columns, lets = [], [], []
    for k, (a, b) in enumerate(moves):
        before, after = turns[k - 1] - (math.pi if k == 0 else 0), turns[(k + 1) % len(turns)]
        after += math.pi if k == len(turns) - 1 else 0
        open_to = step * (after - before) / 2 / (2 * math.hypot(a, b)) * 2
        here = leather & (y + b < 64) & (x + a >= 0) & (x + a < 160)
        there = (y + b)[here], (x + a)[here]
        both = leather[there]
        rows.append(node[here][both])
        columns.append(node[there][both])
        lets.append(np.full(both.sum(), open_to / 2))
    start, end = x.size, x.size + 1
    one, other = node[:, 0][leather[:, 0]], node[:, -1][leather[:, -1]]
    rows += [np.full(len(one), start), other]
    columns += [one, np.full(len(other), end)]
    lets += [np.full(len(one), 1e3), np.full(len(other), 1e3)]
    links = (np.concatenate(lets) * scale).astype(np.int32)
    graph = coo_matrix((links, (np.concatenate(rows), np.concatenate(columns))), (end + 1, end + 1))
    flow = maximum_flow((graph + graph.T).tocsr().astype(np.int32), start, end).flow_value / scale
    found = weakest(pattern(*holes, outline=outline), pull="x")
    assert flow == pytest.approx(found.width, rel=0.04, abs=0.3 * len(found.gaps))
