"""Loose ends: where a drawn line stops without meeting another, which way it points, what it hangs on."""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.arrangement import Arrangement
from filigree.regions.chains import lengths
from filigree.regions.runs import ROUNDING

AIM = 0.4  # mm of line before the end that say which way it points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ends:
    """Loose ends, in order of their nodes.

    Attributes:
        node: node of each end, `(e,)`.
        half: half-edge that leaves each end, `(e,)`.
        vertex: index of the vertex at each end, `(e,)`.
        at: place, mm, `(e, 2)`.
        aim: unit direction in which the line would go on, `(e, 2)`.
        stub: length of line from the end to the next junction or end, or to `far`, mm, `(e,)`.
        root: node of that junction, or -1 when it is another end or farther off than `far`, `(e,)`.
        trail: rows `(end, chain, runs backward)` of the chains passed, near first, `(t, 3)`.
        passed: length of line passed before each row of `trail`, mm, `(t,)`.
    """

    node: IntArray
    half: IntArray
    vertex: IntArray
    at: FloatArray
    aim: FloatArray
    stub: FloatArray
    root: IntArray
    trail: IntArray
    passed: FloatArray

    def __len__(self) -> int:
        return len(self.node)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tails:
    """Overshoots: their chains `(k,)`, and tip `(t, 2)` and length `(t,)` of each, mm."""

    chains: BoolArray
    at: FloatArray
    length: FloatArray


def loose_ends(graph: Arrangement, *, far: float) -> Ends:
    """Find the loose ends and follow each line back, up to `far` mm of it."""
    half = single_halves(graph)
    length: list[float] = lengths(graph.chains).tolist()
    degree: list[int] = np.bincount(graph.origin, minlength=1).tolist()
    origin, follows = graph.origin, graph.follows
    trails: list[list[int]] = []
    stub: list[float] = []
    root: list[int] = []
    passed: list[float] = []
    for begin in half.tolist():
        along, h = 0.0, begin
        trail: list[int] = []
        while True:
            trail.append(h)
            passed.append(along)
            along += length[h >> 1]
            node = int(origin[h ^ 1])
            if degree[node] != 2 or along > far + ROUNDING:
                break
            h = int(follows[h])
        trails.append(trail)
        stub.append(along)
        root.append(node if degree[node] > 2 else -1)
    chain = half >> 1
    vertex = np.where(half & 1, graph.chains.lasts[chain], graph.chains.firsts[chain])
    owner = np.repeat(np.arange(len(half)), [len(t) for t in trails])
    halves = np.array([h for t in trails for h in t], dtype=np.int64)
    return Ends(
        node=origin[half],
        half=half,
        vertex=vertex,
        at=graph.chains.xy[vertex],
        aim=_aims(graph, half, trails),
        stub=np.array(stub),
        root=np.array(root, dtype=np.int64),
        trail=np.column_stack([owner, halves >> 1, halves & 1]).astype(np.int64),
        passed=np.array(passed),
    )


def single_halves(graph: Arrangement) -> IntArray:
    """Half-edges that leave a node where no other line is."""
    degree = np.bincount(graph.origin, minlength=1)
    alone = np.flatnonzero(degree[graph.origin] == 1)
    return alone[np.argsort(graph.origin[alone])]


def tails(graph: Arrangement, *, longest: float) -> Tails:
    """Find overshoots: loose ends no longer than `longest` mm that hang on a junction."""
    ends = loose_ends(graph, far=longest)
    short = (ends.root >= 0) & (ends.stub <= longest + ROUNDING)
    marked = np.zeros(len(graph.chains), dtype=bool)
    marked[ends.trail[short[ends.trail[:, 0]], 1]] = True
    return Tails(chains=marked, at=ends.at[short], length=ends.stub[short])


def _aims(graph: Arrangement, half: IntArray, trails: list[list[int]]) -> FloatArray:
    """Unit direction from AIM mm back along each line towards its end, `(e, 2)`."""
    chains, chain = graph.chains, half >> 1
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(chains.xy, axis=0).T))])
    first, last = chains.firsts[chain], chains.lasts[chain]
    ahead = np.minimum(np.searchsorted(along, along[first] + AIM - ROUNDING), last)
    behind = np.maximum(
        np.searchsorted(along, along[last] - AIM + ROUNDING, side="right") - 1, first
    )
    back = np.where(half & 1, behind, ahead)
    step = chains.xy[np.where(half & 1, last, first)] - chains.xy[back]
    short = np.flatnonzero(along[last] - along[first] < AIM - ROUNDING)
    for k in short.tolist():
        if len(trails[k]) > 1:
            step[k] = _step_back(graph, trails[k])
    size = np.hypot(*step.T)
    return np.asarray(step / np.where(size > 0, size, 1.0)[:, None])


def _step_back(graph: Arrangement, trail: list[int]) -> FloatArray:
    """Step from AIM mm back along the half-edges of a trail to its start."""
    chains = graph.chains
    parts = []
    for half in trail:
        points = chains.xy[chains.offsets[half >> 1] : chains.offsets[(half >> 1) + 1]]
        parts.append(points[::-1] if half & 1 else points)
    xy = np.concatenate(parts)
    back = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(xy, axis=0).T))])
    return np.asarray(xy[0] - xy[min(int(np.searchsorted(back, AIM - ROUNDING)), len(xy) - 1)])
