"""A design is its own mirror image only when every edge is; else leather would be added where nothing stands."""

import pytest
import shapely

from filigree.mend.mirror import axes_of
from tests.make.shapes import circle, pattern, polygon, rectangle, square_grid
from tests.mend.test_mend import mended

FIELD = rectangle(0, 0, 120, 80)
NECKED = shapely.affinity.translate(  # a tongue with a neck of 1.6 mm
    polygon((-2, 0), (-2, -4), (-0.8, -6), (-2.6, -8), (2.6, -8), (0.8, -6), (2, -4), (2, 0)),
    52.5,
    80,
)
PLATE = pattern(*[circle(x, y, 4) for x, y in square_grid(4, 3, 11)])


def mirrored(shape):
    return shapely.affinity.scale(shape, -1, 1, origin=(60, 0))


def test_a_plate_is_its_own_image_both_ways():
    assert [(a.x is None, a.y is None) for a in axes_of(PLATE)] == [(False, True), (True, False)]


def test_a_tongue_on_one_side_alone_makes_a_large_opening_no_image_of_itself():
    """The tongue is 0.3 % of the opening's area, and moves its middle by less than 0.05 mm."""
    drawn = pattern(FIELD.difference(NECKED))
    assert abs(drawn.openings[0].shape.centroid.x - 60) < 0.025
    assert all(axis.x is None for axis in axes_of(drawn))
    both = pattern(FIELD.difference(NECKED).difference(mirrored(NECKED)))
    assert [axis.x for axis in axes_of(both)] == [pytest.approx(60)]


def test_no_leather_is_added_where_nothing_stands():
    drawn = pattern(FIELD.difference(NECKED))
    done = mended(drawn)
    assert done.changes
    assert shapely.get_num_geometries(done.pattern.land) == 1
    assert all(change.added.distance(drawn.land) < 1e-6 for change in done.changes)
