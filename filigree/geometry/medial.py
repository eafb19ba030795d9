"""Medial branches: an area as strands between junctions, and tongues with one end free.

The boundary is sampled and triangulated (Delaunay, dual to the Voronoi medial lines). Inside the area a
triangle with two edges that cross from side to side belongs to a strand, one with three is a junction, one
with a single such edge ends a branch (the chordal axis of Prasad 1997, from memory). Branches shorter
than their root is wide are corners and ripples of the boundary, and are taken for part of the junction.
"""

import heapq
import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

import numpy as np

from filigree.geometry.mesh import Mesh, mesh_of
from filigree.geometry.types import XY, Area, IntArray

BROADER = 1.2  # times as wide: what a tongue grows from is body, not ripple


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Branch:
    """A strand or tongue.

    Attributes:
        kind: "strand" between two junctions (or closed on itself), "tongue" with one end free.
        line: middle line, root first.
        length: along the middle; of a tongue from its root to its tip.
        least: least width; of a tongue without its tip.
        mean: area over length.
        at: the middle of the narrowest place.
    """

    kind: Literal["strand", "tongue"]
    line: tuple[XY, ...]
    length: float
    least: float
    mean: float
    at: XY


@dataclass(slots=True, eq=False)
class _Chain:
    triangles: list[int]  # free end first
    root: int  # junction it comes to, -1 for none
    length: float = 0.0
    width: float = 0.0  # of its root edge
    tip: int = 0  # triangles at its free end that are about as long as wide


def branches(area: Area, *, step: float) -> tuple[Branch, ...]:
    """Find the strands and tongues of `area`, the boundary sampled every `step` mm.

    Lengths are right within about a quarter step. Pieces without a junction give nothing.

    Raises:
        ValueError: `step` is not above 0.
    """
    if not step > 0:
        raise ValueError(f"step must be above 0, not {step}")
    if area.is_empty:
        return ()
    mesh = mesh_of(area, step=step)
    found = _Pruning(mesh).run() + _strands(mesh)
    return tuple(sorted(found, key=lambda b: (b.kind, -b.length / max(b.mean, 1e-9), b.at)))


@dataclass(slots=True, eq=False)
class _Pruning:
    """Take off every branch shorter than its root is wide, shortest first; the others are tongues."""

    mesh: Mesh
    queue: list[tuple[float, int]] = field(default_factory=list)  # length and free end
    ready: list[tuple[float, int]] = field(default_factory=list)  # long enough to be tongues
    rooted: dict[int, dict[int, _Chain]] = field(default_factory=dict)  # by root, by free end
    found: list[Branch] = field(default_factory=list)

    def run(self) -> list[Branch]:
        for t, degree in enumerate(self.mesh.degree):
            if degree == 1:
                self._look(t)
        while self.queue or self.ready:
            length, leaf = heapq.heappop(self.queue or self.ready)
            if not self.mesh.alive[leaf]:
                continue
            chain = _walk(self.mesh, leaf)
            if chain.root < 0:
                continue
            if chain.length > length * (1 + 1e-12):
                self._put(chain)
            elif chain.length < chain.width:
                self._take_off(chain)
            else:
                self._keep(chain)
        return self.found

    def _look(self, leaf: int) -> None:
        chain = _walk(self.mesh, leaf)
        if chain.root >= 0:
            self._put(chain)

    def _put(self, chain: _Chain) -> None:
        leaf = chain.triangles[0]
        self.rooted.setdefault(chain.root, {})[leaf] = chain
        short = chain.length < chain.width
        heapq.heappush(self.queue if short else self.ready, (chain.length, leaf))

    def _take_off(self, chain: _Chain) -> None:
        """Make a short branch part of its root; what stood beside it is looked at again."""
        mesh, root = self.mesh, chain.root
        others = self._beside(chain)
        mesh.body[root] = max(mesh.body.get(root, 0.0), chain.width)
        points = mesh.lost.setdefault(root, [])
        for t in chain.triangles:
            mesh.drop(t)
            points.extend(mesh.corner[3 * t : 3 * t + 3])
            points.extend(mesh.lost.pop(t, []))
            more = mesh.area[t] + mesh.lost_area.pop(t, 0.0)
            mesh.lost_area[root] = mesh.lost_area.get(root, 0.0) + more
        self._again(root, others)

    def _keep(self, chain: _Chain) -> None:
        """Tell a tongue; what stood beside it goes on through their root, unless it is a tongue on a body."""
        mesh, root = self.mesh, chain.root
        others = self._beside(chain)
        self._tell(chain)
        ahead = mesh.ahead(root)
        for _, other in sorted(others.items()):
            on = [t for t in ahead if t != other.triangles[-1]]
            body = any(mesh.broad[mesh.gate(root, t)] > BROADER * other.width for t in on)
            if other.length >= other.width and (body or _walk(mesh, other.triangles[0]).root < 0):
                self._tell(other)
        self._again(root, others)

    def _beside(self, chain: _Chain) -> dict[int, _Chain]:
        """Take the other branches that come to the same root."""
        others = self.rooted.pop(chain.root, {})
        return {
            leaf: other
            for leaf, other in others.items()
            if leaf != chain.triangles[0] and all(self.mesh.alive[t] for t in other.triangles)
        }

    def _again(self, root: int, others: dict[int, _Chain]) -> None:
        for leaf in sorted(others):
            if self.mesh.alive[leaf]:
                self._look(leaf)
        if self.mesh.alive[root] and self.mesh.degree[root] == 1:
            self._look(root)

    def _tell(self, chain: _Chain) -> None:
        """Note a tongue and take it out of the mesh."""
        mesh = self.mesh
        line = _middles(mesh, chain)
        body = chain.triangles[chain.tip :]
        widths = [(mesh.across[t], t) for t in body if mesh.degree[t] == 2]
        area = sum(mesh.area[t] + mesh.lost_area.get(t, 0.0) for t in chain.triangles)
        least, where = min(widths, default=(chain.width, chain.triangles[0]))
        self.found.append(
            Branch(
                kind="tongue",
                line=tuple(line[::-1]),
                length=chain.length,
                least=least,
                mean=area / chain.length,
                at=_centre(mesh, where),
            )
        )
        for t in chain.triangles:
            mesh.drop(t)


