"""Means that the maker asks for: corners rounded, points blunted, the weakest way across strengthened."""

import math

import pytest
import shapely

from filigree.job import CutLoss, Cutting, Job, LimitSettings, Mend, limits_of
from filigree.measure import measure
from filigree.mend.mend import mend
from tests.make.shapes import circle, pattern, polygon, rectangle, square
from tests.mend.test_mend import limits, mended

PLAIN = pattern(square(0, 0, 20), square(30, 0, 20))
NOTCHED = pattern(polygon((0, 0), (20, 0), (20, 20), (12, 20), (10, 8), (8, 20), (0, 20)))
PLATE = pattern(*[rectangle(x, y, 8, 8) for x in range(0, 70, 14) for y in (0, 14, 28)], margin=8)
ASKED = [
    pytest.param(PLAIN, {"corner": 1.5}, "round", id="corners"),
    pytest.param(NOTCHED, {"point": 60}, "blunt", id="points"),
    pytest.param(PLATE, {"section": 0.58, "change": 0.3}, "strengthen", id="section"),
]


def wkb(done):
    return [o.shape.wkb for o in done.pattern.openings]


def test_a_square_corner_loses_what_the_punch_does_not_reach():
    """A quarter disc in a right angle leaves (1 - pi/4) r2 (closed form)."""
    done = mended(PLAIN, corner=1.5)
    assert [c.how for c in done.changes] == ["round"] * 8
    for change in done.changes:
        assert change.added.area == pytest.approx((1 - math.pi / 4) * 1.5**2, rel=0.02)
    for opening in measure(done.pattern, wanted=3.6).openings:
        assert all(c.radius >= 1.5 - 0.01 for c in opening.corners)


def test_a_corner_that_no_punch_fits_is_said():
    drawn = pattern(rectangle(0, 0, 2.5, 20), square(30, 0, 20))
    done = mended(drawn, corner=1.5)
    assert {u.why for u in done.unmended} == {
        "no punch that would round this corner fits the opening"
    }
    assert len(done.unmended) == 4
    assert done.pattern.openings[0] is drawn.openings[0]


def test_a_point_of_face_is_blunted_to_its_radius():
    """A point of angle a loses r2 (cot(a/2) - (pi - a)/2) to a disc of radius r (closed form)."""
    before = measure(NOTCHED, wanted=3.6).tips
    angle = math.radians(before[0].angle_deg)
    done = mended(NOTCHED, point=60)
    cut = 0.504**2 * (1 / math.tan(angle / 2) - (math.pi - angle) / 2)
    assert done.changes[0].added.area == pytest.approx(cut, rel=0.02)
    assert measure(done.pattern, wanted=3.6).tips == ()
    assert done.pattern.land.area == pytest.approx(NOTCHED.land.area - cut, rel=1e-4)


def test_the_weakest_way_gets_the_share_that_is_wanted():
    done = mended(PLATE, section=0.58, change=0.3)
    share = measure(done.pattern, wanted=3.6).section.share
    assert 0.58 - 1e-6 <= share <= 0.585
    refused = mended(PLATE, section=0.9, change=0.05)
    assert [u.why for u in refused.unmended] == [
        "the openings on the weakest way across would lose more than they may"
    ]


@pytest.mark.parametrize(("drawn", "own", "how"), ASKED)
def test_nothing_is_done_that_is_not_asked_for(drawn, own, how):
    assert how not in {c.how for c in mended(drawn, change=own.get("change", 0.12)).changes}
    assert how in {c.how for c in mended(drawn, **own).changes}


@pytest.mark.parametrize(("drawn", "own", "how"), ASKED)
def test_the_list_gives_the_same_again_and_mending_again_changes_nothing(drawn, own, how):
    once = mended(drawn, **own)
    assert wkb(mended(drawn, listed=once.entries, **own)) == wkb(once)
    assert mended(once.pattern, **own).pattern is once.pattern


@pytest.mark.parametrize(("drawn", "own", "how"), ASKED)
def test_one_that_is_dropped_stays_as_drawn(drawn, own, how):
    entries = list(mended(drawn, **own).entries)
    first = entries[0]
    entries[0] = Mend(how=first.how, at=first.at, width=first.width, as_drawn=True)
    done = mended(drawn, listed=entries, **own)
    kept = [c for c in done.changes if math.dist(c.at, first.at) < 1e-3]
    assert kept == []
    assert len(done.changes) == len(entries) - 1


def test_corners_that_widening_makes_are_rounded():
    """Between two neighbours a disc keeps an edge that meets its new edges in corners: these go."""
    drawn = pattern(circle(0, 0, 8), circle(17, 0, 8), circle(0, 17, 8), circle(17, 17, 8))
    done = mended(drawn, change=1.0)
    least = limits().corner - 0.01
    for opening in measure(done.pattern, wanted=3.6).openings:
        assert all(c.radius >= least for c in opening.corners)
    near = shapely.union_all([c.added for c in done.changes]).buffer(1e-3)
    before = shapely.union_all([o.shape for o in drawn.openings])
    after = shapely.union_all([o.shape for o in done.pattern.openings])
    assert near.covers(before.difference(after).buffer(-1e-3))


def test_a_laser_rounds_to_the_radius_and_needs_no_punch():
    """No punch fits an opening of 2.5 mm; a beam follows a radius of 1 mm in it all the same."""
    slim = pattern(rectangle(0, 0, 2.5, 20), square(30, 0, 20))
    job = Job(cut=Cutting(way="laser"), limits=LimitSettings(corner=1.0))
    done = mend(slim, limits_of(job), loss=CutLoss(kerf=0, char=0, bevel=0), first_free=9)
    assert done.unmended == ()
    assert [c.how for c in done.changes] == ["round"] * 8
    for change in done.changes:
        assert change.added.area == pytest.approx((1 - math.pi / 4) * 1.0**2, rel=0.02)
        assert "punch" not in change.why
    assert all("mm punch" in c.why for c in mended(PLAIN, corner=1.5).changes)
