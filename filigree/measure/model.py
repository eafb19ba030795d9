"""Measures: what was measured on one face, once; knows no limits."""

from dataclasses import dataclass
from typing import Literal

from shapely import Polygon

from filigree.geometry.types import XY
from filigree.measure.section import Section

EDGE: Literal["edge"] = "edge"
Side = int | Literal["edge"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Neck:
    """Narrowest place of one strand, mm.

    Attributes:
        width: straight distance; 0 where two stretches touch.
        start: one end, on the first of `between`.
        end: the other end.
        between: opening ids or `EDGE`; the same twice where an opening (or the edge) meets itself.
    """

    width: float
    start: XY
    end: XY
    between: tuple[Side, Side]

    @property
    def middle(self) -> XY:
        """Point half-way across."""
        return ((self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Island:
    """A piece of face tied to nothing, a loose part.

    Attributes:
        number: loose part number from 1, in reading order.
        at: a point well inside.
        area_mm2: leather it has.
        width: least width, mm.
        within: id of the opening that surrounds it; `EDGE` when it lies beside the main piece.
        openings: ids of the openings cut through it; their inlay is seen inside a loose part.
        shape: the piece.
    """

    number: int
    at: XY
    area_mm2: float
    width: float
    within: Side
    openings: tuple[int, ...]
    shape: Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """Everything measured on one face, mm.

    Attributes:
        wanted: bridge width the search was made for; necks are known under twice this.
        necks: narrowest first.
        islands: in order of their numbers.
        pieces: number of pieces of face, the main one included.
        section: the weakest cut across the pull; None when it was not asked for or there is none.
    """

    wanted: float
    necks: tuple[Neck, ...]
    islands: tuple[Island, ...]
    pieces: int
    section: Section | None = None
