"""What a loose end can be joined to: another end, a line straight ahead, or the nearest line."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.arrangement import Arrangement, as_keys
from filigree.regions.chains import ALIKE, indices, outward, pieces
from filigree.regions.ends import Ends
from filigree.regions.runs import ROUNDING

SLIP = 0.15  # mm: a gap this small is closed whichever way the lines point
AHEAD = 0.3  # least cosine between an end's aim and what it is joined to
ASIDE = -0.35  # least cosine between the aim of the end it reaches and the way back
DETOUR = 3.0  # the way round along the line, against the gap; below it nothing much is enclosed
OWN = 1e-7  # mm: a place this near along the line is the end itself
STRAIGHT = 0.8  # least cosine of both ends for a line that plainly goes on
EVEN = 1e-9  # cosines and shares this near are equal: drawings on a grid meet limits exactly


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Joins:
    """Joins that may be made, cheapest first.

    Attributes:
        end: index of the loose end each starts at, `(j,)`.
        vertex: index of the vertex at that end, `(j,)`.
        other: index of the loose end it reaches, or -1 for a point on a line, `(j,)`.
        start: where it starts, `(j, 2)`.
        stop: where it ends, `(j, 2)`.
        segment: index of the vertex of the segment it ends on, or -1 for an end, `(j,)`.
        length: mm, `(j,)`.
        straight: True where one line plainly goes on across the gap, `(j,)`.
    """

    end: IntArray
    vertex: IntArray
    other: IntArray
    start: FloatArray
    stop: FloatArray
    segment: IntArray
    length: FloatArray
    straight: BoolArray

    def __len__(self) -> int:
        return len(self.end)

    def take(self, which: IntArray | BoolArray) -> "Joins":
        """Take some joins."""
        return Joins(
            end=self.end[which],
            vertex=self.vertex[which],
            other=self.other[which],
            start=self.start[which],
            stop=self.stop[which],
            segment=self.segment[which],
            length=self.length[which],
            straight=self.straight[which],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Near:
    """Segments near each end: rows sorted by end."""

    end: IntArray
    segment: IntArray
    chain: IntArray


def possible_joins(graph: Arrangement, ends: Ends, *, reach: float) -> Joins:
    """List the joins of up to `reach` mm from each loose end, cheapest first.

    A join costs its length, more the farther it turns away from where its ends point.
    """
    near = _near(graph, ends, reach)
    found = [
        _to_ends(graph, ends, near, reach),
        _straight_ahead(graph, ends, near, reach),
        _to_nearest(graph, ends, near, reach),
    ]
    cost = np.concatenate([c for c, _ in found])
    joins = [j for _, j in found]
    every = Joins(
        end=np.concatenate([j.end for j in joins]),
        vertex=np.concatenate([j.vertex for j in joins]),
        other=np.concatenate([j.other for j in joins]),
        start=np.concatenate([j.start for j in joins]),
        stop=np.concatenate([j.stop for j in joins]),
        segment=np.concatenate([j.segment for j in joins]),
        length=np.concatenate([j.length for j in joins]),
        straight=np.concatenate([j.straight for j in joins]),
    )
    far = outward(graph.chains, (every.start + every.stop) / 2)
    order = np.lexsort((every.start[:, 0], every.start[:, 1], far, np.round(cost, ALIKE)))
    return every.take(order)


def _near(graph: Arrangement, ends: Ends, reach: float) -> _Near:
    tree, first, size = pieces(graph.chains)
    points = np.asarray(shapely.points(ends.at), dtype=object)
    end, piece = tree.query(points, predicate="dwithin", distance=reach)
    order = np.lexsort((piece, end))
    end, piece = end[order], piece[order]
    segment = indices(first[piece], size[piece])
    chain = np.searchsorted(graph.chains.offsets, segment, side="right") - 1
    return _Near(end=np.repeat(end, size[piece]), segment=segment, chain=chain)


def _to_ends(graph: Arrangement, ends: Ends, near: _Near, reach: float) -> tuple[FloatArray, Joins]:
    """Join two loose ends that face each other."""
    points = np.asarray(shapely.points(ends.at), dtype=object)
    a, b = shapely.STRtree(points).query(points, predicate="dwithin", distance=reach)
    a, b = a[a < b], b[a < b]
    step = ends.at[b] - ends.at[a]
    length = np.hypot(*step.T)
    unit = step / np.maximum(length, 1e-300)[:, None]
    cos_a = (unit * ends.aim[a]).sum(axis=1)
    cos_b = -(unit * ends.aim[b]).sum(axis=1)
    facing = np.maximum(cos_a, cos_b) > AHEAD + EVEN
    facing &= np.minimum(cos_a, cos_b) > ASIDE + EVEN
    facing |= length <= SLIP + ROUNDING
    far = ~_same_line(graph, ends, a, b, length)
    keep = np.flatnonzero(facing & far)
    keep = keep[~_crosses(graph, ends, near, a[keep], b[keep])]
    a, b, length, cos_a, cos_b = a[keep], b[keep], length[keep], cos_a[keep], cos_b[keep]
    return length * (3 - cos_a - cos_b), Joins(
        end=a,
        vertex=ends.vertex[a],
        other=b,
        start=ends.at[a],
        stop=ends.at[b],
        segment=np.full(len(a), -1, dtype=np.int64),
        length=length,
        straight=np.minimum(cos_a, cos_b) > STRAIGHT + EVEN,
    )


def _straight_ahead(
    graph: Arrangement, ends: Ends, near: _Near, reach: float
) -> tuple[FloatArray, Joins]:
    """Join an end to the first line straight ahead."""
    a, b = graph.chains.xy[near.segment], graph.chains.xy[near.segment + 1]
    aim, at = ends.aim[near.end], ends.at[near.end]
    run, off = b - a, a - at
    cross = aim[:, 0] * run[:, 1] - aim[:, 1] * run[:, 0]
    slanted = np.abs(cross) > EVEN * np.hypot(*run.T)
    safe = np.where(slanted, cross, 1.0)
    ahead = (off[:, 0] * run[:, 1] - off[:, 1] * run[:, 0]) / safe
    along = (off[:, 0] * aim[:, 1] - off[:, 1] * aim[:, 0]) / safe
    hit = slanted & (ahead > 0) & (ahead <= reach) & (along >= -EVEN) & (along <= 1 + EVEN)
    stop = a + along[:, None] * run
    hit &= _leads_away(graph, ends, near, stop, ahead)
    return _one_each(ends, near, np.flatnonzero(hit), stop, ahead, ahead)


def _to_nearest(
    graph: Arrangement, ends: Ends, near: _Near, reach: float
) -> tuple[FloatArray, Joins]:
    """Join an end to the nearest point of any line that is not behind it."""
    a, b = graph.chains.xy[near.segment], graph.chains.xy[near.segment + 1]
    run = b - a
    at = ends.at[near.end]
    t = ((at - a) * run).sum(axis=1) / (run * run).sum(axis=1)
    stop = np.where((t >= 1)[:, None], b, a + np.clip(t, 0, 1)[:, None] * run)
    length = np.hypot(*(stop - at).T)
    cosine = ((stop - at) * ends.aim[near.end]).sum(axis=1) / np.maximum(length, 1e-300)
    fit = (length <= reach) & _leads_away(graph, ends, near, stop, length)
    fit &= (cosine > AHEAD + EVEN) | (length <= SLIP + ROUNDING)
    return _one_each(ends, near, np.flatnonzero(fit), stop, length, length * (2 - cosine))


def _one_each(
    ends: Ends, near: _Near, rows: IntArray, stop: FloatArray, length: FloatArray, cost: FloatArray
) -> tuple[FloatArray, Joins]:
    """Keep the shortest join of each end; what reaches another end is left to `_to_ends`.

    Of two as short the cheaper is kept, or the one that ends nearer the middle of the ends.
    """
    tip = np.isin(as_keys(stop[rows]), as_keys(ends.at))
    rows = rows[~tip]
    off = np.hypot(*(stop[rows] - ends.at.mean(axis=0)).T)
    keys = [np.round(key, ALIKE) for key in (off, cost[rows], length[rows])]
    order = rows[np.lexsort((near.segment[rows], *keys, near.end[rows]))]
    best = order[np.flatnonzero(np.diff(near.end[order], prepend=-1))]
    end = near.end[best]
    return cost[best], Joins(
        end=end,
        vertex=ends.vertex[end],
        other=np.full(len(best), -1, dtype=np.int64),
        start=ends.at[end],
        stop=stop[best],
        segment=near.segment[best],
        length=length[best],
        straight=np.zeros(len(best), dtype=bool),
    )


def _leads_away(
    graph: Arrangement, ends: Ends, near: _Near, stop: FloatArray, length: FloatArray
) -> BoolArray:
    """Leave out places that the end's own line, or the line it hangs on, reaches by a short way."""
    chains = graph.chains
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(chains.xy, axis=0).T))])
    here = along[near.segment] + np.hypot(*(stop - chains.xy[near.segment]).T)
    from_first = here - along[chains.firsts[near.chain]]
    from_last = along[chains.lasts[near.chain]] - here
    way = np.full(len(near.end), np.inf)
    root = ends.root[near.end]
    rooted = root >= 0
    for node, rest in (
        (graph.origin[2 * near.chain], from_first),
        (graph.origin[2 * near.chain + 1], from_last),
    ):
        by_root = np.where(rooted & (node == root), ends.stub[near.end] + rest, np.inf)
        way = np.minimum(way, by_root)
    key = ends.trail[:, 0] * len(chains) + ends.trail[:, 1]
    order = np.argsort(key, kind="stable")
    wanted = near.end * len(chains) + near.chain
    place = np.minimum(np.searchsorted(key[order], wanted), len(key) - 1)
    row = order[place]
    own = key[row] == wanted
    rest = np.where(ends.trail[row, 2] == 1, from_last, from_first)
    way = np.where(own, ends.passed[row] + rest, way)
    return np.asarray(way > DETOUR * length + OWN)


