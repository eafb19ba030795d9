"""Runs: lines cut into pieces of a few segments, in boxes, to find what lies near what."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.chains import Chains, runs, short_run

ROUNDING = 1e-6  # mm: what is no farther off than this is at the same place
AT_ONCE = 1_000_000  # pairs looked up together
FEW = 2_000  # runs whose pairs are kept
LOOKED_UP = 64  # boxes looked up to see how many a box meets


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """Runs of a few segments in boxes, which hold what is within ROUNDING of them.

    Attributes:
        first: first vertex of each run, `(r,)`.
        size: number of its segments, `(r,)`.
        low: lower corner of its box, mm, `(r, 2)`.
        high: upper corner, `(r, 2)`.
        tree: the boxes.
        alone: True for runs that never turn back, and so do not meet themselves, `(r,)`.
        with_next: True where that holds for a run and the next together, `(r,)`.
        pairs: runs that may meet, where there are few; None where there are many.
    """

    first: IntArray
    size: IntArray
    low: FloatArray
    high: FloatArray
    tree: shapely.STRtree
    alone: BoolArray
    with_next: BoolArray
    pairs: tuple[IntArray, IntArray] | None = None

    def __len__(self) -> int:
        return len(self.first)


def runs_of(chains: Chains) -> Runs:
    """Cut chains into runs."""
    first, size = runs(chains, short_run(chains))
    end = chains.xy[first + size]
    low = np.minimum(np.minimum.reduceat(chains.xy, first), end) - ROUNDING
    high = np.maximum(np.maximum.reduceat(chains.xy, first), end) + ROUNDING
    tree = shapely.STRtree(np.asarray(shapely.box(*low.T, *high.T)))
    alone, with_next = _go_on(chains, first, size)
    part = Runs(
        first=first,
        size=size,
        low=low,
        high=high,
        tree=tree,
        alone=alone,
        with_next=with_next,
    )
    if len(part) > FEW:
        return part
    return replace(part, pairs=_meeting(part, 0, len(part)))


def may_meet(part: Runs) -> Iterator[tuple[IntArray, IntArray]]:
    """Give the pairs of runs that may meet, lesser first, and runs that may meet themselves, some at a time."""
    if part.pairs is not None:
        yield part.pairs
        return
    some = part.tree.geometries[:: max(1, len(part) // LOOKED_UP)]
    each = part.tree.query(some).shape[1] / len(some)
    step = max(LOOKED_UP, int(AT_ONCE / max(each, 1.0)))
    for k in range(0, len(part), step):
        yield _meeting(part, k, k + step)


def _meeting(part: Runs, begin: int, end: int) -> tuple[IntArray, IntArray]:
    """Pair runs from `begin` up to `end` with later ones in boxes that meet theirs."""
    one, other = part.tree.query(part.tree.geometries[begin:end])
    one += begin
    later = np.flatnonzero(other >= one)
    one, other = one[later], other[later]
    ahead = other - one
    clear = np.where(ahead == 0, part.alone[one], (ahead == 1) & part.with_next[one])
    apart = np.flatnonzero(~clear)
    return one[apart], other[apart]


def _go_on(chains: Chains, first: IntArray, size: IntArray) -> tuple[BoolArray, BoolArray]:
    """Mark runs that never turn back against the way from their first vertex: alone, and with the next."""
    x, y = chains.xy.T.copy()
    end = first + size
    cx, cy = x[end] - x[first], y[end] - y[first]
    least = ROUNDING * np.hypot(cx, cy)
    run = np.repeat(np.arange(len(first)), np.diff(first, append=len(x)))
    dx, dy = np.diff(x, append=0.0), np.diff(y, append=0.0)
    on = dx * cx[run] + dy * cy[run] > least[run]
    on[chains.lasts] = True  # no step
    alone = np.logical_and.reduceat(on, first)
    run -= 1
    on = dx * cx[run] + dy * cy[run] > least[run]
    on[chains.lasts] = True
    after = np.logical_and.reduceat(on, first)
    return alone, alone & np.roll(after, -1) & (end == np.roll(first, -1))
