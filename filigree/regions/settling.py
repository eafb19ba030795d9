"""Settling: vertices that lie on another line but for rounding become vertices of that line as well.

A line that ends on another, or a corner that touches one, lies off it by the rounding of its coordinates:
whether noding finds a crossing there, a touch or a gap would hang on how the drawing is turned. Where both
lines hold the very same vertex there is nothing left to find.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.arrangement import as_keys, connected
from filigree.regions.chains import Chains, indices, runs, without_repeats

ROUNDING = 1e-6  # mm: what is no farther off lies on the line
AT_ONCE = 20_000  # pairs of runs looked at together


def settle(chains: Chains) -> Chains:
    """Put vertices within ROUNDING of another vertex, or of a line, on it; nothing else moves."""
    vertex, segment = touches(chains)
    if not len(vertex):
        return chains
    to_a = np.hypot(*(chains.xy[vertex] - chains.xy[segment]).T)
    to_b = np.hypot(*(chains.xy[vertex] - chains.xy[segment + 1]).T)
    same = np.minimum(to_a, to_b) <= 2 * ROUNDING
    end = segment + (to_b < to_a)
    placed = _as_one(chains, vertex[same], end[same]) if same.any() else chains
    vertex, segment, far = vertex[~same], segment[~same], to_a[~same]
    order = np.lexsort((far, segment))
    at = segment[order] + 1
    return without_repeats(
        Chains(
            xy=np.insert(placed.xy, at, placed.xy[vertex[order]], axis=0),
            offsets=placed.offsets + np.searchsorted(at, placed.offsets),
        )
    )


def _as_one(chains: Chains, some: IntArray, others: IntArray) -> Chains:
    """Give vertices that are one place the same coordinates, wherever they occur."""
    keys, key = np.unique(as_keys(chains.xy), return_inverse=True)
    label = connected(len(keys), key[some], key[others])
    xy = keys[label][key].view(np.float64).reshape(-1, 2)
    return Chains(xy=xy, offsets=chains.offsets)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Runs:
    """Runs of a few segments: first vertex, number of segments, and boxes that hold what touches them."""

    first: IntArray
    size: IntArray
    low: FloatArray
    high: FloatArray


def touches(chains: Chains) -> tuple[IntArray, IntArray]:
    """Find vertices within ROUNDING of a segment they are no end of: vertex and segment, `(n,)` each."""
    if not len(chains):
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    part = _runs(chains)
    boxes = np.asarray(shapely.box(*part.low.T, *part.high.T))
    one, other = shapely.STRtree(boxes).query(boxes)
    by_itself, with_next = _go_on(chains, part)
    clear = (one == other) & by_itself[one]
    clear |= (other - one == 1) & with_next[np.minimum(one, other)]
    clear |= (one - other == 1) & with_next[np.minimum(one, other)]
    one, other = one[~clear], other[~clear]
    found = [
        _near(chains, part, one[k : k + AT_ONCE], other[k : k + AT_ONCE])
        for k in range(0, max(len(one), 1), AT_ONCE)
    ]
    return np.concatenate([v for v, _ in found]), np.concatenate([s for _, s in found])


def _runs(chains: Chains) -> _Runs:
    first, size = runs(chains)
    end = chains.xy[first + size]
    return _Runs(
        first=first,
        size=size,
        low=np.minimum(np.minimum.reduceat(chains.xy, first), end) - ROUNDING,
        high=np.maximum(np.maximum.reduceat(chains.xy, first), end) + ROUNDING,
    )


def _go_on(chains: Chains, part: _Runs) -> tuple[BoolArray, BoolArray]:
    """Mark runs that go on in one direction, which do not touch themselves, alone and with the next run."""
    chord = chains.xy[part.first + part.size] - chains.xy[part.first]
    chord /= np.maximum(np.hypot(*chord.T), ROUNDING)[:, None]
    start = np.cumsum(part.size) - part.size
    which = indices(part.first, part.size)
    step = chains.xy[which + 1] - chains.xy[which]
    on = (step * np.repeat(chord, part.size, axis=0)).sum(axis=1) > ROUNDING
    alone = np.logical_and.reduceat(on, start)
    before = np.repeat(np.roll(chord, 1, axis=0), part.size, axis=0)
    after = np.logical_and.reduceat((step * before).sum(axis=1) > ROUNDING, start)
    joined = part.first + part.size == np.roll(part.first, -1)
    return alone, alone & np.roll(after, -1) & joined


def _near(chains: Chains, part: _Runs, one: IntArray, other: IntArray) -> tuple[IntArray, IntArray]:
    """Look for vertices of runs `one` on segments of runs `other`."""
    x, y = np.ascontiguousarray(chains.xy.T)
    low, high = part.low[other], part.high[other]
    pair, vertex = _each(part.first[one], part.size[one] + 1)
    at = x[vertex]
    within = np.flatnonzero((at >= low[pair, 0]) & (at <= high[pair, 0]))
    pair, vertex = pair[within], vertex[within]
    at = y[vertex]
    within = np.flatnonzero((at >= low[pair, 1]) & (at <= high[pair, 1]))
    pair, vertex = pair[within], vertex[within]
    row, segment = _each(part.first[other[pair]], part.size[other[pair]])
    at, step = x[vertex[row]] - x[segment], x[segment + 1] - x[segment]
    beside = np.flatnonzero(
        (at >= np.minimum(step, 0.0) - ROUNDING) & (at <= np.maximum(step, 0.0) + ROUNDING)
    )
    row, segment, at_x, step_x = row[beside], segment[beside], at[beside], step[beside]
    at_y, step_y = y[vertex[row]] - y[segment], y[segment + 1] - y[segment]
    along = (at_x * step_x + at_y * step_y) / (step_x * step_x + step_y * step_y)
    np.clip(along, 0.0, 1.0, out=along)
    off = np.hypot(at_x - along * step_x, at_y - along * step_y)
    hit = np.flatnonzero(off <= ROUNDING)
    vertex, segment = vertex[row[hit]], segment[hit]
    at, a, b = chains.xy[vertex], chains.xy[segment], chains.xy[segment + 1]
    foreign = (at != a).any(axis=1) & (at != b).any(axis=1)
    return vertex[foreign], segment[foreign]


def _each(first: IntArray, size: IntArray) -> tuple[IntArray, IntArray]:
    """List the members of each run, with the place of the run."""
    place = np.repeat(np.arange(len(first)), size)
    return place, np.arange(len(place)) + np.repeat(first - np.cumsum(size) + size, size)
