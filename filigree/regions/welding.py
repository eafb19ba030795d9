"""Welding: lines that run within a hairline of each other become one line.

Tiles drawn one by one miss each other by a hundredth of a millimetre; the hairline between them may be
open at its ends, so that no sliver shows. The shorter line is laid on the longer one: its vertices move
there, and each line gets the vertices of the other, so that noding finds one line where two were.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.arrangement import Arrangement, as_keys, pieces_of
from filigree.regions.chains import (
    ALIKE,
    Chains,
    lengths,
    linestrings,
    middles,
    outward,
    pieces,
    short_run,
    without_repeats,
)
from filigree.regions.faces import Faces
from filigree.regions.noding import node

PARALLEL = 0.25  # greatest sine between lines that run along each other
AHEAD = 3.0  # hairlines: a line that stays by another this far runs along it
HERE = 1e-9  # mm: nearer than this is the same place
ROUNDS = 4
AT_ONCE = 4_000  # runs of lines looked up together
DIGITS = 4  # of mm, in which places are told apart


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weld:
    """Where lines were laid on others.

    Attributes:
        at: middle of each stretch, mm, `(w, 2)`.
        length: its length, mm, `(w,)`.
        chains: chains of the new arrangement that were touched, `(k,)`.
    """

    at: FloatArray
    length: FloatArray
    chains: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stretches:
    """Stretches welded, and the vertices that moved or were put in, `(t, 2)`."""

    at: FloatArray
    length: FloatArray
    touched: FloatArray


def hairlines(faces: Faces, *, under: float) -> BoolArray:
    """Mark chains that may run within `under` mm of another, `(k,)`.

    Those round slivers, those that meet a chain shorter than that, and those of separate pieces of the
    drawing that come so near each other.
    """
    graph = faces.graph
    marked = np.zeros(len(graph.chains), dtype=bool)
    thin = np.append(faces.thickness < under, [False])
    half = thin[faces.of]
    marked |= half[0::2] | half[1::2]
    short = faces.length < under
    if short.any():
        met = np.zeros(int(graph.origin.max()) + 1, dtype=bool)
        met[graph.origin[np.repeat(short, 2)]] = True
        marked |= met[graph.origin[0::2]] | met[graph.origin[1::2]]
    if len(graph.starts) - 1 - len(faces) > 1:
        marked |= _near_other_pieces(graph, under)
    return marked


def weld(graph: Arrangement, marked: BoolArray, *, within: float) -> tuple[Arrangement, Weld]:
    """Lay marked chains that run within `within` mm of each other on one another, and node again."""
    welds: list[_Stretches] = []
    for _ in range(ROUNDS):
        laid = _lay(graph.chains, np.flatnonzero(marked), within)
        if laid is None:
            break
        chains, done = laid
        welds.append(done)
        touched = graph.chains.xy[np.repeat(marked, np.diff(graph.chains.offsets))]
        graph = node(chains)
        marked = _through(graph.chains, [touched])
    return graph, Weld(
        at=np.concatenate([np.empty((0, 2)), *(w.at for w in welds)]),
        length=np.concatenate([np.empty(0), *(w.length for w in welds)]),
        chains=_through(graph.chains, [w.touched for w in welds]),
    )


def _through(chains: Chains, points: list[FloatArray]) -> BoolArray:
    """Mark chains with a vertex at one of the points."""
    if not points or not len(chains):
        return np.zeros(len(chains), dtype=bool)
    # the last noder moves vertices by a rounding
    every = np.round(chains.xy, DIGITS).astype(np.float64)
    wanted = np.round(np.concatenate(points), DIGITS).astype(np.float64)
    here = np.isin(as_keys(every), as_keys(wanted))
    return np.asarray(np.logical_or.reduceat(here, chains.firsts))


def _near_other_pieces(graph: Arrangement, within: float) -> BoolArray:
    """Mark chains that come near a chain that no line connects with them."""
    piece = pieces_of(graph)[graph.origin[0::2]]
    tree, first, _ = pieces(graph.chains, short_run(graph.chains))
    chain = np.searchsorted(graph.chains.offsets, first, side="right") - 1
    low, high = np.asarray(shapely.bounds(tree.geometries)).reshape(-1, 2, 2).transpose(1, 0, 2)
    boxes = np.asarray(shapely.box(*(low - within).T, *(high + within).T))
    marked = np.zeros(len(graph.chains), dtype=bool)
    for k in range(0, len(boxes), AT_ONCE):
        one, other = tree.query(boxes[k : k + AT_ONCE])
        one += k
        apart = (piece[chain[one]] != piece[chain[other]]) & (one < other)
        apart &= ~(marked[chain[one]] & marked[chain[other]])
        one, other = one[apart], other[apart]
        near = shapely.dwithin(tree.geometries[one], tree.geometries[other], within)
        marked[chain[one[near]]] = True
        marked[chain[other[near]]] = True
    return marked


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Near:
    """Vertices near a segment of another chain that runs along theirs.

    Attributes:
        vertex: index of the vertex, `(n,)`.
        segment: index of the first vertex of the segment, `(n,)`.
        foot: nearest place on the segment, `(n, 2)`.
        off: distance from it, mm, `(n,)`.
    """

    vertex: IntArray
    segment: IntArray
    foot: FloatArray
    off: FloatArray


def _lay(chains: Chains, which: IntArray, within: float) -> tuple[Chains, _Stretches] | None:
    """Move vertices onto the longer line beside them; None when there is nothing to move."""
    near = _neighbouring(chains, which, within)
    rank = _ranks(chains, which)
    owner = np.repeat(np.arange(len(chains)), np.diff(chains.offsets))
    keys, key = np.unique(as_keys(chains.xy), return_inverse=True)
    best = np.full(len(keys), len(chains), dtype=np.int64)
    np.minimum.at(best, key, rank[owner])
    leads = rank[owner[near.segment]]
    follows = np.flatnonzero((best[key[near.vertex]] > leads) & (near.off > HERE))
    if not len(follows):
        return None
    target, on_vertex = _targets(chains, near, within)
    order = follows[np.lexsort((near.off[follows], leads[follows], key[near.vertex[follows]]))]
    moved = order[np.flatnonzero(np.diff(key[near.vertex[order]], prepend=-1))]
    place = keys.view(np.float64).reshape(-1, 2).copy()
    place[key[near.vertex[moved]]] = target[moved]
    moves = np.zeros(len(keys), dtype=bool)
    moves[key[near.vertex[moved]]] = True
    leaders = moved[~on_vertex[moved]]
    passed = np.flatnonzero((best[key[near.vertex]] < leads) & ~moves[key[near.vertex]])
    segment = np.concatenate([near.segment[leaders], near.segment[passed]])
    point = np.concatenate([target[leaders], chains.xy[near.vertex[passed]]])
    foot = np.concatenate([near.foot[leaders], near.foot[passed]])
    laid = _with_points(Chains(xy=place[key], offsets=chains.offsets), chains, segment, point, foot)
    along = np.full(len(keys), -1, dtype=np.int64)
    along[key[near.vertex[moved]]] = owner[near.segment[moved]]
    touched = np.concatenate([place[moves], point])
    return laid, _welds(chains, owner, along[key], touched, longer=within)


def _neighbouring(chains: Chains, which: IntArray, within: float) -> _Near:
    part = np.zeros(len(chains), dtype=bool)
    part[which] = True
    owner = np.repeat(np.arange(len(chains)), np.diff(chains.offsets))
    vertex = np.flatnonzero(part[owner])
    last = np.zeros(len(chains.xy), dtype=bool)
    last[chains.lasts] = True
    start = np.flatnonzero(part[owner] & ~last)
    pairs = np.stack([chains.xy[start], chains.xy[start + 1]], axis=1)
    tree = shapely.STRtree(np.asarray(shapely.linestrings(pairs)))
    points = np.asarray(shapely.points(chains.xy[vertex]))
    v, s = tree.query(points, predicate="dwithin", distance=within)
    vertex, segment = vertex[v], start[s]
    foreign = owner[vertex] != owner[segment]
    vertex, segment = vertex[foreign], segment[foreign]
    along = _along(chains, vertex, segment, within)
    vertex, segment = vertex[along], segment[along]
    a, run = chains.xy[segment], chains.xy[segment + 1] - chains.xy[segment]
    t = ((chains.xy[vertex] - a) * run).sum(axis=1) / (run * run).sum(axis=1)
    foot = a + np.clip(t, 0, 1)[:, None] * run
    beside = ~_own_end(chains, owner[vertex], foot)  # else it is where the two lines meet
    vertex, segment, foot = vertex[beside], segment[beside], foot[beside]
    return _Near(
        vertex=vertex, segment=segment, foot=foot, off=np.hypot(*(chains.xy[vertex] - foot).T)
    )


def _own_end(chains: Chains, chain: IntArray, point: FloatArray) -> BoolArray:
    """Say whether each point is an end of the chain given with it."""
    first, last = chains.xy[chains.firsts[chain]], chains.xy[chains.lasts[chain]]
    off = np.minimum(np.abs(point - first).max(axis=1), np.abs(point - last).max(axis=1))
    return np.asarray(off <= HERE)


def _along(chains: Chains, vertex: IntArray, segment: IntArray, within: float) -> BoolArray:
    """Say whether the line before or after each vertex runs along the segment, and stays by its line."""
    lines = linestrings(chains)
    line = lines[np.searchsorted(chains.offsets, segment, side="right") - 1]
    run = chains.xy[segment + 1] - chains.xy[segment]
    first = np.zeros(len(chains.xy), dtype=bool)
    first[chains.firsts] = True
    last = np.zeros(len(chains.xy), dtype=bool)
    last[chains.lasts] = True
    along = np.zeros(len(vertex), dtype=bool)
    for has, one, other in ((~first, -1, 0), (~last, 0, 1)):
        rows = np.flatnonzero(has[vertex] & ~along)
        step = chains.xy[vertex[rows] + other] - chains.xy[vertex[rows] + one]
        cross = step[:, 0] * run[rows, 1] - step[:, 1] * run[rows, 0]
        limit = PARALLEL * np.hypot(*step.T) * np.hypot(*run[rows].T)
        rows, step = rows[np.abs(cross) <= limit], step[np.abs(cross) <= limit]
        outward = step * (1 if one == 0 else -1) / np.hypot(*step.T)[:, None]
        probe = shapely.points(chains.xy[vertex[rows]] + AHEAD * within * outward)
        along[rows] = shapely.distance(line[rows], probe) <= within
    return along


def _ranks(chains: Chains, which: IntArray) -> IntArray:
    """Rank chains from the longest, 0; those not asked for come last."""
    rank = np.full(len(chains), len(chains), dtype=np.int64)
    length = np.round(lengths(chains)[which], ALIKE)
    begin = chains.xy[chains.firsts[which]]
    far = outward(chains, middles(chains, which))
    order = np.lexsort((begin[:, 1], begin[:, 0], far, -length))
    rank[which[order]] = np.arange(len(which))
    return rank


def _targets(chains: Chains, near: _Near, within: float) -> tuple[FloatArray, BoolArray]:
    """Where each vertex goes: the nearer end of the segment if that is near, else its foot."""
    chain = np.searchsorted(chains.offsets, near.vertex, side="right") - 1
    at, a, b = chains.xy[near.vertex], chains.xy[near.segment], chains.xy[near.segment + 1]
    to_a = np.where(_own_end(chains, chain, a), np.inf, np.hypot(*(at - a).T))
    to_b = np.where(_own_end(chains, chain, b), np.inf, np.hypot(*(at - b).T))
    end = np.where((to_a <= to_b)[:, None], a, b)
    on_vertex = np.minimum(to_a, to_b) <= within
    return np.where(on_vertex[:, None], end, near.foot), on_vertex


def _with_points(
    laid: Chains, before: Chains, segment: IntArray, point: FloatArray, foot: FloatArray
) -> Chains:
    """Give segments new vertices, in the order of their feet on the segments as they were."""
    far = np.hypot(*(foot - before.xy[segment]).T)
    order = np.lexsort((far, segment))
    at = segment[order] + 1
    return without_repeats(
        Chains(
            xy=np.insert(laid.xy, at, point[order], axis=0),
            offsets=laid.offsets + np.searchsorted(at, laid.offsets),
        )
    )


def _welds(
    chains: Chains, owner: IntArray, along: IntArray, touched: FloatArray, *, longer: float
) -> _Stretches:
    """Measure the stretches laid on another line, chain by chain, that are `longer` mm than that.

    Their ends moved there, onto the chain `along` each vertex `(n,)`, or are where that chain ends.
    """
    step = np.hypot(*np.diff(chains.xy, axis=0).T)
    one, other = along[:-1], along[1:]
    laid = (one >= 0) & (other >= 0)
    laid |= (one >= 0) & _own_end(chains, one, chains.xy[1:])
    laid |= (other >= 0) & _own_end(chains, other, chains.xy[:-1])
    both = np.flatnonzero(laid & (owner[:-1] == owner[1:]))
    if not len(both):
        return _Stretches(at=np.empty((0, 2)), length=np.empty(0), touched=touched)
    first = np.flatnonzero(np.diff(owner[both], prepend=-1))
    length = np.add.reduceat(step[both], first)
    middle = both[(first + np.append(first[1:], len(both))) // 2]
    at = (chains.xy[middle] + chains.xy[middle + 1]) / 2
    long = length > longer
    return _Stretches(at=at[long], length=length[long], touched=touched)
