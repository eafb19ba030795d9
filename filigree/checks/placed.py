"""Placed: does everything that the job places lie on the piece?"""

from collections.abc import Sequence

from filigree.checks.finding import Finding
from filigree.drawing.model import Drawing
from filigree.measure.placed import Placed


def judge_placed(drawing: Drawing, off: Sequence[Placed]) -> tuple[Finding, ...]:
    """Tell what lies wholly off the piece and therefore does nothing.

    Args:
        drawing: its page; a place off it is shown at its edge.
        off: what lies off the piece.
    """
    return tuple(
        Finding(
            check="placed",
            severity="caution",
            at=(_within(place.at[0], drawing.width), _within(place.at[1], drawing.height)),
            measured=0,
            wanted=1,
            say=(
                f"{place.name} lies off the piece and does nothing: move it onto the piece, "
                "in mm from the top left of the page, or take it out of the job."
            ),
            unit="",
        )
        for place in off
    )


def _within(value: float, most: float) -> float:
    return min(max(value, 0.0), most)