def _walk(mesh: Mesh, start: int) -> _Chain:
    """Follow a branch from its free end to the first junction, or to where it grows from a broader body."""
    chain, before, at = [start], -1, start
    while True:
        ahead = [t for t in mesh.ahead(at) if t != before]
        if len(ahead) != 1:
            return _Chain(chain, -1)
        before, at = at, ahead[0]
        if at in mesh.body and mesh.body[at] > BROADER * mesh.broad[mesh.gate(before, at)]:
            found = _Chain(chain, at)
            _reach(mesh, found)
            if found.length >= found.width:
                return found
        if mesh.degree[at] > 2:
            found = _Chain(chain, at)
            _reach(mesh, found)
            return found
        if at == start:
            return _Chain(chain, -1)
        chain.append(at)


def _middles(mesh: Mesh, chain: _Chain) -> list[XY]:
    """Middles of the edges that a chain crosses, the one to its root last."""
    return [mesh.place(mesh.gate(a, b)) for a, b in pairwise([*chain.triangles, chain.root])]


def _reach(mesh: Mesh, chain: _Chain) -> None:
    """Measure a branch from its root edge to its tip.

    Along the middles of the edges crossed, then straight on for the last of it, about as long as wide, where
    the middle line runs off into a corner.
    """
    gates = [mesh.gate(a, b) for a, b in pairwise([*chain.triangles, chain.root])]
    places = [mesh.place(gate) for gate in gates]
    chain.width = mesh.broad[gates[-1]]
    last, way = 0, 0.0
    while last < len(gates) - 1 and way < mesh.broad[gates[last]]:
        way += math.dist(places[last], places[last + 1])
        last += 1
    along = sum(math.dist(a, b) for a, b in pairwise(places[last:]))
    chain.length = along + math.dist(places[last], _end(mesh, gates[last], chain.triangles[0]))
    chain.tip = last + 1


def _end(mesh: Mesh, gate: int, leaf: int) -> XY:
    """Middle of the boundary round the end of a branch, from one end of an edge across it to the other."""
    rings, first = mesh.rings, gate - gate % 3
    one, two = (mesh.corner[first + (gate + k) % 3] for k in (1, 2))
    ring = int(rings.ring[one])
    if ring != int(rings.ring[two]):  # round a hole: no end
        return mesh.place(gate)
    round_it = float(rings.around[ring])
    start = float(rings.along[one])
    by = (float(rings.along[two]) - start) % round_it
    tip = [t for t in mesh.corner[3 * leaf : 3 * leaf + 3] if t not in {one, two}]
    within = [(float(rings.along[t]) - start) % round_it < by for t in tip]
    middle = start + by / 2 if all(within) else start - (round_it - by) / 2
    low = int(rings.first[ring])
    high = int(rings.first[ring + 1]) if ring + 1 < len(rings.first) else len(rings.xy)
    middle %= round_it
    edge = low + int(np.searchsorted(rings.along[low:high], middle, side="right")) - 1
    rest = middle - float(rings.along[edge])
    (x, y), (dx, dy) = rings.xy[edge].tolist(), rings.unit[edge].tolist()
    return x + rest * dx, y + rest * dy


