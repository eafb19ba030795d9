"""Margins: do openings keep clear of the edge, the stitch line, hardware and bends?"""

from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, mm_up
from filigree.geometry.types import XY
from filigree.job import Limits, limits_in
from filigree.measure import Margin, Measures
from filigree.measure.model import Beyond
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
        (x0, y0), (x1, y1) = margin.start, margin.end
        at = ((x0 + x1) / 2, (y0 + y1) / 2)
        wanted, here = _wanted(margin.beyond, (margin.start, at, margin.end), limits)
        if margin.width < wanted - NOISE:
            found.append(_finding(margin, at, wanted, here))
    return tuple(found)


def _wanted(beyond: Beyond, places: tuple[XY, ...], limits: Limits) -> tuple[float, Limits]:
    """Margin wanted along a line: the widest of the zones that it comes through.

    An opening never meets the strip that the stitches hold by, whatever the maker has set (handbook 4).
    """
    here = [limits_in(limits, place) for place in places]
    least = limits.stitch_hole if beyond == "stitch" else 0.0
    wanted = [max(float(getattr(own, LIMITS[beyond])), least) for own in here]
    most = max(range(len(here)), key=wanted.__getitem__)
    return wanted[most], here[most]


def _finding(margin: Margin, at: XY, wanted: float, limits: Limits) -> Finding:
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
        why=(
            limits.why.get(LIMITS[margin.beyond], "")
            if wanted <= getattr(limits, LIMITS[margin.beyond])
            else f"never under {wanted:.1f} mm"
        ),
        ends=(margin.start, margin.end),
    )