def _same_line(
    graph: Arrangement, ends: Ends, a: IntArray, b: IntArray, length: FloatArray
) -> BoolArray:
    """Mark pairs that are the two ends of one short line."""
    last = np.append(np.flatnonzero(np.diff(ends.trail[:, 0])), len(ends.trail) - 1)
    half = 2 * ends.trail[last, 1] + ends.trail[last, 2]
    final = graph.origin[half ^ 1]
    return np.asarray((final[a] == ends.node[b]) & (ends.stub[a] < DETOUR * length))


def _crosses(graph: Arrangement, ends: Ends, near: _Near, a: IntArray, b: IntArray) -> BoolArray:
    """Mark pairs of ends with a line between them."""
    first = np.searchsorted(near.end, a)
    count = np.searchsorted(near.end, a, side="right") - first
    pair = np.repeat(np.arange(len(a)), count)
    segment = near.segment[indices(first, count)]
    p, q = graph.chains.xy[segment], graph.chains.xy[segment + 1]
    s, e = ends.at[a[pair]], ends.at[b[pair]]
    apart = (_side(p, q, s) * _side(p, q, e) < 0) & (_side(s, e, p) * _side(s, e, q) <= 0)
    own = (p == s).all(axis=1) | (q == s).all(axis=1) | (p == e).all(axis=1) | (q == e).all(axis=1)
    crossed = np.zeros(len(a), dtype=bool)
    crossed[pair[apart & ~own]] = True
    return crossed


def _side(a: FloatArray, b: FloatArray, p: FloatArray) -> FloatArray:
    """Which side of the line a-b each point is on, by sign; 0 within rounding of it."""
    step, off = b - a, p - a
    cross = step[:, 0] * off[:, 1] - step[:, 1] * off[:, 0]
    return np.where(np.abs(cross) <= ROUNDING * np.hypot(*step.T), 0.0, np.sign(cross))
