"""Cells: what strokes of hatching cut their field into, and the fields that cells filled by strokes make up."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from filigree.drawing.scan.beside import Lines
from filigree.geometry.types import BoolArray, FloatArray, IntArray

REACH = 0.75  # distances of the strokes to each side that a stroke fills
FILLED = 0.5  # share of a cell that strokes fill
SHARED = (
    1.0,
    0.2,
)  # mm, and share of the smaller field's outline, from which two fields share a line
NEAR = 0.05  # mm
SAME = 1e-3  # mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cells:
    """Fields that strokes may fill, mm, the largest first."""

    fields: list[shapely.Polygon]

    def inside(self, lines: Lines, field: shapely.Polygon, of: IntArray, least: float) -> IntArray:
        """Those of some lines that lie in a field."""
        near = of[shapely.STRtree(lines.shapes[of]).query(field, predicate="intersects")]
        middle = shapely.line_interpolate_point(lines.shapes[near], 0.5, normalized=True)
        near = near[shapely.distance(middle, field.boundary) > NEAR]
        within = shapely.length(shapely.intersection(lines.shapes[near], field))
        return np.sort(near[within >= least * lines.length[near]])


def cells_of(
    walls: Sequence[FloatArray], lines: Lines, strokes: BoolArray, step: FloatArray
) -> Cells:
    """Fields that remain without the strokes that part filled cells.

    A stroke with a cell on one side that no strokes fill is a drawn line after all, and stays a wall.

    Args:
        walls: lines that are no strokes, their gaps closed.
        lines: all straight runs.
        strokes: which of them may be strokes.
        step: mm between each stroke and the next.
    """
    of = np.flatnonzero(strokes)
    hard = np.array([shapely.linestrings(w) for w in walls], object)
    web = shapely.union_all(np.concatenate([hard, lines.shapes[of]]))
    edges = shapely.get_parts(web)
    faces = shapely.get_parts(shapely.polygonize([web]))
    if not len(faces):
        return Cells(fields=[])
    middle = shapely.line_interpolate_point(edges, 0.5, normalized=True)
    # a crumb of a wall lies as near to the stroke that ends on it as to the wall: it is wall
    on_wall, _ = shapely.STRtree(hard).query(middle, predicate="dwithin", distance=SAME)
    hit, run = shapely.STRtree(lines.shapes[of]).query(middle, predicate="dwithin", distance=SAME)
    drawn = np.isin(hit, on_wall)
    hit, run = hit[~drawn], run[~drawn]
    one = np.flatnonzero(np.diff(hit, prepend=-1))
    soft = hit[one]
    reach = REACH * step[of[run[one]]]
    edge, face = shapely.STRtree(faces).query(middle[soft], predicate="dwithin", distance=SAME)
    filled = _filled(faces, edges[soft], reach, edge, face)
    bare = np.zeros(len(soft), bool)
    bare[edge[~filled[face]]] = True
    # one face alone: the stroke ends within it, or nothing but the sheet's rest lies beyond
    count = np.bincount(edge, minlength=len(soft))
    rim = shapely.distance(middle[soft[edge]], shapely.boundary(faces[face])) < SAME
    bare[count == 0] = True
    bare[edge[rim & (count[edge] == 1)]] = True
    still = np.ones(len(edges), bool)
    still[soft[~bare]] = False
    fields = shapely.get_parts(shapely.polygonize([shapely.union_all(edges[still])]))
    return Cells(fields=sorted(fields, key=lambda f: -f.area))


def _filled(
    faces: np.ndarray, edges: np.ndarray, reach: FloatArray, edge: IntArray, face: IntArray
) -> BoolArray:
    """Which faces are filled by the strokes along their own edges and within them."""
    bands = shapely.buffer(edges, reach, cap_style="square", quad_segs=2)
    good = np.zeros(len(faces), bool)
    if not len(face):
        return good
    order = np.argsort(face, kind="stable")
    for own in np.split(order, np.flatnonzero(np.diff(face[order])) + 1):
        k = face[own[0]]
        some = bands[edge[own]]
        most = float(shapely.area(some).sum())
        if most < FILLED * faces[k].area:
            continue
        filled = shapely.intersection(shapely.union_all(some), faces[k])
        good[k] = filled.area >= FILLED * faces[k].area
    return good


def side_by_side(fields: Sequence[shapely.Polygon]) -> list[tuple[int, int]]:
    """Pairs of fields that share a line."""
    if len(fields) < 2:
        return []
    rims = shapely.boundary(np.array(fields, object))
    first, second = shapely.STRtree(rims).query(rims, predicate="dwithin", distance=NEAR)
    out = []
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i < j:
            shared = rims[i].intersection(rims[j].buffer(NEAR)).length
            least = min(rims[i].length, rims[j].length)
            if shared > max(SHARED[0], SHARED[1] * least):
                out.append((i, j))
    return out
