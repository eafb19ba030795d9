"""Poles: a point well inside each of many shapes, all shapes at once.

Midpoints of chords along a few straight cuts lie inside whatever the shape; the one farthest from the
edge is then moved uphill. It works on a simplified edge; the radius is measured on the true one. What
ends too near the edge is given to the exact (and fifty times slower) search.
"""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import FloatArray, IntArray, Shapes

CUTS = 3  # straight cuts tried each way
CLIMBS = 7  # steps uphill, in turn along and across the axes; the first is half the radius
SIMPLER = 0.03  # of the mean width: how far the simplified edge may lie off
LEAST = 0.4  # of the mean width, 2 area / edge: a radius below it is searched for exactly
BATCH = 60_000  # distances held at once

_FROM_MIDDLE = np.array(sorted(np.arange(CUTS) - CUTS // 2, key=abs))  # the middle wins a tie
_AROUND = np.column_stack([np.cos(np.arange(8) * np.pi / 4), np.sin(np.arange(8) * np.pi / 4)])


def poles(shapes: Sequence[Polygon] | Shapes) -> tuple[FloatArray, FloatArray]:
    """Find a point well inside each shape, and how far from the edge it is.

    Args:
        shapes: polygons with an area, with or without holes.

    Returns:
        Points `(n, 2)` and their distances from the edge `(n,)`, mm.
    """
    all_shapes = np.asarray(shapes, dtype=object)
    points = np.empty((len(all_shapes), 2))
    if not len(all_shapes):
        return points, np.empty(0)
    edge = shapely.length(all_shapes)
    width = 2 * shapely.area(all_shapes) / np.where(edge > 0, edge, 1.0)
    for members, a, b in _batches(all_shapes, width):
        points[members] = _climb(a, b, *_best_chord(a, b))
    rings, owner = shapely.get_rings(all_shapes, return_index=True)
    off = shapely.distance(rings, np.asarray(shapely.points(points))[owner])
    radius = np.minimum.reduceat(off, np.flatnonzero(np.diff(owner, prepend=-1)))
    inside = shapely.contains_xy(all_shapes, points[:, 0], points[:, 1])
    poor = np.flatnonzero(~inside | (radius < LEAST * width))
    if len(poor):
        points[poor], radius[poor] = _exactly(all_shapes[poor])
    return points, radius


def _exactly(shapes: Shapes) -> tuple[FloatArray, FloatArray]:
    spokes = np.asarray(shapely.maximum_inscribed_circle(shapes))
    ends = shapely.get_coordinates(spokes).reshape(-1, 2, 2)
    return ends[:, 0], np.hypot(*(ends[:, 1] - ends[:, 0]).T)


def _batches(
    shapes: Shapes, width: FloatArray
) -> Iterator[tuple[IntArray, FloatArray, FloatArray]]:
    """Give shapes of like size together: their places and edges from a to b, `(m, s, 2)`.

    Short rows are filled up with edges of no length on a vertex of the shape.
    """
    rings, owner = shapely.get_rings(shapes, return_index=True)
    simple = shapely.simplify(
        rings, np.maximum(SIMPLER * width[owner], 0.0), preserve_topology=False
    )
    lost = shapely.is_empty(simple)
    simple[lost] = rings[lost]
    xy, ring = shapely.get_coordinates(simple, return_index=True)
    last = np.append(np.diff(ring) != 0, [True])
    begin = np.flatnonzero(~last)
    of = owner[ring[begin]]
    count = np.bincount(of, minlength=len(shapes))
    first = np.cumsum(count) - count
    room = np.ceil(2.0 ** (np.ceil(2 * np.log2(count)) / 2)).astype(np.int64)
    for size in np.unique(room).tolist():
        like = np.flatnonzero(room == size)
        step = max(1, BATCH // (size * 2 * CUTS))
        for k in range(0, len(like), step):
            members = like[k : k + step]
            within = np.minimum(np.arange(size), count[members, None] - 1)
            at = begin[first[members, None] + within]
            a, b = xy[at], xy[at + 1]
            spare = np.arange(size) >= count[members, None]
            a[spare] = b[spare]
            yield members, a, b


def _best_chord(a: FloatArray, b: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Take the chord midpoint farthest from the edge: points `(m, 2)` and squared distances `(m,)`."""
    low, high = a.min(axis=1), a.max(axis=1)
    share = 0.5 + _FROM_MIDDLE / CUTS
    level = low[:, None, :] + share[:, None] * (high - low)[:, None, :]
    across = _middles(a, b, level[:, :, 1], 1)
    down = _middles(a, b, level[:, :, 0], 0)
    points = np.concatenate([across, down], axis=1)
    off = _squared(points, a, b)
    best = off.argmax(axis=1)
    row = np.arange(len(a))
    return points[row, best], off[row, best]


def _middles(a: FloatArray, b: FloatArray, level: FloatArray, axis: int) -> FloatArray:
    """Middle of the widest chord at each level of one axis, `(m, CUTS, 2)`."""
    start, end = a[:, None, :, axis], b[:, None, :, axis]
    cuts = (start <= level[:, :, None]) != (end <= level[:, :, None])
    rise = np.where(start == end, 1.0, end - start)
    t = (level[:, :, None] - start) / rise
    other = 1 - axis
    at = a[:, None, :, other] + t * (b - a)[:, None, :, other]
    at = np.where(cuts, at, np.inf)
    at.sort(axis=2)
    even = at.shape[2] // 2 * 2
    enter, leave = at[:, :, 0:even:2], at[:, :, 1:even:2]
    width = np.where(np.isfinite(leave), leave, 0.0) - np.where(np.isfinite(leave), enter, 1.0)
    widest = width.argmax(axis=2)[:, :, None]
    middle = (np.take_along_axis(enter, widest, 2) + np.take_along_axis(leave, widest, 2))[:, :, 0]
    found = np.isfinite(middle)
    points = np.empty((*level.shape, 2))
    points[:, :, axis] = level
    points[:, :, other] = np.where(found, middle / 2, a[:, :1, other])
    points[:, :, axis] = np.where(found, level, a[:, :1, axis])
    return points


def _climb(a: FloatArray, b: FloatArray, point: FloatArray, off: FloatArray) -> FloatArray:
    """Move points away from the edge; a step shorter than the radius cannot leave the shape."""
    row = np.arange(len(a))
    step = np.sqrt(off) / 2
    for turn in range(CLIMBS):
        tries = point[:, None, :] + step[:, None, None] * _AROUND[turn % 2 :: 2]
        gained = _squared(tries, a, b)
        best = gained.argmax(axis=1)
        better = gained[row, best] > off
        point = np.where(better[:, None], tries[row, best], point)
        off = np.where(better, gained[row, best], off)
        step = np.where(better, step, step / 2)
    return point


def _squared(points: FloatArray, a: FloatArray, b: FloatArray) -> FloatArray:
    """Squared distance of points `(m, c, 2)` from the nearest edge, `(m, c)`."""
    dx, dy = (b[:, :, 0] - a[:, :, 0])[:, None], (b[:, :, 1] - a[:, :, 1])[:, None]
    squared = dx * dx + dy * dy
    px = points[:, :, 0, None] - a[:, None, :, 0]
    py = points[:, :, 1, None] - a[:, None, :, 1]
    t = (px * dx + py * dy) / np.where(squared > 0, squared, 1.0)
    np.clip(t, 0.0, 1.0, out=t)
    px -= t * dx
    py -= t * dy
    return np.asarray((px * px + py * py).min(axis=2))
