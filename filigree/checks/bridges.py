"""Bridges: is every strand of face wide enough at its narrowest place?"""

from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, between, mm_up
from filigree.geometry.types import XY
from filigree.job import BridgeLimits, Limits, limits_in
from filigree.measure import Measures, Neck
from filigree.units import mm_down


def check(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find the bridges under the limits for this face and cut, narrowest first (handbook 2.1).

    A place inside a named zone goes by the zone's limits, the strictest where zones overlap.
    """
    found = []
    for neck in measures.necks:
        wanted = limits_at(neck.middle, limits)
        if neck.width < wanted.good - NOISE:
            found.append(_finding(neck, wanted))
    return tuple(found)


def limits_at(at: XY, limits: Limits) -> BridgeLimits:
    """Bridge limits that hold at a place."""
    return limits_in(limits, at).bridge


def _finding(neck: Neck, wanted: BridgeLimits) -> Finding:
    touching = neck.width <= NOISE
    place = between(neck.between)
    if touching:
        say = f"The cut meets itself {place}: leave {mm_up(wanted.good)} mm of face there."
    else:
        say = f"Widen the bridge {place} from {mm_down(neck.width)} to {mm_up(wanted.good)} mm."
    return Finding(
        check="bridge",
        severity="stop" if touching or neck.width < wanted.stop - NOISE else "caution",
        at=neck.middle,
        measured=neck.width,
        wanted=wanted.good,
        say=say,
        why=f"{wanted.why}; stop under {mm_up(wanted.stop, 2)} mm",
        ends=(neck.start, neck.end),
    )
