"""Offsets. "row n" is row n of the check table, which holds the source."""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from filigree.geometry.offset import areas, grown, opened, quarter_segments, shrunk
from tests.make.shapes import square


def test_a_square_grown_with_round_joins():
    shape = grown(square(0, 0, 10), 1)
    assert shape.area == pytest.approx(143.14159, abs=0.02)  # row 43, not mitred (144)
    assert shape.length == pytest.approx(46.28319, abs=0.02)  # row 43


def test_a_square_shrunk():
    assert shrunk(square(0, 0, 10), 1).area == pytest.approx(64, abs=1e-9)  # row 44


def test_a_square_opened_by_a_disc():
    assert opened(square(0, 0, 10), 1).area == pytest.approx(99.14159, abs=0.01)  # row 45


@pytest.mark.parametrize(("radius", "parts"), [(0.74, 1), (0.76, 2)])  # row 46
def test_a_dumbbell_parts_when_its_strand_is_narrower_than_the_disc(radius, parts):
    strand = shapely.box(10, 4.25, 15, 5.75)
    dumbbell = shapely.union_all([square(0, 0, 10), strand, square(15, 0, 10)])
    assert len(shapely.get_parts(opened(dumbbell, radius))) == parts


def test_sharp_corners_are_kept_when_asked():
    assert grown(square(0, 0, 10), 1, corners=True).area == pytest.approx(144, abs=1e-9)


@pytest.mark.parametrize(("radius", "around"), [(20, 45), (200, 141)])  # row 24
def test_chords_of_a_round_join_are_fine_enough(radius, around):
    assert 4 * quarter_segments(radius, 0.05) >= around


@given(by=st.floats(0.1, 4.5), side=st.floats(10, 50))
def test_growing_what_was_shrunk_gives_a_square_back(by, side):
    assert grown(shrunk(square(0, 0, side), by), by, corners=True).area == pytest.approx(
        side * side, abs=1e-6
    )


def test_what_is_too_narrow_is_gone():
    assert shrunk(shapely.box(0, 0, 10, 1.9), 1).is_empty


def test_only_polygons_are_kept_of_an_overlay():
    mixed = shapely.GeometryCollection(
        [shapely.Point(0, 0), square(0, 0, 2), shapely.MultiPolygon([square(5, 5, 1)])]
    )
    assert areas(mixed).area == pytest.approx(5, abs=1e-12)
    assert areas(shapely.Point(1, 1)).is_empty


@pytest.mark.parametrize("change", [grown, shrunk])
def test_a_negative_distance_is_refused(change):
    with pytest.raises(ValueError, match="negative"):
        change(square(0, 0, 10), -1)
