"""Frame: the rim between outline and border line, and plain bands inside it; all of them stay."""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes
from filigree.regions.background.junctions import STRAIGHT, corner
from filigree.regions.background.walls import OUTSIDE, Walls

HOLE_SHARE = 0.15  # of the filled area: less is no rim
ALIKE = 1.2  # the same of a rim that is one whatever lines run into its border line
EVEN = 1.7  # widest over narrowest place of an even rim
WINDOW = 0.97  # solidity of a hole that is a window, not the silhouette of a motif
RUNS_ON = 0.75  # share of junctions that a border line runs straight past
SMALL_HOLES = 0.01  # of its area: a rim holds no strewn motifs
BAND_EVEN = 1.35
BAND_WIDE = 0.2  # of the field's smaller side: a wider band may be a field
BAND_TO_RIM = 2.0  # a band is at most this many times as wide as the rim
SAMPLES = 160


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Border:
    """Rows of the rim and of border bands, and each region's share of its wall on the border, `(n,)`."""

    rim: IntArray
    bands: IntArray
    share: FloatArray

    @property
    def edge(self) -> IntArray:
        """Rows of everything that frames the field."""
        return np.concatenate([self.rim, self.bands])


def border(shapes: Shapes, walls: Walls) -> Border:
    """Find the rim and the bands that follow it inwards."""
    count = len(shapes)
    outer = np.flatnonzero(~walls.inner)
    straight = _runs_on(walls)
    held = shapely.get_num_interior_rings(shapes) > 0
    shut = np.zeros(count, dtype=bool)
    rim: list[int] = []
    bands: list[int] = []
    width = 0.0
    for step in range(6):
        beyond = (walls.across == OUTSIDE) | shut[np.maximum(walls.across, 0)]
        whole = np.bincount(walls.region[outer], walls.length[outer], minlength=count)
        on = outer[beyond[outer]]
        share = np.bincount(walls.region[on], walls.length[on], minlength=count) / whole
        ready = np.flatnonzero(held & ~shut & (share > 0.98))
        if step == 0:
            found = [int(r) for r in ready if _is_rim(shapes, walls, straight, int(r))]
            rim += found
            width = max((_width(shapes[r]) for r in rim), default=0.0)
        else:
            found = [int(r) for r in ready if _is_band(shapes[r], width)]
            bands += found
        if not found:
            break
        shut[found] = True
    beyond = (walls.across == OUTSIDE) | shut[np.maximum(walls.across, 0)]
    around = np.bincount(walls.region, walls.length, minlength=count)
    on_border = np.bincount(walls.region, walls.length * beyond, minlength=count) / around
    return Border(
        rim=np.array(rim, dtype=np.int64),
        bands=np.array(bands, dtype=np.int64),
        share=np.where(shut, 0.0, on_border),
    )


def _runs_on(walls: Walls) -> FloatArray:
    """At each junction vertex 1 when the region's wall runs straight past it, else 0; elsewhere NaN."""
    found = np.full(len(walls.points), np.nan)
    at = np.flatnonzero(walls.degree >= 3)
    angle = corner(walls, at)
    found[at] = (angle > STRAIGHT[0]) & (angle < STRAIGHT[1])
    return found


def _is_rim(
    shapes: Shapes,
    walls: Walls,
    straight: FloatArray,
    row: int,
) -> bool:
    """Does this outermost face frame the rest, rather than lie round a motif as ground?

    A ring of one width is a rim. Else a border line runs straight past the lines that end on it; the
    silhouette of a motif does not.
    """
    shape: Polygon = shapes[row]
    holes = [Polygon(r) for r in shape.interiors]
    area = np.array([h.area for h in holes])
    filled = shape.area + float(area.sum())
    large = [h for h, a in zip(holes, area, strict=True) if a > 0.03 * filled]
    inside = sum(h.area for h in large)
    if inside < HOLE_SHARE * filled or area.sum() - inside > SMALL_HOLES * shape.area:
        return False
    if len(large) == 1 and _spread(_widths(shape, large[0])) < ALIKE:
        return True
    ends = straight[(walls.region == row) & walls.inner]
    ends = ends[~np.isnan(ends)]
    if len(ends) > 2 and ends.mean() < RUNS_ON:
        return False
    if len(large) == 1 and _spread(_widths(shape, large[0])) < EVEN:
        return True
    hulls = sum(h.convex_hull.area for h in large)
    if inside < WINDOW * hulls:
        return False
    tree = shapely.STRtree(shapes)
    return all(len(tree.query(h, predicate="covers")) > 1 for h in large)


def _is_band(shape: Polygon, rim: float) -> bool:
    """Is this ring a plain band of one width beside the rim? Cut out, it would part the rim from all the rest."""
    if len(shape.interiors) != 1:
        return False
    hole = Polygon(shape.interiors[0])
    left, top, right, bottom = hole.bounds
    widths = _widths(shape, hole)
    limit = min(BAND_WIDE * min(right - left, bottom - top), BAND_TO_RIM * rim)
    narrow = float(np.median(widths)) < limit
    return narrow and _spread(widths) < BAND_EVEN


def _width(shape: Polygon) -> float:
    """Usual width of a frame round its largest hole."""
    hole = max((Polygon(r) for r in shape.interiors), key=lambda h: h.area)
    return float(np.median(_widths(shape, hole)))


def _widths(shape: Polygon, hole: Polygon) -> FloatArray:
    """Distances from points along the hole to the outer edge."""
    line = hole.exterior
    at = np.linspace(0, line.length, SAMPLES, endpoint=False)
    return np.asarray(
        shapely.distance(shapely.line_interpolate_point(line, at), shape.exterior), dtype=np.float64
    )


def _spread(width: FloatArray) -> float:
    """Wide places over narrow places."""
    low, high = np.quantile(width, [0.05, 0.95])
    return float(high / max(low, 1e-9))


def framed(border_of: Border, count: int) -> BoolArray:
    """True for the rows that frame the field, `(count,)`."""
    mask = np.zeros(count, dtype=bool)
    mask[border_of.edge] = True
    return mask
