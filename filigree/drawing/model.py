"""Drawing: what was drawn, in mm, as the eye sees it."""

from dataclasses import dataclass
from typing import Literal

from shapely import Point, Polygon

from filigree.geometry.curves import CurveTable
from filigree.geometry.types import XY, Area, FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Skipped:
    """Something of the art that was left out, and why."""

    what: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mark:
    """A wish drawn into the art: this place is background (`open`) or stays (`keep`).

    Attributes:
        shape: the marked area, or a point inside the field meant.
        says: what is wished for.
        how: in words, what said so: "filled #8a8a8a", "group 'open'", "hatched", "X".
        colour: `#rrggbb` of the fill, or "" when the mark has none.
        group: id or class of the element or group that holds the mark, or "".
    """

    shape: Area | Point
    says: Literal["open", "keep"]
    how: str
    colour: str = ""
    group: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field:
    """An enclosed light area as the eye sees it (painted drawings only)."""

    shape: Polygon
    at: XY


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """A break in a drawn line that was closed on reading: its middle and its length, mm."""

    at: XY
    length: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """Lines, solids and marks of one piece of art, mm, y down, origin at the page's top left.

    Attributes:
        name: file name without folders, for messages and the report.
        width: page width.
        height: page height.
        scale_from: where the scale came from, in words ("width and viewBox", "--width", ...).
        lines: polylines that may enclose fields, each `(n, 2)`; middles of strokes up to the line limit
            and visible edges of filled ink and bands. Not noded.
        curves: source curves of `lines`.
        solids: ink too wide to be a line (leather bands, dark shapes); empty for a line drawing.
        fields: enclosed light areas seen, or None for a drawing of strokes alone, where every face of
            `lines` is a field.
        marks: wishes of the maker in the art, in document order.
        skipped: what was left out and why, in document order.
        dark: what `solids` are: "leather", "cut", or "" when there are none.
        dark_sure: how sure the reader is of `dark`, 0 to 1.
        closed: breaks in the ink of a scan that were closed, in reading order.
    """

    name: str
    width: float
    height: float
    scale_from: str
    lines: tuple[FloatArray, ...]
    curves: CurveTable
    solids: Area
    fields: tuple[Field, ...] | None
    marks: tuple[Mark, ...]
    skipped: tuple[Skipped, ...]
    dark: Literal["", "leather", "cut"] = ""
    dark_sure: float = 1.0
    closed: tuple[Closed, ...] = ()
