"""Facts: what is measured of every region before cues are made of it; rows follow the regions."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes
from filigree.regions.background.alike import Groups
from filigree.regions.background.bends import Bends, bends
from filigree.regions.background.frame import Border, framed
from filigree.regions.background.hold import Hold, hold
from filigree.regions.background.junctions import FarTurns, Meetings, Turns, far_turns, turns
from filigree.regions.background.lines import Outlines, outlines
from filigree.regions.background.walls import OUTSIDE, Walls
from filigree.regions.model import RegionMap

VEIN = 0.5  # mm: shorter loose ends are crumbs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Links:
    """Neighbours inside the field: both ends of each, and the length of wall they share."""

    here: IntArray
    there: IntArray
    length: FloatArray
    count: int

    def mean(self, columns: list[FloatArray]) -> list[FloatArray]:
        """Mean of neighbours' values weighted by shared wall; 0 without neighbours."""
        whole = np.bincount(self.here, self.length, minlength=self.count)
        whole = np.where(whole > 0, whole, 1.0)
        return [
            np.bincount(self.here, self.length * c[self.there], minlength=self.count) / whole
            for c in columns
        ]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facts:
    """Lengths mm, areas mm2, `(n,)` each.

    Attributes:
        shapes: the regions.
        inside: True for all but rim and bands.
        area: area.
        filled: area with the holes filled.
        thick: radius of the largest disc inside.
        around: length of all walls.
        outer: length of the outer ring.
        loose: length of loose lines inside.
        near: number of neighbours inside the field.
        links: neighbours inside the field.
        border: rim, bands and share of wall on the border.
        groups: equal regions.
        turn: junctions and turns.
        met: who meets at junctions.
        line: whose outlines the walls are.
        far: junctions read from farther out.
        bend: turning of the walls.
        hold: what hangs by each.
        edge: length of wall on the outside.
    """

    shapes: Shapes
    inside: BoolArray
    area: FloatArray
    filled: FloatArray
    thick: FloatArray
    around: FloatArray
    outer: FloatArray
    loose: FloatArray
    near: FloatArray
    links: Links
    border: Border
    groups: Groups
    turn: Turns
    met: Meetings
    line: Outlines
    far: FarTurns
    bend: Bends
    hold: Hold
    edge: FloatArray


def facts(
    regions: RegionMap,
    shapes: Shapes,
    thick: FloatArray,
    walls: Walls,
    border: Border,
    groups: Groups,
    pairs: IntArray,
) -> Facts:
    """Measure every region; `pairs` are the rows that share a drawn line, `(k, 2)`."""
    count = len(shapes)
    inside = ~framed(border, count)
    links = _links(walls, inside, count)
    turn, met = turns(walls, count, border.edge)
    area = np.asarray(shapely.area(shapes), dtype=np.float64)
    edge = np.bincount(walls.region, walls.length * (walls.across == OUTSIDE), minlength=count)
    return Facts(
        shapes=shapes,
        inside=inside,
        area=area,
        filled=np.asarray(shapely.area(shapely.polygons(shapely.get_exterior_ring(shapes)))),
        thick=thick,
        around=np.bincount(walls.region, walls.length, minlength=count).astype(np.float64),
        outer=np.bincount(walls.region, walls.length * ~walls.inner, minlength=count).astype(
            np.float64
        ),
        loose=_loose(regions, shapes),
        near=np.bincount(links.here, minlength=count).astype(np.float64),
        links=links,
        border=border,
        groups=groups,
        turn=turn,
        met=met,
        line=outlines(walls, met, count, border.edge),
        far=far_turns(walls, count),
        bend=bends(walls, thick),
        hold=hold(pairs, edge > 0, area),
        edge=edge.astype(np.float64),
    )


def _links(walls: Walls, inside: BoolArray, count: int) -> Links:
    real = (walls.across != OUTSIDE) & (walls.across != walls.region)
    real &= inside[walls.region] & inside[np.maximum(walls.across, 0)]
    key = walls.region[real] * count + walls.across[real]
    pairs, row = np.unique(key, return_inverse=True)
    length = np.bincount(row, walls.length[real], minlength=len(pairs)).astype(np.float64)
    return Links(here=pairs // count, there=pairs % count, length=length, count=count)


def _loose(regions: RegionMap, shapes: Shapes) -> FloatArray:
    """Length of loose lines inside each region, mm."""
    lines = shapely.get_parts(regions.loose)
    length = shapely.length(lines)
    lines, length = lines[length > VEIN], length[length > VEIN]
    total = np.zeros(len(shapes))
    if len(lines):
        middle = shapely.line_interpolate_point(lines, 0.5, normalized=True)
        line, row = shapely.STRtree(shapes).query(middle, predicate="within")
        np.add.at(total, row, length[line])
    return total
