"""Judge measures against limits: one tuple lists every check."""

from collections.abc import Callable

from filigree.checks import bridges, corners, islands, margins, openings, share, strands
from filigree.checks.finding import Finding
from filigree.job import Limits
from filigree.measure import Measures

Check = Callable[[Measures, Limits], tuple[Finding, ...]]

CHECKS: tuple[Check, ...] = (  # what holds the face together first
    bridges.check,
    islands.check,
    strands.check,
    share.check,
    margins.check,
    openings.check,
    corners.check,
)


def judge(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find every place that falls short of a limit: stops first, then by check, the worst first."""
    found = []
    for rank, check in enumerate(CHECKS):
        found += [(_worst_first(finding, rank), finding) for finding in check(measures, limits)]
    return tuple(finding for _, finding in sorted(found, key=lambda pair: pair[0]))


def _worst_first(finding: Finding, rank: int) -> tuple[bool, int, float, str, float, float]:
    high, low = max(finding.measured, finding.wanted), min(finding.measured, finding.wanted)
    share = low / high if high > 0 else 0.0
    return (finding.severity != "stop", rank, share, finding.check, *finding.at)
