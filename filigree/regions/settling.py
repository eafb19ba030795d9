"""Settling: vertices that lie on another line but for rounding become vertices of that line as well.

A line that ends on another, or a corner that touches one, lies off it by the rounding of its coordinates:
whether noding finds a crossing there, a touch or a gap would hang on how the drawing is turned. Where both
lines hold the very same vertex there is nothing left to find.
"""

import numpy as np

from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.arrangement import as_keys, connected
from filigree.regions.chains import Chains, without_repeats
from filigree.regions.runs import ROUNDING, Runs, may_meet, runs_of

AT_ONCE = 20_000  # pairs of runs whose vertices are looked at together


def settle(chains: Chains, part: Runs | None = None) -> Chains:
    """Put vertices within ROUNDING of another vertex, or of a line, on it; nothing else moves.

    Args:
        chains: lines, mm.
        part: their runs, where these are known.
    """
    vertex, segment = touches(chains, part)
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
    every = as_keys(chains.xy)
    keys, key = np.unique(every[np.concatenate([some, others])], return_inverse=True)
    label = connected(len(keys), key[: len(some)], key[len(some) :])
    place = np.minimum(np.searchsorted(keys, every), len(keys) - 1)
    here = np.flatnonzero(keys[place] == every)
    xy = chains.xy.copy()
    xy[here] = keys[label[place[here]]].view(np.float64).reshape(-1, 2)
    return Chains(xy=xy, offsets=chains.offsets)


def touches(chains: Chains, part: Runs | None = None) -> tuple[IntArray, IntArray]:
    """Find vertices within ROUNDING of a segment they are no end of: vertex and segment, `(n,)` each."""
    found = [(np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64))]
    if len(chains):
        part = part or runs_of(chains)
        x, y = chains.xy.T.copy()
        for one, other in may_meet(part):
            for k in range(0, len(one), AT_ONCE):
                a, b = one[k : k + AT_ONCE], other[k : k + AT_ONCE]
                both = a != b
                a, b = np.concatenate([a, b[both]]), np.concatenate([b, a[both]])
                found.append(_near(x, y, part, a, b))
    return np.concatenate([v for v, _ in found]), np.concatenate([s for _, s in found])


def _near(
    x: FloatArray, y: FloatArray, part: Runs, one: IntArray, other: IntArray
) -> tuple[IntArray, IntArray]:
    """Look for vertices of runs `one` on segments of runs `other`."""
    low, high = part.low[other], part.high[other]
    pair, vertex = _each(part.first[one], part.size[one] + 1)
    at = x[vertex]
    within = np.flatnonzero((at >= low[pair, 0]) & (at <= high[pair, 0]))
    pair, vertex = pair[within], vertex[within]
    at = y[vertex]
    within = np.flatnonzero((at >= low[pair, 1]) & (at <= high[pair, 1]))
    pair, vertex = pair[within], vertex[within]
    row, segment = _each(part.first[other[pair]], part.size[other[pair]])
    at, a, b = x[vertex[row]], x[segment], x[segment + 1]
    beside = np.flatnonzero(
        (at >= np.minimum(a, b) - ROUNDING) & (at <= np.maximum(a, b) + ROUNDING)
    )
    vertex, segment = vertex[row[beside]], segment[beside]
    at_x, at_y = x[vertex] - x[segment], y[vertex] - y[segment]
    step_x, step_y = x[segment + 1] - x[segment], y[segment + 1] - y[segment]
    along = (at_x * step_x + at_y * step_y) / (step_x * step_x + step_y * step_y)
    along = np.clip(along, 0.0, 1.0)
    off = np.hypot(at_x - along * step_x, at_y - along * step_y)
    hit = off <= ROUNDING
    for end in (segment, segment + 1):  # their own ends are no touches
        hit &= (x[vertex] != x[end]) | (y[vertex] != y[end])
    return vertex[hit], segment[hit]


def _each(first: IntArray, size: IntArray) -> tuple[IntArray, IntArray]:
    """List the members of each run, with the place of the run."""
    place = np.repeat(np.arange(len(first)), size)
    return place, np.arange(len(place)) + np.repeat(first - np.cumsum(size) + size, size)
