"""Painted drawings: what the eye sees decides, the lines give the edges."""

import pytest
import shapely
from shapely import LineString, box

from filigree.drawing.model import Field
from filigree.regions.divide import divide
from tests.regions import draw


def field(shape):
    return Field(shape=shape, at=shapely.point_on_surface(shape).coords[0])


LADDER = [draw.box(0, 0, 20, 10), draw.line((10, 0), (10, 10))]
LEFT, RIGHT = box(0.3, 0.3, 9.7, 9.7), box(10.3, 0.3, 19.7, 9.7)


def shown(found):
    return [(r.edge, r.solid, pytest.approx(r.area_mm2)) for r in found.regions]


def test_fields_take_the_faces_of_the_lines():
    found = divide(draw.drawing(LADDER, fields=(field(LEFT), field(RIGHT))))
    assert shown(found) == [("middle", False, 100), ("middle", False, 100)]
    assert found.pairs.tolist() == [[1, 2]]
    assert found.shared == pytest.approx([10])


def test_a_field_without_a_face_of_its_own_keeps_its_visible_edge():
    alone = box(50, 50, 55, 55)
    found = divide(draw.drawing(LADDER, fields=(field(LEFT), field(RIGHT), field(alone))))
    assert shown(found)[2] == ("visible", False, 25)
    assert found.regions[2].shape.equals(alone)


def test_two_fields_in_one_face_share_it_with_nobody():
    found = divide(draw.drawing(LADDER[:1], fields=(field(LEFT), field(RIGHT))))
    assert shown(found) == [("visible", False, LEFT.area), ("visible", False, RIGHT.area)]
    # 0.6 mm of ink between them is a line that both share
    assert found.pairs.tolist() == [[1, 2]]
    assert found.shared == pytest.approx([9.4], abs=1.25)  # corners count up to a line's width


def test_faces_that_nobody_sees_are_no_regions():
    found = divide(draw.drawing(LADDER, fields=(field(LEFT),)))
    assert [r.at[0] < 10 for r in found.regions] == [True]


def test_a_face_much_larger_than_the_field_is_not_its_face():
    small = box(4, 4, 6, 6)
    found = divide(draw.drawing(LADDER, fields=(field(small),)))
    assert shown(found) == [("visible", False, 4)]


def test_dark_shapes_are_solid_regions():
    band = box(30, 0, 35, 10)
    lines = [*LADDER, draw.box(30, 0, 5, 10)]
    found = divide(draw.drawing(lines, fields=(field(LEFT), field(RIGHT)), solids=band))
    assert shown(found)[2] == ("middle", True, 50)


def test_a_gap_that_the_eye_sees_as_open_stays_open():
    stubs = [draw.line((10, 0), (10, 4.6)), draw.line((10, 5.4), (10, 10))]
    ink = shapely.union_all([LineString(s).buffer(0.2, cap_style="flat") for s in stubs])
    whole = box(0.3, 0.3, 19.7, 9.7).difference(ink)
    found = divide(draw.drawing([LADDER[0], *stubs], fields=(field(whole),)))
    assert shown(found) == [("middle", False, 200)]
    assert found.tidied == ()


def test_fields_without_any_line_have_the_largest_as_outline():
    found = divide(draw.drawing([], fields=(field(LEFT), field(box(30, 0, 35, 5)))))
    assert found.outline.area == pytest.approx(LEFT.area)


def test_a_painted_drawing_without_fields_has_no_regions():
    found = divide(draw.drawing(LADDER, fields=()))
    assert found.regions == ()
