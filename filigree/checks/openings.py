"""Openings: wide enough for the cut, big enough to be seen, not too wide for the wearer?"""

from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, mm_up
from filigree.geometry.types import XY
from filigree.job import Limits, limits_in
from filigree.measure import Measures, OpeningSize
from filigree.units import mm_down

FLATTENING = 0.005  # mm: a disc inside a curve this near the limit meets it


def check(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find openings too narrow to cut, too small to show colour, or wider than allowed (handbook 2.2)."""
    found = []
    for opening in measures.openings:
        slack = NOISE if opening.ends is not None else FLATTENING
        narrow, here = _narrowest(opening), limits_in(limits, opening.at)
        there = limits_in(limits, narrow)
        if opening.width < there.opening_width - slack:
            found.append(_narrow(opening, narrow, there))
        if opening.area_mm2 < here.opening_area_mm2 - NOISE:
            found.append(_small(opening, here))
        most = here.opening_width_max
        if most is not None and opening.disc > most + NOISE:
            found.append(_wide(opening, here, most))
    return tuple(found)


def _narrowest(opening: OpeningSize) -> XY:
    if opening.ends is None:
        return opening.at
    (x0, y0), (x1, y1) = opening.ends
    return ((x0 + x1) / 2, (y0 + y1) / 2)


def _narrow(opening: OpeningSize, at: XY, limits: Limits) -> Finding:
    wanted = limits.opening_width
    where = "at its narrowest place" if opening.ends is not None else "all along"
    return Finding(
        check="opening",
        severity="caution",
        at=at,
        measured=opening.width,
        wanted=wanted,
        say=(
            f"Widen opening {opening.id} {where} from {mm_down(opening.width)} to {mm_up(wanted)} mm, "
            "or keep it as face."
        ),
        why=limits.why.get("opening_width", ""),
        ends=opening.ends,
    )


def _small(opening: OpeningSize, limits: Limits) -> Finding:
    wanted = limits.opening_area_mm2
    return Finding(
        check="opening-area",
        severity="caution",
        at=opening.at,
        measured=opening.area_mm2,
        wanted=wanted,
        say=(
            f"Opening {opening.id} is too small to show the inlay: enlarge it from "
            f"{mm_down(opening.area_mm2, 1)} to {mm_up(wanted)} mm2, or keep it as face."
        ),
        why=limits.why.get("opening_area_mm2", ""),
        unit="mm2",
    )


def _wide(opening: OpeningSize, limits: Limits, most: float) -> Finding:
    return Finding(
        check="opening-wide",
        severity="caution",
        at=opening.at,
        measured=opening.disc,
        wanted=most,
        say=f"Opening {opening.id} is wider than {mm_down(most, 1)} mm: part it with a bridge of {mm_up(limits.bridge.good)} mm.",
        why=limits.why.get("opening_width_max", "[limits] opening_max"),
    )
