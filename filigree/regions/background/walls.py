"""Walls: the rings of all regions as flat arrays, with what lies across each piece of wall."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes

GRID = 1e-6  # mm: vertices nearer than this are one
OUTSIDE = -1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Walls:
    """Ring vertices of every region, the region on their left; piece k runs from vertex k to `after[k]`.

    Attributes:
        points: vertices, `(v, 2)`, without the closing ones.
        region: row of the region each vertex belongs to, `(v,)`.
        ring: number of the ring, `(v,)`.
        inner: True on the rings of holes, `(v,)`.
        after: next vertex on the ring, `(v,)`.
        before: previous vertex on the ring, `(v,)`.
        length: length of each piece, `(v,)`.
        way: running length at each vertex over all rings, `(v,)`.
        start: running length at the start of the vertex's ring, `(v,)`.
        round: length of the vertex's ring, `(v,)`.
        spot: number of the place each vertex is at; vertices of several regions share it, `(v,)`.
        twin: vertex at which the same piece starts on the other side, running back, or OUTSIDE, `(v,)`.
        across: row of the region on the other side of each piece, or OUTSIDE, `(v,)`.
        degree: how many lines meet at the vertex's place, `(v,)`.
    """

    points: FloatArray
    region: IntArray
    ring: IntArray
    inner: BoolArray
    after: IntArray
    before: IntArray
    length: FloatArray
    way: FloatArray
    start: FloatArray
    round: FloatArray
    spot: IntArray
    twin: IntArray
    across: IntArray
    degree: IntArray

    def ahead(self, at: IntArray, by: FloatArray) -> FloatArray:
        """Points `by` mm further along the rings of vertices `at` (behind when negative), `(k, 2)`."""
        want = self.start[at] + np.mod(self.way[at] - self.start[at] + by, self.round[at])
        k = np.searchsorted(self.way, want, side="right") - 1
        share = (want - self.way[k]) / np.maximum(self.length[k], 1e-12)
        share = np.clip(share, 0.0, 1.0)[:, None]
        found: FloatArray = self.points[k] + share * (self.points[self.after[k]] - self.points[k])
        return found


def walls(shapes: Shapes) -> Walls:
    """Lay out the rings of polygons `(n,)`."""
    shapes = shapely.orient_polygons(shapes)
    rings, owner = shapely.get_rings(shapes, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    last = np.append(ring[1:] != ring[:-1], True)
    points, ring = points[~last], ring[~last]
    count = len(points)
    first = np.append(True, ring[1:] != ring[:-1])
    starts = np.flatnonzero(first)
    ends = np.append(starts[1:], count) - 1
    after = np.arange(1, count + 1)
    after[ends] = starts
    before = np.arange(-1, count - 1)
    before[starts] = ends
    step = points[after] - points
    length = np.hypot(step[:, 0], step[:, 1])
    way = np.concatenate([[0.0], np.cumsum(length)[:-1]])
    size = np.add.reduceat(length, starts)
    row = np.cumsum(first) - 1
    inner = np.append(False, owner[1:] == owner[:-1])
    spot = _spots(points)
    twin, degree = _twins(spot, after)
    region = owner[ring]
    return Walls(
        points=points,
        region=region,
        ring=row,
        inner=inner[ring],
        after=after,
        before=before,
        length=length,
        way=way,
        start=way[starts][row],
        round=size[row],
        spot=spot,
        twin=twin,
        across=np.where(twin == OUTSIDE, OUTSIDE, region[twin]),
        degree=degree,
    )


def _spots(points: FloatArray) -> IntArray:
    """Number equal places alike."""
    cells = np.round(points / GRID)
    _, spot = np.unique(cells[:, 0] + 1j * cells[:, 1], return_inverse=True)
    return np.asarray(spot, dtype=np.int64)


def _twins(spot: IntArray, after: IntArray) -> tuple[IntArray, IntArray]:
    """Where each piece starts on its far side, and how many lines meet at each vertex."""
    count = int(spot.max()) + 1 if len(spot) else 1
    here, there = spot, spot[after]
    forth = here * count + there
    back = there * count + here
    order = np.argsort(forth, kind="stable")
    found = np.minimum(np.searchsorted(forth[order], back), len(order) - 1)
    twin = order[found]
    twin = np.where(forth[twin] == back, twin, OUTSIDE)
    low, high = np.minimum(here, there), np.maximum(here, there)
    lines = np.unique(low * count + high)
    degree = np.bincount(lines // count, minlength=count) + np.bincount(
        lines % count, minlength=count
    )
    return twin, degree[spot]
