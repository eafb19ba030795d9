"""Doubled lines, slivers, tiny pieces and tiles that do not quite meet."""

import numpy as np
import pytest
from shapely import Point

from filigree.regions.divide import divide
from tests.make.families import FAMILIES
from tests.regions.draw import box, circle, drawing, line

HALVES = [box(0, 0, 20, 10), line((10, 0), (10, 10))]
DOUBLED = [
    pytest.param([box(0, 0, 20, 10)], id="exactly"),
    pytest.param([line((3, 0), (9, 0))], id="part of a line"),
    pytest.param([line((-2, 0), (9, 0)), line((10, 3), (10, 10))], id="part, and beyond"),
    pytest.param([box(0.02, 0.03, 20, 10)], id="0.03 mm off"),
    pytest.param([line((0, 0.03), (5, -0.03), (10, 0.02), (15, -0.04), (20, 0.02))], id="wavering"),
    pytest.param([line((10.05, 0), (10.05, 10))], id="divider 0.05 mm off"),
]


@pytest.mark.parametrize("again", DOUBLED)
def test_lines_drawn_twice_make_no_new_field(again):
    found = divide(drawing(HALVES + again))
    assert [r.area_mm2 for r in found.regions] == pytest.approx([100, 100], abs=1.0)
    assert found.pairs.tolist() == [[1, 2]]
    assert found.shared == pytest.approx([10], abs=0.2)


def test_a_line_of_hundreds_of_pieces():
    ring = circle(10, 10, 8, 400)
    pieces = [ring[k : k + 2] for k in range(400)]
    order = np.random.default_rng(3).permutation(400)
    found = divide(drawing([pieces[k][:: (-1) ** k] for k in order]))
    assert len(found.regions) == 1
    assert found.tidied == ()


def tiles(rng, misfit):
    return [
        box(10 * i + dx, 10 * j + dy, 10, 10)
        for i in range(4)
        for j in range(4)
        for dx, dy in [rng.uniform(-misfit, misfit, 2)]
    ]


@pytest.mark.parametrize("seed", range(6))
def test_tiles_that_miss_each_other_by_a_hundredth(seed):
    found = divide(drawing(tiles(np.random.default_rng(seed), 0.01)))
    assert [r.area_mm2 for r in found.regions] == pytest.approx([100] * 16, abs=1.0)
    # at a corner two tiles may still share a hundredth
    assert np.count_nonzero(found.shared > 0.05) == 24
    assert found.shared[found.shared > 0.05] == pytest.approx([10] * 24, abs=0.1)


def test_hairlines_between_tiles_open_at_both_ends_are_welded():
    apart = [box(10 * i, 10 * j, 9.99, 9.99) for i in range(3) for j in range(3)]
    found = divide(drawing([*apart, box(-3, -3, 36, 36)]))
    assert len(found.regions) == 10
    assert np.count_nonzero(found.shared > 0.05) == 12 + 8
    assert divide(drawing(apart)).outline.area == pytest.approx(899.4, abs=1)


def test_hairlines_are_given_away_but_narrow_fields_stay():
    strips = [line((0, y), (40, y)) for y in (3, 3.05, 6, 6.3)]
    found = divide(drawing([box(0, 0, 40, 10), *strips]))
    assert [r.area_mm2 for r in found.regions] == pytest.approx([120, 120, 12, 148], abs=2.1)
    assert [m.what for m in found.tidied] == ["lines merged"]
    assert divide(drawing([box(0, 0, 40, 10), *strips]), sliver=0).regions[4:]


@pytest.mark.parametrize(("family", "seed"), [("frieze", 2002), ("scroll", 48)])
def test_drawings_that_once_broke_the_rings(family, seed):
    """A line gone there and back is a ring without area; a flat face has no room for a pole."""
    made = FAMILIES[family](seed)
    found = divide(made.drawing)
    assert len(found.regions) > 10
    assert all(r.area_mm2 > 0 and r.shape.contains(Point(r.at)) for r in found.regions)
