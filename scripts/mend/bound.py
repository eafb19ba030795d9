"""Bound: the leather that any mending must add, worked out with no help from the package's own neck search.

The edge of the face is sampled densely; the Voronoi diagram of the samples holds the middle lines of its strands
(Brandt and Algazi 1992). A pair of samples whose diameter disc holds no other sample is a neck (a Gabriel pair);
the middle line of a neck is what hangs together with it and is narrower than wanted. For each neck the area of its
openings within half of the wanted width of that line is what must go, which for two parallel straight edges is
exactly the missing strip. Beside the outline, which gives nothing, it is all within the wanted width of the outline.
Where necks overlap it counts once.
"""

import math

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import Voronoi
from shapely import MultiLineString
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.pattern import Pattern

STEP = 0.1  # mm between samples
NEXT = 10  # samples so many places apart along the edge are neighbours
APART = math.radians(100)  # a place touched from two sides less apart than this lies in a corner
SHAKE = 1e-6  # mm
EASED = 0.001  # mm: lines are straightened by this much
LEVEL = 0.002  # mm: a strand that widens by less toward an end runs out there
FALLS_SHORT = 0.01  # mm: a neck this much under the wanted width needs nothing


def lower_bound(pattern: Pattern, *, wanted: float) -> float:
    """Area, mm2, that the openings of a pattern must lose for each strand to be as wide as wanted, mm."""
    leather = must_be_leather(pattern, wanted=wanted)
    holes = shapely.union_all([o.shape for o in pattern.openings])
    return float(leather.intersection(holes).area)


def must_be_leather(pattern: Pattern, *, wanted: float) -> BaseGeometry:
    """Everything near the middle line, or the outline, of a strand that is too narrow."""
    points, ring, gives = _samples(pattern)
    shaken = np.random.default_rng(0).normal(scale=SHAKE, size=points.shape)
    diagram = Voronoi(
        points + shaken
    )  # samples on one circle have one middle, which Qhull is slow at
    pair, ends = np.asarray(diagram.ridge_points), np.asarray(diagram.ridge_vertices)
    apart = np.hypot(*(points[pair[:, 0]] - points[pair[:, 1]]).T)
    rows = np.flatnonzero(
        (ends >= 0).all(axis=1)
        & gives[pair].any(axis=1)
        & (apart < wanted)
        & ~_neighbours(pair, ring)
    )
    pair, ends, apart = pair[rows], ends[rows], apart[rows]
    spots, node, least = _narrow(np.asarray(diagram.vertices), ends, points[pair], apart, wanted)
    held = (node[:, 0] != node[:, 1]) & _inside(pattern, spots)
    pair, apart, spots, node, least = (a[held] for a in (pair, apart, spots, node, least))
    radius = np.hypot(*np.moveaxis(spots - points[pair[:, :1]], 2, 0))
    kept = _through(node, radius, whole=len(diagram.vertices))
    pair, apart, spots, node, least = (a[kept] for a in (pair, apart, spots, node, least))
    count = int(node.max(initial=0)) + 1
    graph = coo_array((np.ones(len(node)), (node[:, 0], node[:, 1])), shape=(count, count))
    _, part = connected_components(graph, directed=False)
    necks = least & (apart < wanted - FALLS_SHORT)
    strands = np.isin(part[node[:, 0]], part[node[necks, 0]])
    both = gives[pair].all(axis=1)
    middle = list(spots[strands & both])
    beside = np.unique(pair[strands & ~both])
    beside = beside[~gives[beside]]
    next_ = (np.diff(beside) == 1) & (np.diff(ring[beside]) == 0)
    edge = [points[beside[k : k + 2]] for k in np.flatnonzero(next_).tolist()]
    return shapely.union_all([*_wide(middle, wanted / 2), *_wide(edge, wanted)])


def _wide(lines: list[FloatArray], reach: float) -> list[BaseGeometry]:
    """Everything within reach of short lines, those that follow each other joined first."""
    joined = shapely.line_merge(MultiLineString(lines)).simplify(EASED, preserve_topology=False)
    return [part.buffer(reach, quad_segs=32) for part in shapely.get_parts(joined).tolist()]


