"""Measure a finished face once; judging reads what is found here."""

from collections.abc import Mapping

from filigree.geometry.parts import pieces
from filigree.measure.asked import Asked
from filigree.measure.islands import islands
from filigree.measure.margins import margins
from filigree.measure.model import Measures, Neck, OpeningSize
from filigree.measure.necks import necks_of
from filigree.measure.openings import face_tips, opening_sizes
from filigree.measure.section import weakest
from filigree.measure.share import open_share
from filigree.measure.strands import strands
from filigree.pattern import Pattern

PLAIN = Asked()


def measure(
    pattern: Pattern,
    *,
    wanted: float,
    pull: str | None = None,
    asked: Asked = PLAIN,
    cut: Pattern | None = None,
    necks: tuple[Neck, ...] | None = None,
    sizes: Mapping[int, OpeningSize] | None = None,
) -> Measures:
    """Measure everything but the load on one finished face.

    Args:
        pattern: the face after kerf, char and bevel.
        wanted: bridge width, mm; necks are looked for up to twice this, or farther when asked for.
        pull: direction for the weakest section; the one of `asked` when None.
        asked: what else to measure.
        cut: the same with its openings as they are cut, which is what their width, corners and share are about;
            the face itself when None.
        necks: of this face, where they are known.
        sizes: of the openings as cut that are known, by the identity of their shape.

    Raises:
        ValueError: `wanted` is not above 0.
    """
    if not wanted > 0:
        raise ValueError(f"wanted must be above 0, not {wanted}")
    return Measures(
        wanted=wanted,
        necks=necks_of(pattern, under=searched(wanted, asked)) if necks is None else necks,
        islands=islands(pattern),
        pieces=len(pieces(pattern.land)),
        section=weakest(pattern, pull=asked.pull if pull is None else pull)
        if asked.section
        else None,
        openings=opening_sizes(
            cut or pattern, under=asked.opening or wanted, corner=asked.corner, known=sizes or {}
        ),
        tips=face_tips(pattern, under=asked.point_deg),
        margins=margins(
            pattern, under=asked.margin, stitch=asked.stitch, holes=asked.holes, bends=asked.bends
        ),
        share=open_share(cut or pattern, window=2 * asked.rim),
        strands=strands(pattern, wanted=wanted),
    )


def searched(wanted: float, asked: Asked) -> float:
    """Give the width up to which necks are looked for, mm."""
    return max(2 * wanted, asked.necks)
