"""Necks. "row n" is row n of the check table, which holds the source."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from filigree.measure.necks import necks, necks_of
from tests.make import (
    circle,
    hexagon,
    land,
    pattern,
    plate,
    rectangle,
    slot,
    square,
    square_grid,
    staggered,
)
from tests.measure.sampling import joined, places, sampled

NARROWEST = [  # openings, mm, tolerance
    pytest.param([circle(0, 0, 5), circle(13, 0, 5)], 3.0, 1e-6, id="row 41, not centres"),
    pytest.param([square(0, 0, 6), square(8, 8, 6)], 2.828427, 1e-6, id="row 42, not axis gap"),
    pytest.param([square(0, 0, 6), square(6, 6, 6)], 0.0, 0.0, id="row 103, point contact"),
]


@pytest.mark.parametrize(("openings", "mm", "tolerance"), NARROWEST)
def test_narrowest_neck(openings, mm, tolerance):
    assert necks(land(*openings), under=9)[0].width == pytest.approx(mm, abs=tolerance)


def test_strand_of_an_annulus_is_one_neck():
    """Row 40: radii 10 and 6; flattened to 0.005 mm, so within 0.01."""
    face = shapely.Polygon(circle(0, 0, 10).exterior, [circle(0, 0, 6).exterior])
    (found,) = necks(face, under=5)
    assert found.width == pytest.approx(4.0, abs=0.01)


def test_strand_between_two_squares_of_face():
    """Row 46: 10 mm squares joined by a strand 1.5 wide."""
    face = shapely.union_all([square(0, 0, 10), square(15, 0, 10), rectangle(9, 4, 7, 1.5)])
    (found,) = necks(face, under=5)
    assert found.width == pytest.approx(1.5, abs=1e-9)
    assert found.middle == pytest.approx((12.5, 4.75))


def test_each_side_of_a_frame_is_a_neck():
    face = rectangle(0, 0, 50, 30).difference(rectangle(1, 1, 48, 28))
    assert [n.width for n in necks(face, under=5)] == pytest.approx([1.0] * 4)


def test_two_places_of_one_pair_are_two_necks():
    """Closed form: a bow of face 2 mm from a bar at both its ends and 8 mm in the middle."""
    bowed = rectangle(0, 0, 30, 10).difference(rectangle(6, 4, 18, 6))
    face = land(bowed, rectangle(0, 12, 30, 4))
    assert [n.width for n in necks(face, under=6)] == pytest.approx([2.0, 2.0])


def test_an_opening_comes_close_to_itself():
    """A C-shaped opening whose ends are 1.5 mm apart."""
    cut = circle(0, 0, 10).difference(circle(0, 0, 7)).difference(rectangle(0, -0.75, 12, 1.5))
    found = necks_of(pattern(cut), under=4)
    assert [(n.between, n.width) for n in found] == [((1, 1), pytest.approx(1.5, abs=1e-9))]


def test_sides_are_opening_ids_or_the_edge():
    face = pattern(square(0, 0, 6), square(8, 0, 6), outline=rectangle(-3, -20, 40, 60))
    found = {n.between: n.width for n in necks_of(face, under=4)}
    assert {tuple(sorted(map(str, k))): v for k, v in found.items()} == {
        ("1", "2"): pytest.approx(2.0),
        ("1", "edge"): pytest.approx(3.0),
    }


def test_neck_across_another_opening_is_no_neck():
    """A small opening lies in the disc between two large ones."""
    found = necks(land(square(0, 0, 6), square(11, 0, 6), circle(8.5, 3, 1)), under=6)
    assert [n.width for n in found] == pytest.approx([1.5, 1.5])


def test_an_opening_that_touches_the_edge_is_a_contact():
    face = pattern(
        square(0, 0, 6).buffer(0),
        outline=shapely.Polygon([(3, 0), (20, -20), (20, 20), (-20, 20), (-20, -20)]),
    )
    contact = necks_of(face, under=2)[0]
    assert (contact.width, contact.between) == (0.0, (1, "edge"))


PLATES = [  # hole, grid, bridge: handbook 9, bar = pitch - hole
    pytest.param(circle(0, 0, 1.5), staggered, 2.0, id="rows 52-53, round, 60 degrees"),
    pytest.param(circle(0, 0, 1.5), square_grid, 2.0, id="row 54, round, square"),
    pytest.param(hexagon(0, 0, 4), staggered, 1.0, id="row 60, hexagon, 60 degrees"),
    pytest.param(hexagon(0, 0, 4), square_grid, 5 - 8 / math.sqrt(3), id="hexagon, square"),
    pytest.param(slot(0, 0, 4, 1.5), staggered, 1.0, id="slot, 60 degrees"),
    pytest.param(slot(0, 0, 4, 1.5), square_grid, 1.0, id="slot, square"),
]


@pytest.mark.parametrize(("hole", "grid", "bridge"), PLATES)
@pytest.mark.parametrize("side", [10, 30])
def test_every_bridge_of_a_plate_once(hole, grid, bridge, side):
    found = necks(plate(hole, grid(side, side, 5)), under=4)
    rows = 2 * side * (side - 1)  # along rows, and straight across them
    assert len(found) == (rows if grid is square_grid else rows + (side - 1) ** 2)
    assert found[0].width == pytest.approx(bridge, abs=0.001)
    assert len({(round(n.middle[0], 2), round(n.middle[1], 2)) for n in found}) == len(found)
    if hole.area > 10 or hole.equals(circle(0, 0, 1.5)):
        across = 1.0 if hole.area > 10 and grid is square_grid else bridge
        assert all(min(abs(n.width - bridge), abs(n.width - across)) < 0.001 for n in found)


def test_five_thousand_holes():
    found = necks(plate(circle(0, 0, 1.5, 0.02), staggered(100, 50, 5)), under=4)
    assert len(found) == 99 * 50 + 49 * (2 * 100 - 1)
    assert [found[0].width, found[-1].width] == pytest.approx([2.0, 2.0], abs=0.001)


def test_diagonal_bridges_of_a_square_plate_come_after_the_straight_ones():
    """Row 54: straight 2.000, diagonal 4.0711."""
    widths = {
        round(n.width, 3)
        for n in necks(plate(circle(0, 0, 1.5, 1e-5), square_grid(3, 3, 5)), under=5)
    }
    assert widths == {2.0, 4.071}


def face_of(seed):
    """Two to five overlapping or lone shapes in a close outline."""
    rng = np.random.default_rng(seed)
    shapes = []
    for _ in range(rng.integers(2, 6)):
        x, y = rng.uniform(0, 18, 2)
        size, turn = rng.uniform(1.5, 4), rng.uniform(0, 180)
        angle, radius = np.sort(rng.uniform(0, 2 * np.pi, 8)), rng.uniform(0.4, 1.4, 8) * size
        ragged = shapely.Polygon(np.c_[x + radius * np.cos(angle), y + radius * np.sin(angle)])
        kinds = [
            circle(x, y, size, 0.02),
            affinity.rotate(square(x, y, 2 * size), turn),
            affinity.rotate(slot(x, y, 3 * size, size, 0.02), turn),
            hexagon(x, y, 2 * size),
            shapely.make_valid(ragged).buffer(0),
        ]
        shapes.append(kinds[rng.integers(0, 5)])
    return land(*shapes, margin=rng.uniform(1, 4))


UNDER, STEP = 5.0, 0.25


@given(seed=st.integers(0, 2**32 - 1))
@settings(max_examples=300, deadline=None, derandomize=True)
def test_a_second_method_finds_the_same_necks(seed):
    face = face_of(seed)
    found = necks(face, under=UNDER)
    sample = sampled(face, STEP)
    ends = [np.array([n.start, n.end]) for n in found]
    for line in places(sample, face, UNDER, STEP):
        width = np.hypot(*(line[1] - line[0]))
        assert any(
            abs(n.width - width) < 1e-6 or joined(sample, line, e, width + 0.04)
            for n, e in zip(found, ends, strict=True)
            if n.width <= width + 1e-6
        ), f"missed {width} at {line}"
    edge = face.boundary
    for neck, line in zip(found, ends, strict=True):
        middle = shapely.Point(neck.middle)
        assert neck.width == pytest.approx(np.hypot(*(line[1] - line[0])), abs=1e-9)
        assert edge.distance(middle) >= neck.width / 2 - 2e-6, "disc holds other boundary"
        if neck.width > 1e-6:
            assert face.contains(middle)
            assert shortest_here(face, line), "not the shortest line here"
    for k, line in enumerate(ends):
        for j in range(k):
            level = max(found[k].width, found[j].width) + 0.01
            assert not joined(sample, line, ends[j], level), "one neck told twice"


def shortest_here(face, line):
    """No point of the boundary near one end is nearer to the boundary near the other."""
    reach = min(0.2, np.hypot(*(line[1] - line[0])) / 3)
    near = [
        max(
            shapely.get_parts(face.boundary.intersection(shapely.Point(at).buffer(reach))).tolist(),
            key=lambda bit, at=at: -bit.distance(shapely.Point(at)),
        )
        for at in line
    ]
    return near[0].distance(near[1]) >= np.hypot(*(line[1] - line[0])) - 1e-5


@given(gap=st.floats(0.5, 8), turn=st.floats(0, 360))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_turning_the_drawing_changes_no_width(gap, turn):
    face = land(square(0, 0, 6), square(6 + gap, 0, 6), turn=turn)
    assert necks(face, under=9)[0].width == pytest.approx(gap, abs=1e-9)


@given(seed=st.integers(0, 2**32 - 1), factor=st.floats(0.5, 3))
@settings(max_examples=20, deadline=None, derandomize=True)
def test_mirroring_and_moving_change_no_width(seed, factor):
    face = face_of(seed)
    moved = affinity.translate(affinity.scale(face, -1, 1, origin=(0, 0)), 100 * factor, -7)
    before, after = necks(face, under=UNDER), necks(moved, under=UNDER)
    assert [n.width for n in after] == pytest.approx([n.width for n in before], abs=1e-6)


def test_under_must_be_positive():
    with pytest.raises(ValueError, match="under"):
        necks(land(square(0, 0, 6)), under=0)
