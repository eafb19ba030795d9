"""Punch schedule: a punch fits the corner and lies wholly in its opening (handbook 2.5)."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from filigree.job.punches import SIZES
from filigree.measure.openings import opening_sizes
from filigree.plies.punch import punch_schedule, trade_number
from tests.make.shapes import circle, opening, pattern, polygon, slot, square


def schedule(*shapes, radius=1.0):
    openings = [opening(k, s) for k, s in enumerate(shapes, 1)]
    sizes = opening_sizes(pattern(*shapes), under=4.0)
    tight = [[c.at for c in size.corners if c.radius < radius] for size in sizes]
    return punch_schedule(openings, tight, radius=radius)


def test_a_square_has_a_punch_in_each_corner():
    found = schedule(square(0, 0, 10))
    assert found.counts == ((2.0, 4),)
    spots = sorted(p.at for p in found.punches)
    # tangent to both sides: one radius in from each
    assert spots == pytest.approx(np.array([(1, 1), (1, 9), (9, 1), (9, 9)]), abs=0.004)


def test_round_openings_and_slots_need_none():
    assert schedule(circle(0, 0, 4), slot(20, 0, 12, 4), radius=1.0).punches == ()


def test_a_punch_no_larger_than_the_corner_asks_for():
    assert schedule(square(0, 0, 10), radius=0.5).counts == ((1.0, 4),)
    assert schedule(square(0, 0, 10), radius=1.19).counts == ((2.5, 4),)  # 6 oz, half the thickness


def test_a_narrow_slit_takes_the_largest_that_its_width_lets_in():
    found = schedule(shapely.box(0, 0, 20, 1.6), radius=1.2)
    assert {p.diameter for p in found.punches} == {1.5}
    assert len(found.punches) == 4


def test_what_no_punch_fits_is_left_to_the_knife():
    found = schedule(shapely.box(0, 0, 20, 0.8), radius=1.2)
    assert found.punches == ()
    assert len(found.knife_only) == 4


def test_a_thin_tip_gets_the_smallest_punch():
    leaf = circle(0, 0, 30).intersection(circle(54, 0, 30))  # 6 mm wide, tips of about 52 degrees
    found = schedule(leaf, radius=1.2)
    assert len(found.punches) == 2
    assert {p.diameter for p in found.punches} <= {1.0, 1.5, 2.0, 2.5}


def test_every_tight_corner_is_ended_by_a_punch_or_by_the_blade():
    """A bar with square ends 1.8 mm wide: one punch of 1.5 mm is set into each of its corners."""
    found = schedule(shapely.box(0, 0, 20, 1.8), square(40, 0, 10), circle(60, 5, 4), radius=1.2)
    assert (found.corners, len(found.punches), found.knife_only) == (8, 8, ())


def test_a_punch_ends_two_corners_that_are_close():
    """A wedge whose tip is cut off square, 0.6 mm wide: one punch ends both its corners."""
    blunt = polygon((0, -0.3), (0, 0.3), (12, 5), (12, -5))
    found = schedule(blunt, radius=1.2)
    assert (found.corners, len(found.punches), found.knife_only) == (4, 3, ())


def test_corners_of_a_narrow_place_are_left_to_the_blade():
    """Two rooms and a passage 0.8 mm wide with a niche: no punch comes near the four corners of the niche."""
    rooms = shapely.box(0, 0, 10, 10).union(shapely.box(30, 0, 40, 10))
    whole = rooms.union(shapely.box(9, 4.6, 31, 5.4)).union(shapely.box(19.8, 4.3, 20.2, 5.7))
    found = schedule(whole, radius=1.2)
    assert (found.corners, len(found.punches)) == (12, 8)
    assert {(abs(round(x - 20, 3)), abs(round(y - 5, 3))) for x, y in found.knife_only} == {
        (0.2, 0.7)
    }


@pytest.mark.parametrize(("turn", "punches"), [(44.0, 0), (46.0, 1), (49.0, 1), (60.0, 1)])
def test_a_corner_is_punched_from_the_turn_at_which_it_is_told(turn, punches):
    """The one corner of a large opening with round ends; the check tells a turn of 45 degrees and more."""
    bend = np.radians(turn)
    line = shapely.LineString([(-30, 0), (0, 0), (30 * np.cos(bend), 30 * np.sin(bend))])
    found = schedule(line.buffer(9, join_style="mitre", quad_segs=200), radius=1.2)
    near = [p for p in found.punches if np.hypot(p.at[0], p.at[1]) < 15]
    assert len(near) == punches
    assert found.corners == len(found.punches) + len(found.knife_only)


def test_only_corners_that_are_told_are_punched():
    """Corners rounded to 0.8 mm are not tight where 0.5 mm is wanted, though a better radius would be 1.2 mm."""
    shape = square(0, 0, 10).buffer(-0.8).buffer(0.8, quad_segs=32)
    assert punch_schedule([opening(1, shape)], [[]], radius=1.2, least=0.5).punches == ()


@given(seed=st.integers(0, 1000), corners=st.integers(3, 7), radius=st.floats(0.5, 2.0))
def test_every_punch_lies_wholly_in_its_opening(seed, corners, radius):
    rng = np.random.default_rng(seed)
    angle = np.sort(rng.uniform(0, 2 * np.pi, corners))
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * rng.uniform(4, 12, corners)[:, None]
    shape = shapely.Polygon(points).buffer(0.5)
    shape = shapely.Polygon(points) if shapely.Polygon(points).is_valid else shape
    found = schedule(shape, radius=radius)
    for punch in found.punches:
        assert shape.covers(shapely.Point(punch.at).buffer(punch.diameter / 2 - 1e-6))
        assert punch.diameter in SIZES
    larger = [p.diameter for p in found.punches if p.diameter > 2 * radius + 0.5]
    assert larger == []


def test_moving_the_piece_moves_the_punches():
    there = shapely.transform(square(0, 0, 10), lambda p: p + np.array([30, 7]))
    one, two = schedule(square(0, 0, 10)), schedule(there)
    assert np.array([p.at for p in two.punches]) == pytest.approx(
        np.array([p.at for p in one.punches]) + np.array([30, 7]), abs=1e-6
    )


@pytest.mark.parametrize(
    ("mm", "number"), [(1.5, "00"), (2.0, "0"), (2.5, "1"), (4.0, "5"), (10.0, "")]
)
def test_trade_numbers_follow_the_millimetres(mm, number):  # handbook 2.5
    assert trade_number(mm) == number


def test_a_radius_of_nothing_is_refused():
    with pytest.raises(ValueError, match="above 0"):
        schedule(square(0, 0, 5), radius=0)
