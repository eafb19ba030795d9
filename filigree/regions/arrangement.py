"""Arrangement: noded chains as a planar graph, and the walks round its faces.

Half-edge 2 k runs along chain k, half-edge 2 k + 1 back. The walk of a half-edge keeps its face on the
left (in x right, y up terms): walks round the inside of a face have a positive area, walks round the
outside of a connected piece a negative one.
"""

import functools
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.chains import Chains

NEAR = 1e-12  # radians: directions closer than this are put in order by exact arithmetic


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Arrangement:
    """A planar graph of chains.

    Attributes:
        chains: the edges.
        origin: node each half-edge leaves, `(2 k,)`; nodes count from 0.
        follows: half-edge that comes after each on the walk round its face, `(2 k,)`.
        walk: number of the walk each half-edge is on, `(2 k,)`.
        order: half-edges walk by walk, in walking order, `(2 k,)`.
        starts: offsets of the walks in `order`, `(w + 1,)`.
    """

    chains: Chains
    origin: IntArray
    follows: IntArray
    walk: IntArray
    order: IntArray
    starts: IntArray


def arrange(chains: Chains) -> Arrangement:
    """Link noded chains at their ends and walk round every face."""
    origin = _origins(chains)
    follows = _follow(chains, origin)
    walk, order, starts = _walks(follows)
    return Arrangement(
        chains=chains, origin=origin, follows=follows, walk=walk, order=order, starts=starts
    )


def is_planar(graph: Arrangement) -> bool:
    """Say whether the walks can lie in a plane: nodes - edges + walks = 2 a piece (Euler)."""
    pieces = len(np.unique(pieces_of(graph)))
    return euler_pieces(graph) == pieces


def euler_pieces(graph: Arrangement) -> float:
    """Count the connected pieces of a planar graph by Euler's formula."""
    nodes = int(graph.origin.max(initial=-1)) + 1
    return (nodes - len(graph.chains) + len(graph.starts) - 1) / 2


def pieces_of(graph: Arrangement) -> IntArray:
    """Number the connected piece of each node, by its least node, `(nodes,)`."""
    count = int(graph.origin.max(initial=-1)) + 1
    return connected(count, graph.origin[0::2], graph.origin[1::2])


def connected(count: int, a: IntArray, b: IntArray) -> IntArray:
    """Label nodes that links from `a` to `b` connect by the least node among them, `(count,)`."""
    label = np.arange(count)
    while True:
        low = np.minimum(label[a], label[b])
        before = label.copy()
        np.minimum.at(label, label[a], low)
        np.minimum.at(label, label[b], low)
        label = label[label]
        if (label == before).all():
            return label


def as_keys(points: FloatArray) -> npt.NDArray[np.complex128]:
    """See points `(n, 2)` as one number each, `(n,)`, to sort and compare them."""
    return np.ascontiguousarray(points).view(np.complex128).reshape(-1)


def _origins(chains: Chains) -> IntArray:
    ends = chains.xy.take(_interleave(chains.firsts, chains.lasts), axis=0)
    return np.unique(as_keys(ends), return_inverse=True)[1].astype(np.int64)


def _follow(chains: Chains, origin: IntArray) -> IntArray:
    if not len(chains):
        return origin
    base = _interleave(chains.firsts, chains.lasts)
    tip = _interleave(chains.firsts + 1, chains.lasts - 1)
    leave = chains.xy[tip] - chains.xy[base]
    angle = np.arctan2(leave[:, 1] + 0.0, leave[:, 0])
    order = np.lexsort((angle, origin))
    _settle_ties(order, chains.xy[base], chains.xy[tip], angle, origin)
    node = origin[order]
    first = np.flatnonzero(np.diff(node, prepend=-1))
    before = np.roll(order, 1)
    last = np.append(first[1:], len(order)) - 1
    before[first] = order[last]
    clockwise = np.empty(len(order), dtype=np.int64)
    clockwise[order] = before
    twin = np.arange(len(order)) ^ 1
    return np.asarray(clockwise[twin])


def _interleave(even: IntArray, odd: IntArray) -> IntArray:
    both = np.empty(2 * len(even), dtype=np.int64)
    both[0::2], both[1::2] = even, odd
    return both


def _settle_ties(
    order: IntArray, base: FloatArray, tip: FloatArray, angle: FloatArray, origin: IntArray
) -> None:
    """Put half-edges of nearly the same direction in their true order, in place."""
    close = (np.diff(angle[order]) < NEAR) & (np.diff(origin[order]) == 0)
    at = np.flatnonzero(close)
    if not len(at):
        return
    for run in np.split(at, np.flatnonzero(np.diff(at) > 1) + 1):
        span = slice(run[0], run[-1] + 2)
        exact = {int(h): _exact_step(base[h], tip[h]) for h in order[span]}

        def turn(a: int, b: int, exact: dict[int, tuple[Fraction, Fraction]] = exact) -> int:
            cross = exact[a][0] * exact[b][1] - exact[a][1] * exact[b][0]
            return int(cross < 0) - int(cross > 0) or a - b

        order[span] = sorted(exact, key=functools.cmp_to_key(turn))


def _exact_step(base: FloatArray, tip: FloatArray) -> tuple[Fraction, Fraction]:
    return Fraction(tip[0]) - Fraction(base[0]), Fraction(tip[1]) - Fraction(base[1])


def _walks(follows: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    after: list[int] = follows.tolist()
    walk = [-1] * len(after)
    order: list[int] = []
    starts = [0]
    for begin in range(len(after)):
        if walk[begin] >= 0:
            continue
        number = len(starts) - 1
        half = begin
        while walk[half] < 0:
            walk[half] = number
            order.append(half)
            half = after[half]
        starts.append(len(order))
    return (
        np.array(walk, dtype=np.int64),
        np.array(order, dtype=np.int64),
        np.array(starts, dtype=np.int64),
    )
