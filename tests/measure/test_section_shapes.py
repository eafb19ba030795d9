"""Weakest section of pieces that are no straps, against the greatest flow through a fine grid."""

import numpy as np
import pytest
import shapely

from filigree.measure.pull import borders, direction
from filigree.measure.section import weakest
from tests.make.shapes import circle, pattern, polygon, rectangle
from tests.measure.flowing import ends_of, greatest_flow

STEP = 0.25
MASK = (
    circle(20, 20, 16)
    .union(circle(48, 20, 16))
    .difference(circle(34, 38, 9))
    .difference(rectangle(30, -2, 8, 8))
)
EYES = [circle(14, 20, 5.5), circle(54, 20, 4.5), circle(34, 18, 3)]
FLAP = shapely.box(0, 0, 50, 25).union(polygon((8, 25), (42, 25), (32, 44), (18, 44)))
FLAP = FLAP.difference(circle(0, 25, 4))
HOLES = [circle(12, 12, 4), circle(25, 14, 4.5), circle(38, 12, 4), rectangle(20, 28, 10, 4)]
ANGLE = shapely.box(0, 0, 50, 12).union(shapely.box(0, 0, 12, 40))
CRESCENT = circle(25, 25, 24).difference(circle(25, 38, 20))
PLATE = shapely.box(0, 0, 50, 30)
NESTED = [circle(25, 15, 12).difference(circle(25, 15, 8)), circle(25, 15, 4)]

SHAPES = [
    pytest.param(MASK, EYES, "x", id="mask along"),
    pytest.param(MASK, EYES, "y", id="mask across, held at both brows"),
    pytest.param(FLAP, HOLES, "long", id="flap"),
    pytest.param(FLAP, HOLES, "120", id="flap aslant"),
    pytest.param(ANGLE, [circle(6, 6, 4), circle(25, 6, 3)], "135", id="angle"),
    pytest.param(CRESCENT, [circle(25, 7, 3), circle(10, 18, 2)], "y", id="crescent by its horns"),
    pytest.param(PLATE, NESTED, "x", id="nested"),
    pytest.param(PLATE, [shapely.box(20, 0, 28, 9), circle(25, 20, 5)], "x", id="open to the edge"),
]


@pytest.mark.parametrize(("outline", "openings", "pull"), SHAPES)
def test_agrees_with_the_greatest_flow(outline, openings, pull):
    """Within one and a half cells a gap and the 5 % that 32 directions and the held rows are good for."""
    unit = direction(pull, outline)
    found = weakest(pattern(*openings, outline=outline), pull=pull)
    land = outline.difference(shapely.union_all(openings))
    flow = greatest_flow(land, ends_of(outline, borders(outline, unit), unit), STEP)
    assert flow == pytest.approx(found.width, rel=0.05, abs=1.5 * STEP * len(found.gaps))


def test_an_end_of_two_legs_is_held_at_both():
    """A piece with two legs of 10 and 14 mm: breaking it there takes both, breaking the body 40."""
    legs = (
        shapely.box(0, 0, 40, 30)
        .union(shapely.box(0, 30, 10, 60))
        .union(shapely.box(26, 30, 40, 60))
    )
    found = weakest(pattern(outline=legs), pull="y")
    assert found.width == pytest.approx(24)
    assert [round(float(np.hypot(*np.subtract(*g))), 6) for g in found.gaps] in ([10, 14], [14, 10])
    assert len(borders(legs, np.array([0.0, 1.0])).notches) == 1
