"""Advice: the thickness and the size that are named are tried, and so are the next ones beyond them."""

import msgspec
import pytest
from shapely import affinity

from filigree.checks import judge
from filigree.job import Face, Job, limits_of
from filigree.measure import measure
from filigree.mend.advice import WEIGHTS, advice
from tests.make.shapes import circle, pattern, square_grid

JOB = Job(face=Face(thickness="7-8 oz"))


def plate(gap, scale=1.0):
    """Holes of 8 mm with bridges of `gap` mm, the whole larger by `scale`."""
    holes = [circle(x, y, 4.0) for x, y in square_grid(3, 2, 8 + gap)]
    larger = [affinity.scale(h, scale, scale, origin=(0, 0)) for h in holes]
    return pattern(*larger, margin=9 * scale)


def holds(face, job):
    limits = limits_of(job)
    found = judge(measure(face, wanted=limits.bridge.good), limits)
    return all(f.severity != "stop" for f in found)


def at(thickness):
    return msgspec.structs.replace(JOB, face=Face(thickness=thickness))


@pytest.mark.parametrize("gap", [1.5, 2.0, 2.5])
def test_the_named_thickness_is_the_thickest_that_holds(gap):
    face = plate(gap)
    assert not holds(face, JOB)
    named = advice(face, JOB).thickness
    assert holds(face, at(named))
    thicker = WEIGHTS[WEIGHTS.index(named) + 1]
    assert not holds(face, at(thicker))


@pytest.mark.parametrize("gap", [1.5, 2.0, 2.5])
def test_the_named_size_holds_and_a_little_less_does_not(gap):
    scale = advice(plate(gap), JOB).scale
    stop = limits_of(JOB).bridge.stop
    assert scale == pytest.approx(
        stop / gap, abs=0.025
    )  # closed form: half a percent, rounded up to one
    assert scale >= stop / gap - 1e-6
    assert holds(plate(gap, scale), JOB)
    assert not holds(plate(gap, scale - 0.03), JOB)


def test_a_plate_that_nothing_helps_is_said_to_hold_nowhere():
    found = advice(plate(0.05), JOB)
    assert (found.thickness, found.scale) == ("", None)
    assert found.say.startswith("As drawn it holds at no common weight")
