"""Margins: do openings keep clear of the edge, the stitch line, hardware and bends?"""

from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, mm_up
from filigree.job import Limits
from filigree.measure import Margin, Measures
from filigree.units import mm_down

NAMES = {
    "edge": "the edge",
    "stitch": "the stitch line",
    "hole": "a hole for hardware",
    "fold": "a fold",
    "buckle": "a buckle bend",
}
LIMITS = {"edge": "rim", "stitch": "stitch", "hole": "hole", "fold": "hole", "buckle": "buckle"}


def check(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find openings too near something; the nearest place of each pair (handbook 2.3)."""
    found = []
    for margin in measures.margins:
        wanted = float(getattr(limits, LIMITS[margin.beyond]))
        if margin.width < wanted - NOISE:
            found.append(_finding(margin, wanted, limits))
    return tuple(found)


def _finding(margin: Margin, wanted: float, limits: Limits) -> Finding:
    at = ((margin.start[0] + margin.end[0]) / 2, (margin.start[1] + margin.end[1]) / 2)
    far = (
        f"reaches {NAMES[margin.beyond]}"
        if margin.width <= NOISE
        else f"lies {mm_down(margin.width)} mm from {NAMES[margin.beyond]}"
    )
    return Finding(
        check=f"margin-{margin.beyond}",
        severity="caution",
        at=at,
        measured=margin.width,
        wanted=wanted,
        say=f"Opening {margin.opening} {far}: move its side back until {mm_up(wanted)} mm stay.",
        why=limits.why.get(LIMITS[margin.beyond], ""),
        ends=(margin.start, margin.end),
    )
