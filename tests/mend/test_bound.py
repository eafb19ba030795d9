"""The bound of the survey is worked out apart from the package's neck search: closed forms, and nothing at tongues."""

import math

import pytest

from scripts.mend.bound import lower_bound
from scripts.mend.plates import PLATES, drilled
from tests.make.shapes import circle, pattern, polygon, rectangle

WANTED = 3.6  # mm


def test_two_parallel_edges_must_lose_the_missing_strip():
    drawn = pattern(rectangle(10, 10, 30, 20), rectangle(10, 33, 30, 20))
    assert lower_bound(drawn, wanted=WANTED) == pytest.approx(30 * (WANTED - 3.0), rel=1e-3)


def test_two_circles_must_lose_two_segments():
    radius, gap = 8.0, 2.5
    drawn = pattern(circle(0, 0, radius, 0.0005), circle(2 * radius + gap, 0, radius, 0.0005))
    angle = 2 * math.acos(1 - (WANTED - gap) / 2 / radius)
    segment = radius**2 / 2 * (angle - math.sin(angle))
    assert lower_bound(drawn, wanted=WANTED) == pytest.approx(2 * segment, rel=0.01)


def test_the_outline_gives_nothing():
    drawn = pattern(rectangle(0, 0, 30, 20), margin=2.5)
    inner = (30 - 2 * (WANTED - 2.5)) * (20 - 2 * (WANTED - 2.5))
    assert lower_bound(drawn, wanted=WANTED) == pytest.approx(30 * 20 - inner, rel=1e-3)


def test_a_tongue_that_runs_out_into_a_tip_is_no_neck():
    hole = rectangle(0, 0, 60, 40).difference(polygon((20, 40), (29.8, 10), (30.2, 10), (40, 40)))
    assert lower_bound(pattern(hole), wanted=WANTED) == 0


@pytest.mark.parametrize("kind", PLATES)
def test_plates_must_lose_what_their_closed_form_says(kind):
    drawn, _, least = drilled(kind, 0, "4-5 oz")
    assert lower_bound(drawn, wanted=2.9765625) == pytest.approx(least, rel=0.02)
