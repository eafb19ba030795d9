"""Punch schedule: a punch fits the corner and lies wholly in its opening (handbook 2.5)."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from filigree.job.punches import SIZES
from filigree.plies.punch import punch_schedule, trade_number
from tests.make.shapes import circle, opening, slot, square


def schedule(*shapes, radius=1.0):
    return punch_schedule([opening(k, s) for k, s in enumerate(shapes, 1)], radius=radius)


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
