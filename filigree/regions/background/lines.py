"""Lines: whose outline each drawn line is.

A line that runs straight past a T is the outline of what lies on top there, along its whole length; one that
dives beneath a band and comes out beyond it is still the same line. Ground has no outline of its own: all its walls belong to others.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.background.junctions import REACH, Meetings, vertex_turn
from filigree.regions.background.walls import OUTSIDE, Walls

WIDEST = 25.0  # mm: no band is wider
BEND = 0.06  # 1 - cosine: how far a line may turn beneath a band (20 degrees)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beneath:
    """Regions that lie to one side of a line on both ends of where it dives beneath another.

    Attributes:
        pairs: rows that so go on into each other, `(k, 2)`, lower row first; the same row twice for a
            region seen on both sides of what lies over it.
        lines: how many lines say so at that place; two are the two edges of a strand, `(k,)`.
    """

    pairs: IntArray
    lines: IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outlines:
    """Shares of each region's wall inside the field, `(n,)`.

    Attributes:
        own: lines that are its own outline.
        others: lines that are outlines of what lies across.
        swelling: lines of no known owner that bend round it, less those that bend away, -1 to 1.
        beneath: which regions go on beneath others.
    """

    own: FloatArray
    others: FloatArray
    swelling: FloatArray
    beneath: Beneath


def outlines(walls: Walls, met: Meetings, count: int, edge: IntArray) -> Outlines:
    """Say whose outline each wall is; `edge` are the rows that frame the field."""
    chain, far = _chains(walls)
    bar = met.bar[met.bar != OUTSIDE]
    before, after = chain[walls.before[bar]], chain[bar]
    stem, partner, top = _through(walls, met)
    into, onward = far[chain[partner]], chain[stem]
    ends = np.concatenate([before, into])
    starts = np.concatenate([after, onward])
    pairs = np.concatenate(
        [np.column_stack([ends, starts]), np.column_stack([far[ends], far[starts]])]
    )
    line = _joined(len(far), pairs[(pairs != OUTSIDE).all(axis=1)])
    size = len(far)
    proof = np.bincount(line[after], minlength=size)[line]
    other = np.where(far == OUTSIDE, 0, proof[far])
    says = (proof - other) / (proof + other + 0.5)
    bend = np.bincount(chain, np.where(walls.degree >= 3, 0.0, vertex_turn(walls)), minlength=size)
    bend = np.tanh(np.bincount(line, bend, minlength=size)[line])
    inside = (walls.across != OUTSIDE) & ~np.isin(walls.across, edge)
    length = np.where(inside, walls.length, 0.0)
    whole = np.maximum(np.bincount(walls.region, length, minlength=count), 1e-9)

    def share(values: FloatArray) -> FloatArray:
        found = np.bincount(walls.region, length * values[chain], minlength=count)
        return np.asarray(found / whole, dtype=np.float64)

    return Outlines(
        own=share(np.maximum(says, 0.0)),
        others=share(np.maximum(-says, 0.0)),
        swelling=share(np.where(proof + other == 0, bend, 0.0)),
        beneath=_beneath(walls, stem, partner, top),
    )


def _beneath(walls: Walls, stem: IntArray, partner: IntArray, top: IntArray) -> Beneath:
    """What lies left of a line leading in lies right of the one leading out."""
    here, there = walls.region[stem], walls.across[partner]
    real = there != OUTSIDE
    rows = np.column_stack([np.minimum(here, there), np.maximum(here, there), top])[real]
    found, lines = np.unique(rows, axis=0, return_counts=True)
    return Beneath(pairs=found[:, :2], lines=np.asarray(lines, dtype=np.int64))


def _through(walls: Walls, met: Meetings) -> tuple[IntArray, IntArray, IntArray]:
    """Vertices at which a line leads away from a T, those at which it comes out again beyond, the row between."""
    stem, top = _stems(walls, met)
    start = walls.points[stem]
    out = walls.ahead(stem, np.minimum(REACH, walls.round[stem] / 6)) - start
    out /= np.maximum(np.hypot(out[:, 0], out[:, 1]), 1e-12)[:, None]
    points = np.asarray(shapely.points(start))
    a, b = shapely.STRtree(points).query(points, predicate="dwithin", distance=WIDEST)
    hop = start[a] - start[b]
    gap = np.hypot(hop[:, 0], hop[:, 1])
    hop = hop / np.maximum(gap, 1e-12)[:, None]
    bend = np.maximum(
        1 - (hop * out[a]).sum(axis=1),
        1 + (hop * out[b]).sum(axis=1),
    )
    fits = (top[a] == top[b]) & (gap > 1e-6) & (bend < BEND)
    a, b, gap = a[fits], b[fits], gap[fits]
    order = np.lexsort((b, gap, a))
    a, b = a[order], b[order]
    first = np.append(True, np.diff(a) != 0)[: len(a)]
    partner = np.full(len(stem), OUTSIDE, dtype=np.int64)
    partner[a[first]] = b[first]
    mutual = np.flatnonzero((partner != OUTSIDE) & (partner[partner] == np.arange(len(stem))))
    return stem[mutual], stem[partner[mutual]], top[mutual]


def _stems(walls: Walls, met: Meetings) -> tuple[IntArray, IntArray]:
    """Vertices at Ts whose wall leads away along the stem, and the rows on top there."""
    whole = (met.over != OUTSIDE).all(axis=1)
    over, legs = met.over[whole], met.legs[whole]
    first = walls.across[legs[:, 0]] == over[:, 2]
    second = walls.across[legs[:, 1]] == over[:, 1]
    stem = np.where(first, legs[:, 0], legs[:, 1])
    clear = first ^ second
    return stem[clear], over[clear, 0]


def _chains(walls: Walls) -> tuple[IntArray, IntArray]:
    """Number each run of wall between junctions; and the run on the far side of each, or OUTSIDE."""
    count = len(walls.points)
    first = np.append(True, np.diff(walls.ring) != 0)
    node = walls.degree >= 3
    starts = node | first
    number = np.cumsum(starts) - 1
    ring_first = np.flatnonzero(first)
    ring_last = np.append(ring_first[1:], count) - 1
    # what precedes a ring's first junction belongs to its last run
    head = number[ring_first]
    tail = number[ring_last]
    swap = np.arange(int(number[-1]) + 1)
    swap[head[~node[ring_first]]] = tail[~node[ring_first]]
    chain = np.asarray(np.unique(swap[number], return_inverse=True)[1].ravel(), dtype=np.int64)
    far = np.full(int(chain.max()) + 1, OUTSIDE, dtype=np.int64)
    real = np.flatnonzero(walls.twin != OUTSIDE)
    far[chain[real]] = chain[walls.twin[real]]
    return chain, far


def _joined(count: int, pairs: IntArray) -> IntArray:
    """Number of each node's connected part: the lowest node in it."""
    part = np.arange(count)
    while True:
        low = np.minimum(part[pairs[:, 0]], part[pairs[:, 1]])
        fresh = part.copy()
        np.minimum.at(fresh, pairs[:, 0], low)
        np.minimum.at(fresh, pairs[:, 1], low)
        fresh = fresh[fresh]
        if (fresh == part).all():
            return part
        part = fresh
