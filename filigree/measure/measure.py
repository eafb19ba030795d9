"""Measure a finished face once; judging reads what is found here."""

from filigree.measure.islands import islands, pieces
from filigree.measure.model import Measures
from filigree.measure.necks import necks_of
from filigree.measure.section import weakest
from filigree.pattern import Pattern


def measure(pattern: Pattern, *, wanted: float, pull: str = "long") -> Measures:
    """Measure everything but the load on one finished face.

    Args:
        pattern: the face after kerf, char and bevel.
        wanted: bridge width, mm; necks are looked for up to twice this.
        pull: direction for the weakest section: "long", "x", "y" or degrees from the x axis.

    Raises:
        ValueError: `wanted` is not above 0.
    """
    if not wanted > 0:
        raise ValueError(f"wanted must be above 0, not {wanted}")
    return Measures(
        wanted=wanted,
        necks=necks_of(pattern, under=2 * wanted),
        islands=islands(pattern),
        pieces=len(pieces(pattern.land)),
        section=weakest(pattern, pull=pull),
    )
