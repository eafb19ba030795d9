"""Headings: what the findings of a check are about, in two or three words, for lists that put them together."""

from collections.abc import Iterable
from typing import Final, Protocol

HEADINGS: Final = {
    "outline": "Edge of the piece",
    "openings": "What comes out",
    "gap": "Open ends of lines",
    "guess": "Fields to settle",
    "placed": "Places named in the job",
    "bridge": "Narrow bridges",
    "lone-bridge": "Parts that hang on one bridge",
    "strand": "Long strands",
    "tongue": "Long tongues",
    "section": "Weakest way across",
    "island": "Loose parts",
    "stitch-hole": "Stitches in openings",
    "stitch-edge": "Stitches near the edge",
    "margin": "Rim and margins",
    "opening": "Narrow openings",
    "opening-closed": "Openings that a bevel closes",
    "opening-area": "Small openings",
    "opening-wide": "Wide openings",
    "corner": "Tight corners",
    "point": "Sharp points of face",
    "seam": "Seams of the inlay",
    "open-share": "How much comes out",
}


class Judged(Protocol):
    """A finding, or its row in the report."""

    @property
    def check(self) -> str:
        """The check that found it."""

    @property
    def severity(self) -> str:
        """How much it weighs, "stop" or "caution"."""


def heading(check: str) -> str:
    """Give the heading over the findings of a check.

    >>> heading("bridge"), heading("stitch-line")
    ('Narrow bridges', 'Stitch line')
    """
    return HEADINGS.get(check, check.replace("-", " ").capitalize())


def together(findings: Iterable[Judged]) -> list[tuple[str, str, tuple[int, ...]]]:
    """Put findings of one severity and check together, in the order of the first of each.

    Returns:
        Severity, heading, and the places of the findings in the list, from 0.
    """
    groups: dict[tuple[str, str], list[int]] = {}
    for k, finding in enumerate(findings):
        groups.setdefault((finding.severity, heading(finding.check)), []).append(k)
    return [(severity, name, tuple(rows)) for (severity, name), rows in groups.items()]
