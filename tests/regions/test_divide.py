"""Regions of line drawings: counts, areas, neighbours, outlines known by construction."""

import numpy as np
import pytest

from filigree.regions.divide import divide
from tests.regions.draw import box, circle, drawing, lattice


def areas(regions):
    return [r.area_mm2 for r in regions.regions]


def test_a_lattice_has_its_fields_in_reading_order():
    found = divide(drawing(lattice(3, 4)))
    assert areas(found) == pytest.approx([25.0] * 12)
    assert [r.id for r in found.regions] == list(range(1, 13))
    assert [r.at for r in found.regions] == [
        pytest.approx((2.5 + 5 * c, 2.5 + 5 * r), abs=0.3) for r in range(3) for c in range(4)
    ]
    assert len(found.pairs) == 3 * 3 + 2 * 4
    assert found.shared == pytest.approx(5.0)
    assert found.outline.area == pytest.approx(300)
    assert found.outlines == ()


def test_islands_make_holes_down_to_the_third_ring():
    found = divide(drawing([circle(50, 50, r, 256) for r in (40, 30, 20)] + [circle(15, 50, 2)]))
    assert len(found.regions) == 4
    assert sum(areas(found)) == pytest.approx(found.outline.area, abs=1e-6)
    assert sorted(len(r.shape.interiors) for r in found.regions) == [0, 0, 1, 2]


def test_one_field_alone_is_its_own_outline():
    found = divide(drawing([box(10, 10, 20, 10)]))
    assert areas(found) == [200.0]
    assert found.outline.equals(found.regions[0].shape)
    assert found.pairs.shape == (0, 2)


def test_outermost_lines_largest_first():
    found = divide(drawing([box(0, 0, 5, 5), box(10, 0, 9, 9), box(30, 0, 7, 7), box(31, 1, 2, 2)]))
    assert found.outline.area == pytest.approx(81)
    assert [o.area for o in found.outlines] == pytest.approx([49, 25])
    assert len(found.regions) == 4


def test_nothing_enclosed_gives_no_regions():
    for lines in ([], [np.array([(0, 0), (10, 0)])]):
        found = divide(drawing(lines))
        assert found.regions == ()
        assert found.outline is None


def test_a_vein_is_loose_and_encloses_nothing():
    found = divide(drawing([circle(50, 50, 20), np.array([(50.0, 25.0), (50.0, 60.0)])]))
    assert len(found.regions) == 1
    assert found.loose.length == pytest.approx(30, abs=5.1)


def test_fields_touching_in_one_point_stay_two():
    found = divide(drawing([box(0, 0, 5, 5), box(5, 5, 5, 5), box(-5, -5, 20, 20)]))
    assert sorted(areas(found)) == pytest.approx([25, 25, 350])
    assert all(r.shape.is_valid for r in found.regions)
