"""Closed: openings that a bevel leaves nothing of, so that they are not cut (handbook 2.3)."""

from collections.abc import Sequence

from filigree.checks.finding import Finding
from filigree.checks.words import mm_up
from filigree.pattern import Opening


def judge_closed(
    drawn: Sequence[Opening], cut: Sequence[Opening], *, bevel: float
) -> tuple[Finding, ...]:
    """Find the openings that are drawn and not cut.

    Args:
        drawn: openings of the pattern.
        cut: openings as they are cut, by the same ids.
        bevel: mm on each side.
    """
    left = {o.id for o in cut}
    return tuple(
        Finding(
            check="opening-closed",
            severity="caution",
            at=o.at,
            measured=0.0,
            wanted=2 * bevel,
            say=(
                f"Opening {o.id} is nowhere wider than its two bevels, {mm_up(2 * bevel)} mm, and is not cut: widen "
                "it, make the bevel narrower, or keep it as face."
            ),
            why=f"bevel {bevel:g} mm",
        )
        for o in drawn
        if o.id not in left
    )
