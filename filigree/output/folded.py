"""Folded: a list of findings short enough to read; many of one kind become a few and a count."""

from collections import Counter
from collections.abc import Sequence

from filigree.output.report import FindingRow

SHOWN = 2  # of a kind that is folded
MANY = 4  # of a kind: from here on it is folded
FOLDED = frozenset(
    {"corner", "point"}
)  # kinds that come with nearly every opening of a sharp drawing


def folded(findings: Sequence[FindingRow]) -> list[tuple[int, FindingRow, str]]:
    """Choose the findings to write out.

    Args:
        findings: in the order of their numbers, from 1.

    Returns:
        Number and row of each finding to write out, with words for those folded behind it, or "".
    """
    many = Counter(f.check for f in findings if f.severity == "caution")
    seen: Counter[str] = Counter()
    rows = []
    for number, finding in enumerate(findings, start=1):
        count = many[finding.check]
        if finding.check in FOLDED and finding.severity == "caution" and count >= MANY:
            seen[finding.check] += 1
            if seen[finding.check] > SHOWN:
                continue
            last = seen[finding.check] == SHOWN
            rows.append((number, finding, _behind(finding.check, count - SHOWN) if last else ""))
        else:
            rows.append((number, finding, ""))
    return rows


def _behind(check: str, count: int) -> str:
    words = "openings with tight corners" if check == "corner" else "sharp points of face"
    return f"{count} more {words}, each with its number on the proof and a row in report.json"