def _strands(mesh: Mesh) -> list[Branch]:
    """Chains of triangles between two junctions, each once, from the lower junction on."""
    gate, strand = _crossed(mesh)
    if not len(gate):
        return []
    own = gate // 3
    inner = np.ones(
        len(gate), dtype=bool
    )  # all but the first is crossed from a triangle of the strand
    first = np.flatnonzero(np.diff(strand, prepend=-1))
    inner[first] = False
    place = np.array(mesh.middle).T[gate]
    step = np.zeros(len(gate))
    step[1:] = np.hypot(*(place[1:] - place[:-1]).T)
    step[first] = 0.0
    area = np.array(mesh.area)
    for t, more in mesh.lost_area.items():
        area[t] += more
    across = np.where(inner, np.array(mesh.across)[own], np.inf)
    length = np.add.reduceat(step, first)
    whole = np.add.reduceat(np.where(inner, area[own], 0.0), first)
    least = np.minimum.reduceat(across, first)
    where = np.flatnonzero(across == least[strand])
    where = where[np.unique(strand[where], return_index=True)[1]]
    corners = np.array(mesh.corner).reshape(-1, 3)[own[where]]
    middles = mesh.rings.xy[corners].mean(axis=1)
    ends = [*first.tolist()[1:], len(gate)]
    line = list(zip(*place.T.tolist(), strict=True))
    return [
        Branch(
            kind="strand",
            line=tuple(line[a:b]),
            length=long,
            least=narrow,
            mean=size / long if long > 0 else math.inf,
            at=(x, y),
        )
        for a, b, long, narrow, size, (x, y) in zip(
            first.tolist(),
            ends,
            length.tolist(),
            least.tolist(),
            whole.tolist(),
            middles.tolist(),
            strict=True,
        )
    ]


def _crossed(mesh: Mesh) -> tuple[IntArray, IntArray]:
    """Edges that strands cross, strand after strand from end to end, and the number of the strand of each.

    Edge 3 t + k is crossed from triangle t, so the first one of a strand is crossed from a junction.
    """
    beyond, degree = np.array(mesh.beyond), np.array(mesh.degree)
    alive = np.array(mesh.alive)
    edge = np.flatnonzero((beyond >= 0) & np.repeat(alive, 3))
    edge = edge[alive[beyond[edge]]]
    there = beyond[edge]
    ahead = np.full(len(beyond), -1)  # the edge crossed next, in a triangle with two
    outs = (3 * there)[:, None] + np.arange(3)
    back = beyond[outs] == (edge // 3)[:, None]
    onward = (beyond[outs] >= 0) & ~back
    onward &= alive[np.maximum(beyond[outs], 0)]
    passes = degree[there] == 2
    ahead[edge[passes]] = outs[passes, np.argmax(onward[passes], axis=1)]
    before = np.full(len(beyond), -1)
    before[ahead[edge[passes]]] = edge[passes]
    head, rank = np.arange(len(beyond)), np.zeros(len(beyond), dtype=np.int64)
    known = before >= 0
    head[known], rank[known] = before[known], 1
    for _ in range(len(beyond).bit_length()):  # twice as far each time
        further = head[head]
        if (further == head).all():
            break
        rank, head = rank + rank[head], further
    starts = (degree[head // 3] > 2) & (before[head] < 0)
    crossed = edge[starts[edge]]
    last = crossed[(ahead[crossed] < 0) & (degree[beyond[crossed]] > 2) & (rank[crossed] > 0)]
    lower = head[last] // 3 < beyond[last]
    same = head[last] // 3 == beyond[last]
    lower |= same & (head[last] < 3 * beyond[last] + _gate_back(beyond, last))
    chosen = np.zeros(len(beyond), dtype=bool)
    chosen[head[last[lower]]] = True
    crossed = crossed[chosen[head[crossed]]]
    crossed = crossed[np.lexsort((rank[crossed], head[crossed]))]
    fresh = np.diff(head[crossed], prepend=-1) != 0
    return crossed, np.cumsum(fresh) - 1


def _gate_back(beyond: IntArray, edge: IntArray) -> IntArray:
    """Number, in the triangle beyond each edge, of the same edge."""
    outs = (3 * beyond[edge])[:, None] + np.arange(3)
    return np.asarray(np.argmax(beyond[outs] == (edge // 3)[:, None], axis=1))


def _centre(mesh: Mesh, triangle: int) -> XY:
    corners = mesh.corner[3 * triangle : 3 * triangle + 3]
    x, y = mesh.rings.xy[corners].mean(axis=0).tolist()
    return (x, y)
