"""Pattern: outline, openings and the land of face that stays."""

from dataclasses import dataclass

from shapely import Polygon

from filigree.geometry.curves import CurveTable
from filigree.geometry.types import XY, Area


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Opening:
    """A hole cut through the face.

    Attributes:
        id: number from 1 in reading order, as printed on the proof.
        regions: ids of the regions it is made of.
        shape: the hole; its own holes are islands of face, or face tied elsewhere.
        at: a point well inside.
        area_mm2: its area.
        inlay: colour seen through it (`#rrggbb` or a name of the palette).
    """

    id: int
    regions: tuple[int, ...]
    shape: Polygon
    at: XY
    area_mm2: float
    inlay: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pattern:
    """Outline, openings and land of one face, mm; openings do not overlap and lie in the outline."""

    width: float
    height: float
    outline: Polygon
    openings: tuple[Opening, ...]
    land: Area
    curves: CurveTable
