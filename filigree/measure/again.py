"""Again: a face that is measured time after time while it changes here and there.

What a face shares with the one measured before is taken from there: openings by their shape, necks round what
has not changed. All else is measured anew.
"""

from dataclasses import dataclass

from filigree.job import CutLoss
from filigree.measure.ascut import as_cut
from filigree.measure.asked import Asked
from filigree.measure.burnt import with_burnt
from filigree.measure.finished import finished
from filigree.measure.measure import measure, searched
from filigree.measure.model import Measures, Neck, OpeningSize
from filigree.measure.nearby import necks_again
from filigree.pattern import Pattern


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """A face that was measured, with all that its measures hang on.

    Attributes:
        drawn: the pattern as drawn or mended.
        loss: what the cut takes.
        asked: what was measured.
        face: the face as it leaves the bench.
        cut: the pattern with its openings as they are cut.
        necks: of that face, without those that the cut has taken whole.
        measures: of the face, with all that was lost.
    """

    drawn: Pattern
    loss: CutLoss
    asked: Asked
    face: Pattern
    cut: Pattern
    necks: tuple[Neck, ...]
    measures: Measures

    def fits(self, *, loss: CutLoss, wanted: float, asked: Asked) -> bool:
        """Say whether this is what would be measured of the same pattern."""
        return (self.loss, self.measures.wanted, self.asked) == (loss, wanted, asked)


def measured(
    drawn: Pattern, *, loss: CutLoss, wanted: float, asked: Asked, last: Measured | None = None
) -> Measured:
    """Measure what a cut leaves of a pattern, leaning on an earlier measuring.

    Args:
        drawn: the pattern.
        loss: what the cut takes, mm.
        wanted: bridge width, mm.
        asked: what else to measure.
        last: what was measured before, of this pattern or another.
    """
    alike = last if last is not None and last.loss == loss else None
    if alike is not None and alike.drawn is drawn:
        face, cut = alike.face, alike.cut
        if alike.fits(loss=loss, wanted=wanted, asked=asked):
            return alike
    else:
        face = finished(
            drawn, loss, before=(alike.drawn, alike.face) if alike is not None else None
        )
        cut = as_cut(drawn, loss)
    sizes: dict[int, OpeningSize] = {}
    necks = None
    if alike is not None:
        if _corners_asked(alike.measures.wanted, alike.asked) == _corners_asked(wanted, asked):
            sizes = _sizes(alike)
        under = searched(wanted, asked)
        if under == searched(alike.measures.wanted, alike.asked):
            necks = necks_again(face, under=under, last=alike.face, known=alike.necks)
    measures = measure(face, wanted=wanted, asked=asked, cut=cut, necks=necks, sizes=sizes)
    return Measured(
        drawn=drawn,
        loss=loss,
        asked=asked,
        face=face,
        cut=cut,
        necks=measures.necks,
        measures=with_burnt(measures, drawn, loss),
    )


def _corners_asked(wanted: float, asked: Asked) -> tuple[float, float]:
    return asked.opening or wanted, asked.corner


def _sizes(of: Measured) -> dict[int, OpeningSize]:
    """Give the sizes that are known, by the identity of the shape."""
    return {
        id(opening.shape): size
        for opening, size in zip(of.cut.openings, of.measures.openings, strict=True)
    }
