"""Burnt: strands and loose parts that are narrower than the char of their own edges, so that nothing is left to measure.

The finished face shows no trace of them (handbook 2.1: a beam on lines close together destroys the strand).
They are looked for before the char is taken and count as face of no width.
"""

from dataclasses import replace

from filigree.geometry.offset import shrunk
from filigree.job import CutLoss
from filigree.measure.finished import finished
from filigree.measure.islands import islands
from filigree.measure.model import Island, Measures, Neck
from filigree.measure.necks import necks_of
from filigree.pattern import Pattern

ALL = 1e-6  # mm more than both chars: a strand of just that width is gone too


def with_burnt(measures: Measures, drawn: Pattern, loss: CutLoss) -> Measures:
    """Put what the char takes whole beside what was measured of the finished face.

    Args:
        measures: of the finished face.
        drawn: the pattern before any loss.
        loss: what the cut takes, mm.
    """
    if not loss.char:
        return measures
    bare = finished(drawn, replace(loss, char=0.0))
    necks = _necks(bare, loss)
    gone = _islands(bare, loss, first=len(measures.islands) + 1)
    if not necks and not gone:
        return measures
    return replace(
        measures,
        necks=(*necks, *measures.necks),
        islands=(*measures.islands, *gone),
    )


def _necks(bare: Pattern, loss: CutLoss) -> tuple[Neck, ...]:
    return tuple(replace(neck, width=0.0) for neck in necks_of(bare, under=2 * loss.char + ALL))


def _islands(bare: Pattern, loss: CutLoss, *, first: int) -> tuple[Island, ...]:
    gone = [i for i in islands(bare) if shrunk(i.shape, loss.char).is_empty]
    return tuple(
        replace(island, number=number, area_mm2=0.0, width=0.0)
        for number, island in enumerate(gone, start=first)
    )
