"""Gaps, overshoots and veins: counts known by construction."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from filigree.regions.divide import divide
from tests.regions.draw import box, broken, circle, drawing, lattice, leaf, line, strokes, waved


def tidied(found):
    return [(m.what, round(m.length, 6)) for m in found.tidied]


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 10**6),
    rows=st.integers(2, 8),
    columns=st.integers(2, 8),
    step=st.floats(3.2, 12),
    share=st.floats(0.1, 0.95),
)
def test_a_lattice_with_gaps_anywhere_keeps_its_fields(seed, rows, columns, step, share):
    rng = np.random.default_rng(seed)
    lines = broken(lattice(rows, columns, step), rng, step=step, share=share, widest=0.8)
    bent = waved(lines, step=step, turn=rng.uniform(0, 6.28))
    assert len(divide(drawing(bent)).regions) == rows * columns


@settings(max_examples=15, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 10**6),
    rows=st.integers(2, 7),
    columns=st.integers(2, 7),
    step=st.floats(4, 12),
)
def test_strokes_that_stop_short_of_every_crossing_are_joined(seed, rows, columns, step):
    rng = np.random.default_rng(seed)
    short = strokes(lattice(rows, columns, step), rng, step=step, widest=0.8)
    found = divide(drawing(waved(short, step=step, turn=rng.uniform(0, 6.28))))
    assert len(found.regions) == rows * columns


def test_a_gap_is_closed_up_to_the_limit_and_listed():
    halves = [box(0, 0, 20, 10), line((10, 0), (10, 4)), line((10, 4.6), (10, 10))]
    found = divide(drawing(halves), gap=0.61)
    assert [r.area_mm2 for r in found.regions] == pytest.approx([100, 100])
    assert tidied(found) == [("gap closed", 0.6)]
    assert found.tidied[0].at == pytest.approx((10, 4.3))
    open_still = divide(drawing(halves), gap=0.59)
    assert len(open_still.regions) == 1
    assert open_still.loose.length == pytest.approx(9.4)
    assert open_still.tidied == ()


def test_lines_that_stop_short_of_the_border_or_run_over_it():
    short = divide(drawing([box(0, 0, 20, 10), line((10, 0.6), (10, 9.4))]))
    assert [r.area_mm2 for r in short.regions] == pytest.approx([100, 100])
    assert tidied(short) == [("gap closed", 0.6)] * 2
    over = divide(drawing([box(0, 0, 20, 10), line((10, -0.6), (10, 10.4))]))
    assert [r.area_mm2 for r in over.regions] == pytest.approx([100, 100])
    assert tidied(over) == [("tail dropped", 0.6), ("tail dropped", 0.4)]
    assert over.loose.is_empty


def test_a_corner_left_open_is_closed():
    found = divide(drawing([line((0.5, 0), (20, 0), (20, 10), (0, 10), (0, 0.4))]))
    assert [r.area_mm2 for r in found.regions] == pytest.approx([200 - 0.1])


def test_a_wide_gap_stays_open():
    assert divide(drawing([line((3, 0), (20, 0), (20, 10), (0, 10), (0, 0))])).regions == ()


def test_ends_a_rounding_apart_touch_even_with_no_gap_allowed():
    # coordinates written with few digits miss the line they end on by a hair
    halves = [box(0, 0, 20, 10), line((10, 1e-7), (10, 10 - 1e-7))]
    found = divide(drawing(halves), gap=0)
    assert len(found.regions) == 2
    assert found.tidied == ()


LEAVES = [
    pytest.param([line((0, 0), (25, 0))], 1, id="midrib that ends far from the tip"),
    pytest.param([line((0, 0), (29.4, 0))], 2, id="midrib that all but reaches the tip"),
    pytest.param([line((10, 0), (20, 0.5))], 1, id="free stroke"),
    pytest.param([line((4, 1), (9, 1)), line((4, 0), (9, 0))], 1, id="hatching 1 mm apart"),
]


@pytest.mark.parametrize(("veins", "count"), LEAVES)
def test_veins_of_a_leaf(veins, count):
    found = divide(drawing(leaf() + veins))
    assert len(found.regions) == count
    drawn = sum(np.hypot(*np.diff(v, axis=0).T).sum() for v in veins)
    assert found.loose.length == pytest.approx(drawn if count == 1 else 0)


def test_a_vein_that_hugs_the_edge_cuts_off_no_sliver():
    x = np.linspace(8, 14, 20)
    edge = 4 * np.sin(np.pi * x / 30)
    vein = np.column_stack([x, edge - 0.5 * np.sin((x - 8) / 6 * np.pi * 0.8)])
    assert vein[-1, 1] == pytest.approx(edge[-1], abs=0.4)
    found = divide(drawing([*leaf(), vein]))
    assert len(found.regions) == 1


def test_parallel_strokes_are_not_joined_sideways():
    hatching = [line((3 + 0.8 * k, 2), (3 + 0.8 * k, 8)) for k in range(10)]
    found = divide(drawing([box(0, 0, 20, 10), *hatching]))
    assert len(found.regions) == 1
    assert found.loose.length == pytest.approx(60)


def test_an_interlace_drawn_by_breaks_closes():
    # the strand that passes beneath stops 0.4 mm short of the one above
    over = [line((0, 8), (30, 8)), line((0, 12), (30, 12))]
    under = [
        line((x, start), (x, stop)) for x in (13, 17) for start, stop in ((0, 7.6), (12.4, 20))
    ]
    found = divide(drawing([box(0, 0, 30, 20), *over, *under]))
    assert sorted(round(r.area_mm2) for r in found.regions) == [32, 32, 104, 104, 104, 104, 120]


def test_a_ring_with_a_gap():
    ring = circle(10, 10, 8, 300)[:-4]
    found = divide(drawing([ring]))
    assert [r.area_mm2 for r in found.regions] == pytest.approx([np.pi * 64], rel=1e-3)
    assert divide(drawing([ring]), gap=0.4).regions == ()


def test_branching_veins_that_nearly_touch_each_other_enclose_nothing():
    # a midrib with side veins, one of which curls back to within 0.5 mm of the midrib
    t = np.linspace(0, np.pi, 30)
    curl = np.column_stack([14 + 3 * (1 - np.cos(t)), 0.5 * t / np.pi + 1.5 * np.sin(t)])
    veins = [line((5, 0), (24, 0)), line((8, 0), (10, 2)), line((9, 0), (11, -2)), curl]
    found = divide(drawing([*leaf(), *veins]))
    assert len(found.regions) == 1
    assert not [m for m in found.tidied if m.what == "gap closed"]
