"""A named area of the piece with limits of its own: trade practice, no source; tested is that they are applied."""

import pytest

from filigree.checks import judge
from filigree.job import limits_in, limits_of
from filigree.job.files import job_from
from filigree.measure import asked_of, measure
from tests.make import pattern, rectangle, slot, square


def judged(text, *openings, outline=None):
    job = job_from(f'[face]\nthickness = "2 mm"\n{text}', where="job.toml")
    own = limits_of(job)
    face = pattern(*openings, outline=outline)
    return judge(measure(face, wanted=own.bridge.good, asked=asked_of(job, own)), own)


def zone(setting, box="[-10, -10, 30, 30]"):
    return f'[[use.zones]]\nname = "tip"\nbox = {box}\n{setting}\n'


WIDE = rectangle(-40, -40, 120, 100)
TONGUE = rectangle(0, 0, 25, 20).difference(rectangle(11, 8, 2, 13))
RULES = [  # setting, check, openings: found only inside the zone
    ("bridge = 9", "bridge", [square(0, 0, 6), square(14, 0, 6)]),
    ("opening_min = 7", "opening", [slot(0, 0, 20, 5)]),
    ("opening_area = 40", "opening-area", [square(0, 0, 6)]),
    ("opening_max = 5", "opening-wide", [square(0, 0, 6)]),
    ("corner = 4", "corner", [rectangle(0, 0, 20, 20).buffer(-3.5).buffer(3.5, quad_segs=32)]),
    ("point = 95", "point", [TONGUE]),
    ("tongue_glued = 3", "tongue", [TONGUE]),
    ("strand = 2", "strand", [rectangle(0, 0, 20, 4), rectangle(0, 8, 20, 4)]),
    ("rim = 45", "margin-edge", [square(0, 0, 6)]),
]


@pytest.mark.parametrize(("setting", "check", "openings"), RULES, ids=lambda v: str(v)[:16])
def test_a_zone_may_ask_for_more(setting, check, openings):
    def found(text):
        return [f for f in judged(text, *openings, outline=WIDE) if f.check == check]

    assert not found("")
    assert not found(zone(setting, box="[40, 40, 70, 55]"))
    assert found(zone(setting))
    assert all(f"zone tip {setting.split(' ')[0]}" in f.why for f in found(zone(setting)))


def test_necks_are_known_as_far_as_any_zone_asks():
    """Wider than twice the piece's bridge of 3 mm."""
    found = judged(zone("bridge = 9"), square(0, 0, 6), square(14, 0, 6), outline=WIDE)
    (bridge,) = [f for f in found if f.check == "bridge"]
    assert (bridge.measured, bridge.wanted) == (pytest.approx(8.0), 9.0)


def test_the_strictest_of_two_zones_holds_where_they_overlap():
    text = zone("tongue_glued = 3\nrim = 12") + zone("tongue_glued = 5\nrim = 20")
    here = limits_in(limits_of(job_from(text, where="job.toml")), (0, 0))
    assert (here.tongue_glued, here.rim) == (3, 20)
    far = limits_in(limits_of(job_from(text, where="job.toml")), (50, 50))
    assert (far.tongue_glued, far.rim) == (8, 6)


def test_corners_in_two_zones_are_rounded_as_the_strictest_asks():
    text = zone("corner = 1", "[-5, -5, 10, 25]") + zone("corner = 2", "[10.5, -5, 25, 25]")
    (corner,) = [f for f in judged(text, square(0, 0, 20), outline=WIDE) if f.check == "corner"]
    assert corner.wanted == 2
    assert "4 tight corners" in corner.say
    assert "radius of 2.0 mm" in corner.say


OVERLAPS = [  # settings of two zones round one place, wanted and stop there
    pytest.param(
        ("bridge = 6\nbridge_stop = 1.3", "bridge = 5\nbridge_stop = 5"), 6, 5, id="one each"
    ),
    pytest.param(
        ("bridge = 5\nbridge_stop = 5", "bridge = 6\nbridge_stop = 1.3"), 6, 5, id="either order"
    ),
    pytest.param(
        ("bridge = 2.5\nbridge_stop = 1", "bridge = 2"),
        2.5,
        2,
        id="the piece's stop where none is set",
    ),
    pytest.param(
        ("bridge = 2.5\nbridge_stop = 1", "rim = 9"), 2.5, 1, id="one that is silent on bridges"
    ),
    pytest.param(("rim = 8", "rim = 9"), 3, 2, id="the piece's"),
]


@pytest.mark.parametrize(("settings", "good", "stop"), OVERLAPS)
def test_the_strictest_bridge_and_the_strictest_stop_hold_in_two_zones(settings, good, stop):
    text = '[face]\nthickness = "2 mm"\n' + "".join(map(zone, settings))  # 3.0 and 2.0 mm (row 98)
    here = limits_in(limits_of(job_from(text, where="job.toml")), (0, 0)).bridge
    assert (here.good, here.stop) == (good, stop)


@pytest.mark.parametrize(("gap", "severity"), [(4.9, "stop"), (5.5, "caution")])
def test_a_bridge_in_two_zones_is_judged_by_both(gap, severity):
    text = zone("bridge = 6\nbridge_stop = 1.3") + zone("bridge = 5\nbridge_stop = 5")
    found = judged(text, square(0, 0, 6), square(6 + gap, 0, 6), outline=WIDE)
    (bridge,) = [f for f in found if f.check == "bridge"]
    assert (bridge.severity, bridge.wanted) == (severity, 6)


def test_seams_of_a_thin_laser_cut_face_are_known_up_to_what_they_want():
    """1.5 mm on each side of a seam is wanted however thin the face."""
    job = job_from('[face]\nthickness = "0.8 mm"\n[cut]\nway = "laser"', where="job.toml")
    assert asked_of(job, limits_of(job)).necks >= 3.0
