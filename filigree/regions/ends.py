"""Loose ends: where a drawn line stops without meeting another, which way it points, what it hangs on."""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.arrangement import Arrangement
from filigree.regions.chains import lengths

AIM = 0.4  # mm of line before the end that say which way it points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ends:
    """Loose ends, in order of their nodes.

    Attributes:
        node: node of each end, `(e,)`.
        half: half-edge that leaves each end, `(e,)`.
        at: place, mm, `(e, 2)`.
        aim: unit direction in which the line would go on, `(e, 2)`.
        stub: length of line from the end to the next junction or end, or to `far`, mm, `(e,)`.
        root: node of that junction, or -1 when it is another end or farther off than `far`, `(e,)`.
        trail: rows `(end, chain, runs backward)` of the chains passed, near first, `(t, 3)`.
        passed: length of line passed before each row of `trail`, mm, `(t,)`.
    """

    node: IntArray
    half: IntArray
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
    length = lengths(graph.chains)
    degree = np.bincount(graph.origin, minlength=1)
    stub = np.empty(len(half))
    root = np.full(len(half), -1, dtype=np.int64)
    aim = np.empty((len(half), 2))
    trail: list[tuple[int, int, int]] = []
    passed: list[float] = []
    for k, begin in enumerate(half.tolist()):
        along, h = 0.0, begin
        seen = set()
        while True:
            seen.add(h >> 1)
            trail.append((k, h >> 1, h & 1))
            passed.append(along)
            along += float(length[h >> 1])
            node = int(graph.origin[h ^ 1])
            if degree[node] != 2 or along > far:
                break
            h = int(graph.follows[h])
            if h >> 1 in seen:
                break
        stub[k] = along
        if degree[node] > 2:
            root[k] = node
        aim[k] = _aim(graph, begin, [c for e, c, _ in trail[-len(seen) :] if e == k])
    return Ends(
        node=graph.origin[half],
        half=half,
        at=_tips(graph, half),
        aim=aim,
        stub=stub,
        root=root,
        trail=np.array(trail, dtype=np.int64).reshape(-1, 3),
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
    short = (ends.root >= 0) & (ends.stub <= longest)
    marked = np.zeros(len(graph.chains), dtype=bool)
    marked[ends.trail[short[ends.trail[:, 0]], 1]] = True
    return Tails(chains=marked, at=ends.at[short], length=ends.stub[short])


def _tips(graph: Arrangement, half: IntArray) -> FloatArray:
    chains, chain = graph.chains, half >> 1
    return chains.xy[np.where(half & 1, chains.lasts[chain], chains.firsts[chain])]


def _aim(graph: Arrangement, half: int, passed: list[int]) -> FloatArray:
    """Unit direction from AIM mm back towards the end."""
    xy = _along(graph, half, passed)
    steps = np.hypot(*np.diff(xy, axis=0).T)
    back = np.cumsum(steps)
    at = min(int(np.searchsorted(back, AIM)), len(steps) - 1)
    step = xy[0] - xy[at + 1]
    size = float(np.hypot(*step))
    if size == 0.0:
        step, size = xy[0] - xy[1], float(steps[0])
    return np.asarray(step / size)


def _along(graph: Arrangement, half: int, passed: list[int]) -> FloatArray:
    """Vertices along the chains passed, from the end of `half` inwards."""
    chains = graph.chains
    parts = []
    for chain in passed:
        points = chains.xy[chains.offsets[chain] : chains.offsets[chain + 1]]
        forward = half == 2 * chain if not parts else bool((points[0] == parts[-1][-1]).all())
        parts.append(points if forward else points[::-1])
    return np.concatenate([parts[0], *(part[1:] for part in parts[1:])])
