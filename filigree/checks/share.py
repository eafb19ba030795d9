"""Open share and weakest section: does enough of the face stay?"""

import math

from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, mm_up
from filigree.job import Limits
from filigree.measure import Measures
from filigree.units import mm_down


def check(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find a face that is open beyond its use, or too weak across the pull (handbook 2.2, 6.5)."""
    return (*_open(measures, limits), *_section(measures, limits))


def _open(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    share = measures.share
    if share is None or share.whole <= limits.open_share + NOISE:
        return ()
    return (
        Finding(
            check="open-share",
            severity="caution",
            at=share.at,
            measured=100 * share.whole,
            wanted=100 * limits.open_share,
            say=(
                f"{math.ceil(100 * share.whole)} % of the face comes out, most of it here: keep fields as "
                f"face until no more than {100 * limits.open_share:.0f} % does."
            ),
            why=limits.why.get("open_share", ""),
            unit="%",
        ),
    )


def _section(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    section = measures.section
    if section is None or limits.section is None or section.share >= limits.section - NOISE:
        return ()
    x, y = zip(*section.line, strict=True)
    whole = section.width / section.share if section.share > 0 else 0.0
    wanted = f" to {mm_up(limits.section * whole)}" if whole else ""
    return (
        Finding(
            check="section",
            severity="caution",
            at=(sum(x) / len(x), sum(y) / len(y)),
            measured=100 * section.share,
            wanted=100 * limits.section,
            say=(
                f"Widen the bridges on the weakest way across from {mm_down(section.width)}{wanted} mm "
                "of leather in all."
            ),
            why="[limits] section",
            unit="%",
            ends=(section.line[0], section.line[-1]),
        ),
    )