def _samples(pattern: Pattern) -> tuple[FloatArray, IntArray, BoolArray]:
    """Points in order along the whole edge of the face, the ring of each, and whether it is an opening's, which gives."""
    own = [r for o in pattern.openings for r in shapely.get_rings(o.shape).tolist()]
    rings = [*own, *shapely.get_rings(pattern.outline).tolist()]
    points, ring = shapely.get_coordinates(shapely.segmentize(rings, STEP), return_index=True)
    _, first = np.unique(np.round(points, 9), axis=0, return_index=True)
    first.sort()
    return points[first], ring[first], ring[first] < len(own)


def _neighbours(pair: IntArray, ring: IntArray) -> BoolArray:
    """True for samples that follow each other along one ring."""
    size, first = np.bincount(ring), np.searchsorted(ring, np.arange(ring[-1] + 1))
    place = pair - first[ring[pair]]
    steps = np.abs(place[:, 0] - place[:, 1])
    around = np.minimum(steps, size[ring[pair[:, 0]]] - steps)
    found: BoolArray = (ring[pair[:, 0]] == ring[pair[:, 1]]) & (around <= NEXT)
    return found


def _narrow(
    vertices: FloatArray, ends: IntArray, pair: FloatArray, apart: FloatArray, wanted: float
) -> tuple[FloatArray, IntArray, BoolArray]:
    """Cut ridges down to where discs are smaller than wanted and touch two sides, not two edges of a corner.

    Returns:
        Ends of what is left, `(k, 2, 2)`; numbers of these ends, new where a ridge was cut and both the same
        where nothing is left, `(k, 2)`; and whether the ridge crosses between its samples, so that they are a neck.
    """
    start = vertices[ends[:, 0]]
    along = vertices[ends[:, 1]] - start
    length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-12)
    unit = along / length[:, None]
    foot = ((pair.mean(axis=1) - start) * unit).sum(axis=1)
    radius = np.minimum(apart / 2 / math.sin(APART / 2), wanted / 2)
    room = np.sqrt(np.maximum(radius**2 - (apart / 2) ** 2, 0.0))
    low, high = np.maximum(foot - room, 0.0), np.minimum(foot + room, length)
    left = low < high
    node = ends.copy()
    for side, cut in ((0, low > 0), (1, high < length)):
        node[cut, side] = len(vertices) + 2 * np.flatnonzero(cut) + side
    node[~left] = 0
    spots = start[:, None] + unit[:, None] * np.stack([low, high], axis=1)[:, :, None]
    return spots, node, left & (foot >= 0) & (foot <= length)


def _through(node: IntArray, radius: FloatArray, *, whole: int) -> BoolArray:
    """Leave out lines that run out into a tip: what narrows to its end is a tongue, not a neck.

    Ends from the number `whole` on were cut, where the strand is wide enough or opens up.
    """
    kept = np.ones(len(node), dtype=bool)
    beside: dict[int, set[int]] = {}
    for k, (a, b) in enumerate(node.tolist()):
        beside.setdefault(a, set()).add(k)
        beside.setdefault(b, set()).add(k)
    ends = [n for n, lines in beside.items() if len(lines) == 1]
    while ends:
        tip = ends.pop()
        if tip >= whole or len(beside[tip]) != 1:
            continue
        (k,) = beside[tip]
        side = int(node[k, 1] == tip)
        if radius[k, side] > radius[k, 1 - side] + LEVEL:
            continue
        kept[k] = False
        inner = int(node[k, 1 - side])
        beside[tip].discard(k)
        beside[inner].discard(k)
        ends.append(inner)
    return kept


def _inside(pattern: Pattern, ends: FloatArray) -> BoolArray:
    """True for ridges that lie in the face, loose parts with it: what is glued down has bridges too."""
    shapely.prepare(pattern.land)
    flat = ends.reshape(-1, 2)
    inside = shapely.contains_xy(pattern.land, flat[:, 0], flat[:, 1]).reshape(-1, 2)
    found: BoolArray = inside.all(axis=1)
    return found
