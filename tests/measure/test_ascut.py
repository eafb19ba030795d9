"""As cut: a bevel sets openings back (handbook 2.3: cut on the outer foot of the bevel)."""

import pytest
from shapely import box

from filigree.job import CutLoss
from filigree.measure.ascut import as_cut
from tests.make.shapes import circle, square
from tests.make.shapes import pattern as pattern_of

BEVEL = CutLoss(kerf=0.2, char=0.3, bevel=0.5)


def test_nothing_changes_without_a_bevel():
    face = pattern_of(square(0, 0, 6))
    assert as_cut(face, CutLoss(kerf=0.2, char=0.3, bevel=0)) is face


def test_an_opening_is_smaller_by_the_bevel_alone():
    face = as_cut(pattern_of(square(0, 0, 6), circle(20, 0, 4)), BEVEL)
    assert face.openings[0].area_mm2 == pytest.approx(25)
    assert face.openings[1].shape.bounds == pytest.approx((16.5, -3.5, 23.5, 3.5), abs=0.01)
    taken = sum(o.area_mm2 for o in face.openings)
    assert face.land.area == pytest.approx(face.outline.area - taken)


def test_parts_keep_the_number_and_what_is_closed_is_gone():
    dumbbell = square(0, 0, 6).union(square(10, 0, 6)).union(box(4, 2.6, 12, 3.4))
    face = as_cut(pattern_of(dumbbell, box(0, 20, 9, 20.9)), BEVEL)
    assert [o.id for o in face.openings] == [1, 1]
    assert sum(o.area_mm2 for o in face.openings) == pytest.approx(50, abs=0.01)
