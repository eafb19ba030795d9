"""Points that stand for fields: deep inside, and off the veins."""

import numpy as np
import pytest
from shapely import LineString, Point

from filigree.regions.divide import divide
from tests.regions.draw import box, drawing


def test_the_point_of_a_veined_field_lies_beside_its_vein():
    """Closed form: between the vein and a long side of 40 x 20 there is room for a disc of radius 5."""
    vein = np.array([[0.0, 10.0], [35.0, 10.0]])
    [field] = divide(drawing([box(0, 0, 40, 20), vein])).regions
    assert LineString(vein).distance(Point(field.at)) == pytest.approx(5, abs=0.2)
    assert field.room == pytest.approx(5, abs=0.2)
    assert field.inside.deepest[field.row][1] == pytest.approx(10, abs=0.5)


def test_a_vein_far_from_the_deepest_point_moves_nothing():
    vein = np.array([[0.0, 3.0], [35.0, 3.0]])
    [field] = divide(drawing([box(0, 0, 40, 20), vein])).regions
    assert [field.at] == field.inside.deepest
    assert field.at[1] == pytest.approx(10, abs=0.5)
