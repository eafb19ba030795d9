"""RegionMap: the enclosed regions of the noded lines, and Choice: what becomes of each."""

from dataclasses import dataclass
from typing import Literal

from shapely import MultiLineString, Polygon

from filigree.geometry.types import XY, FloatArray, IntArray
from filigree.regions.inside import Inside

Kind = Literal["background", "motif", "rim"]
How = Literal["marked", "picked", "guessed"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Region:
    """One enclosed region.

    Attributes:
        id: number from 1, as printed on the proof: light fields in reading order, then dark shapes.
        shape: the region, mm, with holes where islands lie inside it.
        area_mm2: its area.
        edge: "middle" when it runs to the middle of the strokes around it, "visible" when to their edge.
        solid: True when the region is dark ink (a band or shape), not a light field.
        inside: points well inside this and other regions.
        row: which of them is inside this one.
    """

    id: int
    shape: Polygon
    area_mm2: float
    edge: Literal["middle", "visible"] = "middle"
    solid: bool = False
    inside: Inside
    row: int

    @property
    def at(self) -> XY:
        """A point well inside (pole of inaccessibility, off the veins in it), mm."""
        return self.inside.at[self.row]

    @property
    def room(self) -> float:
        """How far that point is from the edge, mm."""
        return self.inside.room[self.row]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """A gap closed, a doubled line merged or a sliver or tail dropped on the way, with its place."""

    what: Literal["gap closed", "lines merged", "sliver dropped", "tail dropped"]
    at: XY
    length: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RegionMap:
    """Every enclosed region of a drawing.

    Attributes:
        regions: in order of their ids.
        pairs: ids of neighbours that share a drawn line, `(k, 2)`, smaller id first, sorted.
        shared: length of line each pair shares, mm, `(k,)`.
        outline: the largest outermost closed line, filled; None when nothing encloses the fields.
        outlines: the other outermost closed lines, filled, largest first.
        loose: drawn lines that end free inside regions and enclose nothing (veins, swivel cuts).
        tidied: gaps closed and the like, in reading order.
    """

    regions: tuple[Region, ...]
    pairs: IntArray
    shared: FloatArray
    outline: Polygon | None
    outlines: tuple[Polygon, ...]
    loose: MultiLineString
    tidied: tuple[Mended, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What one region is, what said so, and how sure that is (0 to 1; 1 for marks and picks).

    `inlay` is the colour wished for behind an opening (`#rrggbb` or a name), or "" for the job's own.
    """

    region: int
    kind: Kind
    how: How
    sure: float
    inlay: str = ""
