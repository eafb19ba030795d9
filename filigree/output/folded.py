"""Folded: a list of findings short enough to read; many of one kind become a few and a count."""

from collections.abc import Sequence
from itertools import groupby

from filigree.output.report import FindingRow

SHOWN = 3  # of a kind that is folded
MANY = 5  # of a kind: from here on it is folded
KINDS = {  # cautions that come in crowds, as they are called when folded; bridges and islands never are
    "corner": "openings with tight corners",
    "gap": "lines that end free",
    "guess": "fields that are guesses",
    "margin-stitch": "openings too near the stitch line",
    "lone-bridge": "bridges that hold a part alone",
    "opening-closed": "openings that the bevel closes",
    "opening-wide": "wide openings",
    "outline": "parts outside the outline",
    "point": "sharp points of face",
    "strand": "slender strands",
    "tongue": "slender tongues",
}


STOPS = {  # stops that come in crowds: one cause, one remedy
    "stitch-hole": "openings with stitch holes in them",
}


def folded(findings: Sequence[FindingRow]) -> list[tuple[int, FindingRow, str]]:
    """Choose the findings to write out.

    Args:
        findings: in the order of their numbers, from 1.

    Returns:
        Number and row of each finding to write out, with words for those folded behind it, or "".
    """
    crowds: dict[str, list[int]] = {kind: [] for kind in KINDS | STOPS}
    for number, finding in enumerate(findings, start=1):
        kinds = STOPS if finding.severity == "stop" else KINDS
        if finding.check in kinds:
            crowds[finding.check].append(number)
    hidden: set[int] = set()
    behind = {}
    for kind, numbers in crowds.items():
        if len(numbers) >= MANY:
            rest = numbers[SHOWN:]
            hidden.update(rest)
            behind[numbers[SHOWN - 1]] = (
                f"{len(rest)} more {(KINDS | STOPS)[kind]}: {_runs(rest)} on the proof"
            )
    return [
        (number, finding, behind.get(number, ""))
        for number, finding in enumerate(findings, start=1)
        if number not in hidden
    ]


def _runs(numbers: Sequence[int]) -> str:
    """Write rising numbers shortly: 4, 7 to 9, 12."""
    runs = []
    for _, pairs in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in pairs]
        runs.append(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)))
    return ", ".join(runs)
