"""Chains: noded polylines packed into two arrays, so that numpy can work on all of them at once."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiLineString

from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes

RUN = 12  # segments looked at together
MEETS = 24.0  # others that the box of a run may meet where lines are crowded
ALIKE = 6  # digits of mm in which measures are compared, where rounding must not decide


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chains:
    """Polylines one after the other.

    Attributes:
        xy: all vertices, mm, `(n, 2)`.
        offsets: chain k holds `xy[offsets[k]:offsets[k + 1]]`, `(k + 1,)`; each has two vertices or more.
    """

    xy: FloatArray
    offsets: IntArray

    def __len__(self) -> int:
        return len(self.offsets) - 1

    @property
    def firsts(self) -> IntArray:
        """Index of the first vertex of each chain."""
        return self.offsets[:-1]

    @property
    def lasts(self) -> IntArray:
        """Index of the last vertex of each chain."""
        return self.offsets[1:] - 1


def pack(lines: Sequence[FloatArray]) -> Chains:
    """Pack polylines, without repeated vertices and without lines that have no length.

    The order and the direction of the result do not depend on those of `lines`.

    Raises:
        ValueError: a coordinate is not finite.
    """
    kept = [np.asarray(line, dtype=np.float64).reshape(-1, 2) for line in lines if len(line) > 1]
    if not kept:
        return Chains(xy=np.empty((0, 2)), offsets=np.zeros(1, dtype=np.int64))
    xy = np.concatenate(kept) + 0.0
    if not np.isfinite(xy).all():
        raise ValueError("lines hold coordinates that are not finite")
    sizes = np.array([len(line) for line in kept])
    return _in_order(without_repeats(Chains(xy=xy, offsets=offsets_of(sizes))))


def split(chains: Chains, segment: IntArray, points: FloatArray) -> Chains:
    """Cut chains at points on their segments; points on a vertex cut them there.

    Args:
        chains: polylines.
        segment: index of the vertex each cut segment starts at, `(p,)`.
        points: places of the cuts, on or very near the segments, `(p, 2)`.
    """
    begin = chains.xy[segment]
    along = np.hypot(*(points - begin).T)
    order = np.lexsort((along, segment))
    segment, points = segment[order], points[order]
    xy = np.insert(chains.xy, np.repeat(segment + 1, 2), np.repeat(points, 2, axis=0), axis=0)
    second = segment + 2 + 2 * np.arange(len(segment))
    offsets = np.sort(
        np.concatenate([chains.offsets + 2 * np.searchsorted(segment, chains.offsets), second])
    )
    return without_repeats(Chains(xy=xy, offsets=offsets))


def offsets_of(sizes: IntArray) -> IntArray:
    """Turn sizes `(k,)` into offsets `(k + 1,)`."""
    offsets = np.zeros(len(sizes) + 1, dtype=np.int64)
    np.cumsum(sizes, out=offsets[1:])
    return offsets


def indices(starts: IntArray, sizes: IntArray, *, backward: BoolArray | None = None) -> IntArray:
    """List the indices of runs `starts[k] ... starts[k] + sizes[k] - 1`, some of them backward."""
    offsets = offsets_of(sizes)
    within = np.arange(offsets[-1]) - np.repeat(offsets[:-1], sizes)
    if backward is None:
        return np.asarray(np.repeat(starts, sizes) + within, dtype=np.int64)
    step = np.where(backward, -1, 1)
    begin = np.where(backward, starts + sizes - 1, starts)
    return np.asarray(np.repeat(begin, sizes) + np.repeat(step, sizes) * within, dtype=np.int64)


def take(chains: Chains, which: IntArray) -> Chains:
    """Take some chains, in the order of `which`."""
    sizes = np.diff(chains.offsets)[which]
    where = indices(chains.firsts[which], sizes)
    return Chains(xy=chains.xy.take(where, axis=0), offsets=offsets_of(sizes))


def join(one: Chains, other: Chains) -> Chains:
    """Put two sets of chains one after the other."""
    return Chains(
        xy=np.concatenate([one.xy, other.xy]),
        offsets=np.concatenate([one.offsets, other.offsets[1:] + one.offsets[-1]]),
    )


def lengths(chains: Chains) -> FloatArray:
    """Measure each chain, mm, `(k,)`."""
    if not len(chains):
        return np.empty(0)
    x, y = chains.xy.T.copy()
    steps = np.zeros(len(x))
    np.hypot(np.diff(x), np.diff(y), out=steps[:-1])
    steps[chains.lasts] = 0.0
    return np.add.reduceat(steps, chains.firsts)


def outward(chains: Chains, points: FloatArray) -> FloatArray:
    """Distance of points from the middle of a drawing, rounded, to tell equal things apart, `(n,)`.

    However a drawing is turned, mirrored or moved, its lines keep the order this gives them.
    """
    return np.asarray(np.round(np.hypot(*(points - chains.xy.mean(axis=0)).T), ALIKE))


def middles(chains: Chains, which: IntArray) -> FloatArray:
    """Middle vertex, or middle of the middle segment, of some chains, `(k, 2)`."""
    first, last = chains.firsts[which], chains.lasts[which]
    half = last - first
    return np.asarray((chains.xy[first + half // 2] + chains.xy[first + (half + 1) // 2]) / 2)


def linestrings(chains: Chains) -> Shapes:
    """Make one shapely line of each chain."""
    owner = np.repeat(np.arange(len(chains)), np.diff(chains.offsets))
    return np.asarray(shapely.linestrings(chains.xy, indices=owner))


def together(chains: Chains) -> MultiLineString:
    """Make one shapely geometry of all chains."""
    parts = chains.offsets, np.array([0, len(chains)])
    lines: MultiLineString = shapely.from_ragged_array(
        shapely.GeometryType.MULTILINESTRING, chains.xy, parts
    )[0]
    return lines


def short_run(chains: Chains) -> int:
    """Number of segments of a run of which a box meets few others: RUN, fewer where lines are crowded."""
    wide, high = np.ptp(chains.xy, axis=0)
    long = float(lengths(chains).sum())
    segment = long / max(len(chains.xy) - len(chains), 1)
    crowd = long * segment / max(float(wide * high), segment * segment)
    return max(1, min(RUN, round(MEETS / crowd)))


def runs(chains: Chains, most: int = RUN) -> tuple[IntArray, IntArray]:
    """Cut chains into runs of a few segments: first vertex and number of segments of each, in order."""
    segments = np.diff(chains.offsets) - 1
    count = -(-segments // most)
    chain = np.repeat(np.arange(len(chains)), count)
    nth = np.arange(len(chain)) - np.repeat(offsets_of(count)[:-1], count)
    size = np.minimum(most, segments[chain] - nth * most)
    return chains.firsts[chain] + nth * most, size


def pieces(chains: Chains, most: int = RUN) -> tuple[shapely.STRtree, IntArray, IntArray]:
    """Put the runs of chains into a tree; give the first vertex and the number of segments of each."""
    first, size = runs(chains, most)
    owner = np.repeat(np.arange(len(first)), size + 1)
    lines = shapely.linestrings(chains.xy.take(indices(first, size + 1), axis=0), indices=owner)
    return shapely.STRtree(np.asarray(lines, dtype=object)), first, size


def unpack(geometry: shapely.Geometry | Shapes) -> Chains:
    """Read the lines of a shapely collection, or of many, into chains."""
    parts = shapely.get_parts(geometry)
    xy = shapely.get_coordinates(parts)
    return Chains(
        xy=xy + 0.0,
        offsets=offsets_of(np.asarray(shapely.get_num_coordinates(parts), dtype=np.int64)),
    )


def _fresh(chains: Chains) -> BoolArray:
    """Mark vertices that differ from the one before on their chain."""
    x, y = chains.xy.T
    fresh = np.ones(len(x), dtype=bool)
    fresh[1:] = (x[1:] != x[:-1]) | (y[1:] != y[:-1])
    fresh[chains.firsts] = True
    return fresh


def without_repeats(chains: Chains) -> Chains:
    """Drop vertices equal to the one before, and chains of one vertex."""
    fresh = _fresh(chains)
    if fresh.all():
        return chains
    sizes = np.add.reduceat(fresh.astype(np.int64), chains.firsts)
    whole = sizes > 1
    fresh &= np.repeat(whole, np.diff(chains.offsets))
    return Chains(xy=chains.xy[fresh], offsets=offsets_of(sizes[whole]))


def _in_order(chains: Chains) -> Chains:
    """Turn each chain to start at its lesser end, and sort them."""
    xy, first, last = chains.xy, chains.firsts, chains.lasts
    sizes = np.diff(chains.offsets)
    a, b = xy[first], xy[last]
    ring = (a == b).all(axis=1)
    a = np.where(ring[:, None], xy[first + 1], a)
    b = np.where(ring[:, None], xy[last - 1], b)
    backward = (a[:, 0] > b[:, 0]) | ((a[:, 0] == b[:, 0]) & (a[:, 1] > b[:, 1]))
    low = np.where(backward[:, None], b, a)
    high = np.where(backward[:, None], a, b)
    middle = xy[first + sizes // 2]
    order = np.lexsort(
        (middle[:, 1], middle[:, 0], sizes, high[:, 1], high[:, 0], low[:, 1], low[:, 0])
    )
    where = indices(first[order], sizes[order], backward=backward[order])
    return Chains(xy=xy.take(where, axis=0), offsets=offsets_of(sizes[order]))
