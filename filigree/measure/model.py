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
        alone: mm2 of face that hangs on this place alone; 0 where it would still hang together.
    """

    width: float
    start: XY
    end: XY
    between: tuple[Side, Side]
    alone: float = 0.0

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
class Corner:
    """A tight inside corner of an opening, where the face tears first.

    Attributes:
        at: the place.
        radius: mm; 0 where two straight cuts meet.
        turn_deg: degrees that the cut turns there.
    """

    at: XY
    radius: float
    turn_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningSize:
    """How wide one opening is.

    Attributes:
        id: of the opening.
        at: a point well inside.
        area_mm2: what comes out.
        width: narrowest clear width: of its tightest waist or arm, else its widest disc.
        disc: diameter of the widest disc inside it.
        ends: the waist as a line; None where there is none.
        corners: tight corners, sharpest first.
    """

    id: int
    at: XY
    area_mm2: float
    width: float
    disc: float
    ends: tuple[XY, XY] | None
    corners: tuple[Corner, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tip:
    """A sharp point of face: where it is, its angle and the opening (or edge) beside it."""

    at: XY
    angle_deg: float
    beside: Side


Beyond = Literal["edge", "stitch", "hole", "fold", "buckle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fallen:
    """Stitch holes that fall into an opening, where they hold nothing.

    Attributes:
        opening: id of the opening.
        holes: how many.
        at: the one deepest in it.
        room: mm between the opening and the edge of the piece.
    """

    opening: int
    holes: int
    at: XY
    room: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """How far an opening keeps from something else.

    Attributes:
        opening: id of the opening.
        beyond: what it keeps from.
        width: mm; 0 where it reaches it.
        start: place on the opening.
        end: place on the other.
    """

    opening: int
    beyond: Beyond
    width: float
    start: XY
    end: XY


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenShare:
    """How much of the face comes out.

    Attributes:
        whole: share of the whole piece, 0 to 1.
        window: side of the square window moved over the piece, mm.
        most: largest share in any window that lies at least half on the piece.
        at: middle of that window.
    """

    whole: float
    window: float
    most: float
    at: XY


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """A strand of face between two junctions, or a tongue with one end free.

    Attributes:
        kind: "strand" or "tongue".
        at: the middle of its narrowest place.
        length: along its middle; of a tongue from its root.
        least: least width.
        mean: mean width.
    """

    kind: Literal["strand", "tongue"]
    at: XY
    length: float
    least: float
    mean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """Everything measured on one face, mm.

    Attributes:
        wanted: bridge width the search was made for; necks are known under twice this.
        necks: narrowest first.
        islands: in order of their numbers.
        pieces: number of pieces of face, the main one included.
        section: the weakest cut across the pull; None when it was not asked for or there is none.
        openings: in order of their ids.
        tips: sharp points of face, sharpest first.
        margins: narrowest first.
        share: how much comes out; None for a face without area.
        strands: strands and tongues, most slender first.
    """

    wanted: float
    necks: tuple[Neck, ...]
    islands: tuple[Island, ...]
    pieces: int
    section: Section | None = None
    openings: tuple[OpeningSize, ...] = ()
    tips: tuple[Tip, ...] = ()
    margins: tuple[Margin, ...] = ()
    share: OpenShare | None = None
    strands: tuple[Strand, ...] = ()
