"""Joins of added leather with the drawn edge are led over; corners as drawn, and the edge of the piece, stay."""

import math

import numpy as np
import pytest
import shapely
from shapely import Polygon

from filigree.geometry.leadover import led_over, with_rings
from filigree.mend.easing import CORNER, KINK
from tests.make.shapes import circle, pattern, polygon, rectangle
from tests.mend.test_mend import limits, mended

SQUARE = np.array([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)], dtype=float)


def kinks(shape):
    """Turning at each vertex, degrees, where the opening leaves a nook."""
    ring = np.asarray(shapely.orient_polygons(shape).exterior.coords)
    step = np.diff(ring, axis=0)
    before = np.roll(step, 1, axis=0)
    turn = np.arctan2(
        before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0], (before * step).sum(axis=1)
    )
    return np.degrees(turn)


def test_a_right_angle_is_led_over_about_as_by_a_quarter_disc():
    """A quarter disc of radius r leaves (1 - pi/4) r2 (closed form); a cubic is within 0.03 % of its radius."""
    made = led_over(SQUARE, [2], reach=[3.0], fixed=[0, 1, 3])
    (part,) = made.parts
    assert part.area == pytest.approx((1 - math.pi / 4) * 9, rel=0.02)
    done = with_rings(Polygon(SQUARE), [made.ring])
    assert done.area == pytest.approx(100 - part.area)
    for corner in ((0, 0), (10, 0), (0, 10)):
        assert corner in {tuple(p) for p in made.ring.tolist()}
    assert abs(kinks(done)).max() == pytest.approx(90)  # the three others
    assert sorted(abs(kinks(done)))[-4] < 5


def test_a_curve_takes_no_more_than_its_share_of_the_way_to_the_next_corner():
    made = led_over(SQUARE, [0, 2], reach=[50.0, 50.0], fixed=[1, 3])
    assert [part.area for part in made.parts] == pytest.approx(
        [(1 - math.pi / 4) * 4.5**2] * 2, rel=0.02
    )
    assert with_rings(Polygon(SQUARE), [made.ring]).is_valid


def test_corners_that_turn_the_other_way_stay():
    notch = np.array([(0, 0), (10, 0), (10, 10), (5, 4), (0, 10), (0, 0)], dtype=float)
    made = led_over(notch, [3], reach=[2.0], fixed=[0, 1, 2, 4])
    assert made.parts == (None,)
    assert made.ring is notch


def test_the_first_vertex_of_a_ring_is_led_over_too():
    made = led_over(SQUARE, [0], reach=[3.0], fixed=[1, 2, 3])
    assert made.parts[0].area == pytest.approx((1 - math.pi / 4) * 9, rel=0.02)
    assert with_rings(Polygon(SQUARE), [made.ring]).area < 100


def test_a_chord_beside_the_edge_meets_its_circle_without_a_kink():
    drawn = pattern(circle(0, 0, 8, 0.0005), margin=2.5)
    done = mended(drawn, change=0.5)
    assert len(done.changes) == 4
    (opening,) = done.pattern.openings
    assert kinks(opening.shape).max() < math.degrees(KINK)
    taken = drawn.openings[0].area_mm2 - opening.area_mm2
    assert sum(a for c in done.changes for _, a in c.lost) == pytest.approx(taken, abs=1e-6)


def test_corners_as_drawn_stay_corners_where_they_move():
    drawn = pattern(rectangle(10, 10, 30, 20), rectangle(10, 33, 30, 20))
    for opening in mended(drawn).pattern.openings:
        assert sorted(kinks(opening.shape))[-4:] == pytest.approx([90] * 4)
        assert math.degrees(CORNER) < 90


def test_halves_are_led_over_alike():
    drawn = pattern(circle(0, 0, 8), circle(18.3, 0, 8), circle(9.15, 15.85, 8))
    done = mended(drawn)
    holes = shapely.union_all([o.shape for o in done.pattern.openings])
    image = shapely.affinity.scale(holes, -1, 1, origin=(9.15, 0))
    assert done.changes
    assert holes.symmetric_difference(image).area < 0.02


def test_an_opening_that_touches_the_outline_in_a_point_is_brought_in():
    tip = polygon((20, 0), (32, 12), (20, 24), (8, 12))
    edge = rectangle(0, 0, 60, 40)
    drawn = pattern(tip, outline=edge)
    done = mended(drawn, change=0.3)
    assert done.unmended == ()
    assert done.pattern.openings[0].shape.distance(edge.exterior) >= limits().bridge.good - 0.01
    assert mended(done.pattern, change=0.3).pattern is done.pattern


def test_an_opening_that_runs_along_the_outline_gets_no_sliver_beside_it():
    """Where its new edge meets the outline nothing is rounded: the arc would run into the outline at no angle."""
    side = polygon((0, 10), (4, 9), (12, 12), (12, 30), (0, 31))
    edge = rectangle(0, 0, 60, 40)
    drawn = pattern(side, rectangle(14.5, 12, 20, 18), outline=edge)
    done = mended(drawn, change=0.3)
    assert done.changes
    again = mended(done.pattern, change=0.3)
    assert again.pattern is done.pattern
