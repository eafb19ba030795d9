"""Judge measures against limits: one tuple lists every check."""

from collections.abc import Callable

from filigree.checks import bridges, corners, islands, margins, openings, share, strands
from filigree.checks.finding import Finding
from filigree.job import Limits
from filigree.measure import Measures

Check = Callable[[Measures, Limits], tuple[Finding, ...]]

CHECKS: tuple[Check, ...] = (
    bridges.check,
    islands.check,
    openings.check,
    corners.check,
    margins.check,
    strands.check,
    share.check,
)


def judge(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find every place that falls short of a limit: stops first, then the farthest from its limit."""
    found = [finding for check in CHECKS for finding in check(measures, limits)]
    return tuple(sorted(found, key=_worst_first))


def _worst_first(finding: Finding) -> tuple[bool, float, str, float, float]:
    high, low = max(finding.measured, finding.wanted), min(finding.measured, finding.wanted)
    return (finding.severity != "stop", low / high if high > 0 else 0.0, finding.check, *finding.at)
