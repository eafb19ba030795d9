"""Mesh: an area as triangles between samples of its boundary, and how they hang together.

Dual to the Voronoi medial lines: a triangle with two edges inside the area belongs to a strand, one with
three is a junction, one with a single such edge ends a branch.
"""

from dataclasses import dataclass, field

import numpy as np
import shapely

from filigree.geometry.rings import Rings, rings_of
from filigree.geometry.types import XY, Area, BoolArray, FloatArray, IntArray

POINTS = 200_000  # samples at most; the step grows with larger areas
STRAIGHT = 1 / 30  # of a step: boundary points this near a straight run are left out first
SHAKEN = 1e-4  # mm: points on one line or circle are moved by this much before they are joined
TRIES = 5  # shakes, each harder by one than the one before
FLAT = 1e-6  # mm: triangles this low lie along a straight side


@dataclass(slots=True, eq=False)
class Mesh:
    """Triangles inside the area: triangle t has corners 3 t to 3 t + 2, and each edge its opposite corner's number.

    Flat plain lists, since tongues are followed one triangle at a time.
    """

    rings: Rings
    corner: list[int]
    beyond: list[int]  # triangle across each edge, -1 for none
    middle: tuple[list[float], list[float]]  # of each edge, x and y
    broad: list[float]  # length of each edge
    across: list[float]  # width of a strand at each triangle
    area: list[float]
    degree: list[int]  # triangles beyond that are still there
    alive: list[bool]
    lost: dict[int, list[int]] = field(default_factory=dict)  # corners of what was taken off
    lost_area: dict[int, float] = field(default_factory=dict)
    body: dict[int, float] = field(default_factory=dict)  # width of the broadest branch taken off

    def ahead(self, at: int) -> list[int]:
        """Triangles next to one that are still there."""
        return [t for t in self.beyond[3 * at : 3 * at + 3] if t >= 0 and self.alive[t]]

    def drop(self, at: int) -> None:
        """Take a triangle off."""
        self.alive[at] = False
        for t in self.beyond[3 * at : 3 * at + 3]:
            if t >= 0:
                self.degree[t] -= 1

    def gate(self, one: int, two: int) -> int:
        """Number of the edge between two triangles."""
        return self.beyond.index(two, 3 * one, 3 * one + 3)

    def place(self, edge: int) -> XY:
        """Middle of an edge."""
        return self.middle[0][edge], self.middle[1][edge]


def mesh_of(area: Area, *, step: float) -> Mesh:
    """Sample the boundary every `step` mm and join the samples to triangles."""
    plain = _plain(area, STRAIGHT * step)
    total = float(shapely.length(plain))
    rings = rings_of(shapely.segmentize(plain, max(step, total / POINTS)))
    corner = _inside(plain, rings, triangles(rings.xy))
    beyond = _beyond(corner, rings.after, len(rings.xy))
    flat = rings.xy[corner]
    one, two = flat[:, [1, 2, 0]], flat[:, [2, 0, 1]]  # edge k from one[k] to two[k]
    along = two - one
    square = along[..., 0] ** 2 + along[..., 1] ** 2
    doubled = np.abs(along[:, 0, 0] * along[:, 1, 1] - along[:, 0, 1] * along[:, 1, 0])
    side = np.where((beyond < 0).any(axis=1), np.argmin(beyond, axis=1), np.argmax(square, axis=1))
    row = np.arange(len(flat))
    from_one = flat[row, side] - one[row, side]
    share = (from_one * along[row, side]).sum(axis=1) / np.maximum(square[row, side], 1e-18)
    off = from_one - np.clip(share, 0, 1)[:, None] * along[row, side]
    middle = (one + two) / 2
    return Mesh(
        rings=rings,
        corner=corner.ravel().tolist(),
        beyond=beyond.ravel().tolist(),
        middle=(middle[..., 0].ravel().tolist(), middle[..., 1].ravel().tolist()),
        broad=np.sqrt(square).ravel().tolist(),
        across=np.hypot(off[:, 0], off[:, 1]).tolist(),
        area=(doubled / 2).tolist(),
        degree=(beyond >= 0).sum(axis=1).tolist(),
        alive=[True] * len(flat),
    )


