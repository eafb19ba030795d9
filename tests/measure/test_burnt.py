"""What the char takes whole is told: a beam on lines close together destroys the strand (handbook 2.1)."""

import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from filigree.checks import judge
from filigree.job import CutLoss, Cutting, Job, limits_of
from filigree.measure import asked_of, measured
from tests.make.shapes import pattern, rectangle

CHAR = 0.2
LASER = CutLoss(kerf=0.2, char=CHAR, bevel=0.0)
JOB = Job(cut=Cutting(way="laser"))


def stops(face, loss=LASER):
    """What was measured of a face, and the stops it gives."""
    limits = limits_of(JOB)
    found = measured(face, loss=loss, wanted=limits.bridge.good, asked=asked_of(JOB, limits))
    return found.measures, [f for f in judge(found.measures, limits) if f.severity == "stop"]


@given(gap=st.floats(0.05, 3.0))
def test_two_openings_leave_what_both_chars_leave(gap):
    """Closed form: the gap less twice the char, or nothing."""
    face = pattern(rectangle(20, 20, 15, 15), rectangle(35 + gap, 20, 15, 15))
    measures, found = stops(face)
    left = max(gap - 2 * CHAR, 0.0)
    assert measures.necks[0].width == pytest.approx(left, abs=2e-6)
    assert measures.necks[0].between == (1, 2)
    assert bool(found) == (left < limits_of(JOB).bridge.stop - 1e-6)


@pytest.mark.parametrize("rim", [0.1, 0.35, 0.39, 0.41])
def test_a_rim_that_burns_away_is_a_stop(rim):
    face = pattern(rectangle(0, 0, 40, 30), outline=shapely.box(-rim, -20, 60, 50))
    measures, found = stops(face)
    assert measures.necks[0].width == pytest.approx(max(rim - 2 * CHAR, 0.0), abs=1e-6)
    assert any(f.check == "bridge" and f.measured < 0.1 for f in found)


def test_a_loose_part_that_burns_away_is_a_stop():
    hole = rectangle(20, 20, 30, 30) - rectangle(34, 34, 0.35, 0.35)
    measures, found = stops(pattern(hole))
    assert [(i.area_mm2, i.width) for i in measures.islands] == [(0.0, 0.0)]
    assert [f.check for f in found] == ["island"]


def test_a_waist_that_burns_through_is_told_beside_the_two_halves():
    """A strand 0.7 mm wide with a waist of less than both chars: a place of no width, once."""
    ring = [(35, 20), (35, 34), (35.2, 35), (35, 36), (35, 50), (20, 50), (20, 20)]
    waist = shapely.Polygon(ring)
    face = pattern(waist, shapely.affinity.scale(waist, -1, 1, origin=(35.35, 35)))
    measures, found = stops(face)
    narrow = [n for n in measures.necks if n.width == 0.0]
    assert len(narrow) == 1
    assert narrow[0].middle == pytest.approx((35.35, 35), abs=1e-6)
    assert found[0].check == "bridge"


def test_a_knife_burns_nothing():
    face = pattern(rectangle(20, 20, 15, 15), rectangle(35.3, 20, 15, 15))
    loss = CutLoss(kerf=0.0, char=0.0, bevel=0.0)
    assert stops(face, loss)[0].necks[0].width == pytest.approx(0.3)
