"""Bridges and islands. "row n" is row n of the check table; section numbers are the trade handbook's."""

import pytest

from filigree.checks import judge
from filigree.checks.bridges import limits_at
from filigree.job import BridgeLimits, Job, Zone, limits_of
from filigree.measure import measure
from tests.checks.limits import limits
from tests.make import circle, pattern, rectangle, square

KNIFE = [  # row 98: t 2.4 by knife, good 3.6, stop 2.4
    (3.6, []),
    (3.5, ["caution"]),
    (2.4 - 1e-9, ["caution"]),
    (2.3, ["stop"]),
]


@pytest.mark.parametrize(("gap", "severities"), KNIFE)
def test_knife_limits_of_a_2_4_mm_face(gap, severities):
    measures = measure(pattern(square(0, 0, 6), square(6 + gap, 0, 6)), wanted=3.6)
    found = judge(measures, limits(thickness=2.4))
    assert [f.severity for f in found if f.check == "bridge"] == severities


def test_thin_face_by_knife_keeps_the_floor():
    """Row 99: t 0.8 wants 2.0 mm, stops under 1.2 mm."""
    measures = measure(pattern(square(0, 0, 6), square(7.9, 0, 6)), wanted=2.0)
    (found,) = [f for f in judge(measures, limits(thickness=0.8)) if f.check == "bridge"]
    assert (found.severity, found.wanted) == ("caution", 2.0)


def test_laser_takes_the_upper_thickness():
    """Row 100: "5-6 oz" by laser wants 2.381 mm."""
    job = Job()
    found = limits_of(
        type(job)(cut=type(job.cut)(way="laser"), face=type(job.face)(thickness="5-6 oz"))
    )
    assert found.bridge.good == pytest.approx(2.381, abs=0.001)


def ring(tie=0.0):
    """A ring-shaped opening, 10 and 6 mm in radius, with a tie across it or none."""
    cut = circle(0, 0, 10).difference(circle(0, 0, 6))
    return cut.difference(rectangle(5, -tie / 2, 6, tie)) if tie else cut


def test_disc_in_a_ring_is_a_loose_part_and_no_bridge():
    """Row 101."""
    measures = measure(pattern(ring()), wanted=3.0)
    found = judge(measures, limits(thickness=2.0))
    (island,) = measures.islands
    assert island.number == 1
    assert island.within == 1
    assert measures.necks == ()
    assert [f.check for f in found if f.check in {"bridge", "island"}] == ["island"]


def test_disc_with_a_1_mm_tie_is_no_island():
    """Row 102: bridge 1.0, a stop at t 2."""
    measures = measure(pattern(ring(tie=1.0)), wanted=3.0)
    found = [f for f in judge(measures, limits(thickness=2.0)) if f.check == "bridge"]
    assert measures.islands == ()
    assert [f.severity for f in found] == ["stop"]
    assert found[0].measured == pytest.approx(1.0, abs=1e-9)


def test_openings_touching_at_one_point_are_a_stop():
    """Row 103."""
    measures = measure(pattern(square(0, 0, 6), square(6, 6, 6)), wanted=3.0)
    (found,) = [f for f in judge(measures, limits(thickness=2.0)) if f.check == "bridge"]
    assert (found.severity, found.measured, found.at) == ("stop", 0.0, (6.0, 6.0))
    assert "between openings 1 and 2" in found.say


@pytest.mark.parametrize(
    ("side", "severity"), [(4.9, "caution"), (4.0, "caution"), (3.9, "stop")], ids=str
)
def test_loose_part_is_a_stop_when_too_small_to_glue(side, severity):
    """25 mm2 or 2 t wide (handbook 2.2): 4.9 mm is under 25 mm2 but over 2 t, 3.9 mm is neither."""
    cut = circle(0, 0, 10).difference(square(-side / 2, -side / 2, side))
    found = judge(measure(pattern(cut), wanted=3.0), limits(thickness=2.0))
    assert [f.severity for f in found if f.check == "island"] == [severity]


def test_square_loose_part_is_no_neck_but_a_waisted_one_is():
    plain = circle(0, 0, 10).difference(rectangle(-4, -1.5, 8, 3))
    waisted = circle(0, 0, 10).difference(
        rectangle(-6, -2, 4, 4).union(rectangle(-2, -1, 4, 2)).union(rectangle(2, -2, 4, 4))
    )
    assert measure(pattern(plain), wanted=3.0).necks == ()
    assert [n.width for n in measure(pattern(waisted), wanted=3.0).necks] == pytest.approx([2.0])


def test_inlay_seen_through_a_loose_part_is_told():
    """An opening within an island within an opening."""
    outer = circle(0, 0, 20).difference(circle(0, 0, 15))
    measures = measure(pattern(outer, circle(0, 0, 5)), wanted=3.0)
    (island,) = measures.islands
    assert (island.within, island.openings) == (1, (2,))
    (found,) = [f for f in judge(measures, limits(thickness=2.0)) if f.check == "island"]
    assert "opening 2" in found.say


def test_zone_near_a_buckle_wants_more():
    zone = Zone(name="buckle", box=(-10, -10, 30, 30), bridge=5.0)
    base = limits(thickness=2.0)
    strict = limits(
        thickness=2.0,
        zones=((zone, BridgeLimits(good=5.0, stop=2.0, why="zone buckle bridge")),),
    )
    measures = measure(
        pattern(square(0, 0, 6), square(10, 0, 6), square(60, 0, 6), square(70, 0, 6)), wanted=5.0
    )
    assert not [f for f in judge(measures, base) if f.check == "bridge"]
    (found,) = [f for f in judge(measures, strict) if f.check == "bridge"]
    assert found.at[0] == pytest.approx(8.0)
    assert "zone buckle" in found.why
    assert limits_at((50, 0), strict) is strict.bridge


def test_what_the_sentence_asks_for_removes_the_finding():
    job = limits(thickness=2.381)
    before = measure(pattern(square(0, 0, 6), square(8, 0, 6)), wanted=job.bridge.good)
    (found,) = [f for f in judge(before, job) if f.check == "bridge"]
    asked = float(found.say.split(" to ")[1].split(" mm")[0])
    after = measure(pattern(square(0, 0, 6), square(6 + asked, 0, 6)), wanted=job.bridge.good)
    assert not [f for f in judge(after, job) if f.check == "bridge"]


def test_width_is_never_printed_wider_than_it_is():
    measures = measure(pattern(square(0, 0, 6), square(6 + 2.3999, 0, 6)), wanted=3.6)
    (found,) = [f for f in judge(measures, limits(thickness=2.4)) if f.check == "bridge"]
    assert "2.39" in found.say


def test_worst_comes_first():
    openings = [square(0, 0, 6), square(9.4, 0, 6), square(0, 20, 6), square(7, 20, 6)]
    found = judge(measure(pattern(*openings), wanted=3.6), limits(thickness=2.4))
    bridges = [f for f in found if f.check == "bridge"]
    assert [round(f.measured, 6) for f in bridges] == [1.0, 3.4]