def triangles(points: FloatArray) -> IntArray:
    """Join points to triangles, `(m, 3)`, left turning.

    Points in a row make the triangulation fail here and there, so it is given shaken ones, and harder shaken
    ones where it fails all the same; the triangles that this leaves along straight sides are dropped.
    """
    nth = np.empty((len(points), 1))
    nth[np.lexsort(points.T), 0] = np.arange(len(points))  # whichever ring comes first
    spread = nth * (0.7548776662466927, 0.5698402909980532)
    if len(points) < 3:
        return np.empty((0, 3), dtype=np.int64)
    corner = _numbered(*_joined(points, spread % 1 - 0.5))
    flat = points[corner]
    along = flat[:, [1, 2, 0]] - flat
    doubled = along[:, 0, 0] * along[:, 1, 1] - along[:, 0, 1] * along[:, 1, 0]
    tall = np.abs(doubled) > FLAT * np.hypot(along[..., 0], along[..., 1]).max(axis=1, initial=0)
    corner[doubled < 0] = corner[doubled < 0][:, ::-1]
    kept: IntArray = corner[tall]
    return kept


def _joined(points: FloatArray, spread: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Shake points and join them to triangles, `(m, 3, 2)`; a grid of 65,824 once failed at the first shake."""
    hard = 1
    while True:
        shaken = points + hard * SHAKEN * spread
        try:
            made = shapely.delaunay_triangles(shapely.linestrings(shaken))  # faster than of points
        except shapely.errors.GEOSException:
            if hard == TRIES:
                raise
            hard += 1
        else:
            return shaken, shapely.get_coordinates(made).reshape(-1, 4, 2)[:, :3]


def _inside(area: Area, rings: Rings, corner: IntArray) -> IntArray:
    """Keep the triangles in the land: those beside the boundary by its direction, the others by their middle."""
    one, two = corner[:, [1, 2, 0]], corner[:, [2, 0, 1]]
    left, right = (rings.after[one] == two).any(axis=1), (rings.after[two] == one).any(axis=1)
    inside = left & ~right
    unsure = np.flatnonzero(left == right)
    middle = rings.xy[corner[unsure]].mean(axis=1)
    shapely.prepare(area)
    inside[unsure] = shapely.contains_xy(area, middle[:, 0], middle[:, 1])
    kept: IntArray = corner[inside]
    return kept


def _plain(area: Area, by: float) -> Area:
    """Leave out boundary points near straight runs; rings are looked at together only where that is needed."""
    plain = shapely.simplify(area, by, preserve_topology=False)
    if _holes(plain) == _holes(area):
        return plain
    return shapely.simplify(area, by)


def _holes(area: Area) -> list[int]:
    holes: list[int] = shapely.get_num_interior_rings(shapely.get_parts(area)).tolist()
    return holes


def _numbered(points: FloatArray, flat: FloatArray) -> IntArray:
    """Index of each triangle corner among the points."""
    order = np.argsort(points[:, 0], kind="stable")
    found: IntArray = order[np.searchsorted(points[order, 0], flat[..., 0])]
    alike = points[found, 1] != flat[..., 1]  # another point has the same x
    if alike.any():
        keys = points[:, 0] + 1j * points[:, 1]
        order = np.argsort(keys, kind="stable")
        wanted = flat[alike, 0] + 1j * flat[alike, 1]
        found[alike] = order[np.searchsorted(keys[order], wanted)]
    return found


def _beyond(corner: IntArray, after: IntArray, count: int) -> IntArray:
    """Triangle across each edge; none across boundary edges."""
    one, two = corner[:, [1, 2, 0]], corner[:, [2, 0, 1]]
    side: BoolArray = (after[one] == two) | (after[two] == one)
    key = np.where(side, -1, np.minimum(one, two) * count + np.maximum(one, two)).ravel()
    order = np.argsort(key, kind="stable")
    same = (key[order][1:] == key[order][:-1]) & (key[order][1:] >= 0)
    first, second = order[:-1][same], order[1:][same]
    beyond = np.full(key.shape, -1, dtype=np.int64)
    beyond[first], beyond[second] = second // 3, first // 3
    return beyond.reshape(-1, 3)
