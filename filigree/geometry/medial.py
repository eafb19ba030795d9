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
import shapely

from filigree.geometry.rings import rings_of
from filigree.geometry.types import XY, Area, BoolArray, FloatArray, IntArray

BROADER = 1.2  # times as wide: what a tongue grows from is body, not ripple
POINTS = 200_000  # samples at most; the step grows with larger areas
STRAIGHT = 0.02  # mm: boundary points this near a straight run are left out first


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
class _Mesh:
    """Triangles inside the area; edge k of a triangle lies opposite its corner k.

    Plain lists, since branches are followed one triangle at a time.
    """

    points: FloatArray
    corner: list[list[int]]
    beyond: list[list[int]]  # triangle across each edge, -1 for none
    middle: list[list[list[float]]]  # of each edge
    broad: list[list[float]]  # length of each edge
    across: list[float]  # width of a strand at each triangle
    area: list[float]
    ways: list[list[int]]
    alive: list[bool]
    lost: dict[int, list[int]] = field(default_factory=dict)  # corners of what was taken off
    lost_area: dict[int, float] = field(default_factory=dict)

    def ahead(self, at: int) -> list[int]:
        return [t for t in self.ways[at] if self.alive[t]]

    def gate(self, one: int, two: int) -> tuple[list[float], float]:
        """Middle and length of the edge between two triangles."""
        k = self.beyond[one].index(two)
        return self.middle[one][k], self.broad[one][k]


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
    mesh = _mesh(area, step)
    found = _Pruning(mesh).run()
    found += [_strand(mesh, chain) for chain in _strands(mesh)]
    return tuple(sorted(found, key=lambda b: (b.kind, -b.length / max(b.mean, 1e-9), b.at)))


def _mesh(area: Area, step: float) -> _Mesh:
    plain = shapely.simplify(area, STRAIGHT)
    total = float(shapely.length(plain))
    rings = rings_of(shapely.segmentize(plain, max(step, total / POINTS)))
    triangles = shapely.delaunay_triangles(shapely.multipoints(rings.xy))
    flat = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    shapely.prepare(plain)
    middle = flat.mean(axis=1)
    flat = flat[shapely.contains_xy(plain, middle[:, 0], middle[:, 1])]
    corner = _numbered(rings.xy, flat)
    beyond = _beyond(corner, rings.after, len(rings.xy))
    one, two = flat[:, [1, 2, 0]], flat[:, [2, 0, 1]]  # edge k from one[k] to two[k]
    along = two - one
    square = (along**2).sum(axis=2)
    doubled = np.abs(along[:, 0, 0] * along[:, 1, 1] - along[:, 0, 1] * along[:, 1, 0])
    side = np.where((beyond < 0).any(axis=1), np.argmin(beyond, axis=1), np.argmax(square, axis=1))
    row = np.arange(len(flat))
    from_one = flat[row, side] - one[row, side]
    share = (from_one * along[row, side]).sum(axis=1) / np.maximum(square[row, side], 1e-18)
    off = from_one - np.clip(share, 0, 1)[:, None] * along[row, side]
    return _Mesh(
        points=rings.xy,
        corner=corner.tolist(),
        beyond=beyond.tolist(),
        middle=((one + two) / 2).tolist(),
        broad=np.sqrt(square).tolist(),
        across=np.hypot(off[:, 0], off[:, 1]).tolist(),
        area=(doubled / 2).tolist(),
        ways=[[t for t in line if t >= 0] for line in beyond.tolist()],
        alive=[True] * len(flat),
    )


def _numbered(points: FloatArray, flat: FloatArray) -> IntArray:
    """Index of each triangle corner among the points."""
    keys = points[:, 0] + 1j * points[:, 1]
    order = np.argsort(keys, kind="stable")
    wanted = flat[..., 0] + 1j * flat[..., 1]
    found: IntArray = order[np.searchsorted(keys[order], wanted)]
    return found


def _beyond(corner: IntArray, after: IntArray, count: int) -> IntArray:
    """Triangle across each edge; none across boundary edges."""
    one, two = corner[:, [1, 2, 0]], corner[:, [2, 0, 1]]
    side: BoolArray = (after[one] == two) | (after[two] == one)
    key = np.where(side, -1, np.minimum(one, two) * count + np.maximum(one, two)).ravel()
    order = np.argsort(key, kind="stable")
    same = (key[order][1:] == key[order][:-1]) & (key[order][1:] >= 0)
    first, second = order[:-1][same], order[1:][same]
    beyond = np.full(key.shape, -1, dtype=np.int64)
    beyond[first], beyond[second] = second // 3, first // 3
    return beyond.reshape(-1, 3)


@dataclass(slots=True, eq=False)
class _Pruning:
    """Take off every branch shorter than its root is wide, shortest first; the others are tongues."""

    mesh: _Mesh
    queue: list[tuple[float, int]] = field(default_factory=list)
    rooted: dict[int, dict[int, _Chain]] = field(default_factory=dict)  # by root, by free end
    found: list[Branch] = field(default_factory=list)

    def run(self) -> list[Branch]:
        for t, ways in enumerate(self.mesh.ways):
            if len(ways) == 1:
                self._look(t)
        while self.queue:
            length, leaf = heapq.heappop(self.queue)
            if not self.mesh.alive[leaf]:
                continue
            chain = _walk(self.mesh, leaf)
            if chain.root < 0:
                continue
            if chain.length > length * (1 + 1e-12):
                self._put(chain)
            elif chain.length < chain.width:
                self._take_off(chain)
        for root in sorted(self.rooted):
            for leaf in sorted(self.rooted[root]):
                chain = self.rooted[root][leaf]
                if self.mesh.alive[leaf] and chain.length >= chain.width:
                    self._keep(chain)
        return self.found

    def _look(self, leaf: int) -> None:
        chain = _walk(self.mesh, leaf)
        if chain.root >= 0:
            self._put(chain)

    def _put(self, chain: _Chain) -> None:
        leaf = chain.triangles[0]
        self.rooted.setdefault(chain.root, {})[leaf] = chain
        heapq.heappush(self.queue, (chain.length, leaf))

    def _take_off(self, chain: _Chain) -> None:
        """Make a short branch part of its root; what stood beside it is looked at again."""
        mesh, root = self.mesh, chain.root
        others = self.rooted.pop(root, {})
        others.pop(chain.triangles[0], None)
        for leaf, other in sorted(others.items()):
            grown = other.length >= other.width and chain.width > BROADER * other.width
            if mesh.alive[leaf] and grown:
                self._keep(other)
        points = mesh.lost.setdefault(root, [])
        for t in chain.triangles:
            mesh.alive[t] = False
            points.extend(mesh.corner[t])
            points.extend(mesh.lost.pop(t, []))
            more = mesh.area[t] + mesh.lost_area.pop(t, 0.0)
            mesh.lost_area[root] = mesh.lost_area.get(root, 0.0) + more
        for leaf in sorted(others):
            if mesh.alive[leaf]:
                self._look(leaf)
        if len(mesh.ahead(root)) == 1:
            self._look(root)

    def _keep(self, chain: _Chain) -> None:
        """Tell a tongue and take it out of the mesh."""
        mesh = self.mesh
        line = _middles(mesh, chain)
        body = chain.triangles[chain.tip :]
        widths = [(mesh.across[t], t) for t in body if len(mesh.ahead(t)) == 2]
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
            mesh.alive[t] = False
        if len(mesh.ahead(chain.root)) == 1:
            self._look(chain.root)


def _walk(mesh: _Mesh, start: int) -> _Chain:
    """Follow a branch from its free end to the first junction."""
    chain, before, at = [start], -1, start
    while True:
        ahead = [t for t in mesh.ahead(at) if t != before]
        if len(ahead) != 1:
            return _Chain(chain, -1)
        before, at = at, ahead[0]
        if len(mesh.ahead(at)) > 2:
            found = _Chain(chain, at)
            _reach(mesh, found)
            return found
        if at == start:
            return _Chain(chain, -1)
        chain.append(at)


def _middles(mesh: _Mesh, chain: _Chain) -> list[XY]:
    """Middles of the edges that a chain crosses, the one to its root last."""
    gates = [mesh.gate(a, b)[0] for a, b in pairwise([*chain.triangles, chain.root])]
    return [(x, y) for x, y in gates]


def _reach(mesh: _Mesh, chain: _Chain) -> None:
    """Measure a branch from its root edge to its tip.

    Along the middles of the edges crossed, then straight on for the last of it, about as long as wide, where
    the middle line runs off into a corner.
    """
    line = [*chain.triangles, chain.root]
    gates = [mesh.gate(a, b) for a, b in pairwise(line)]
    chain.width = gates[-1][1]
    last, way = 0, 0.0
    while last < len(gates) - 1 and way < gates[last][1]:
        way += math.dist(gates[last][0], gates[last + 1][0])
        last += 1
    along = sum(math.dist(a[0], b[0]) for a, b in pairwise(gates[last:]))
    tip: list[int] = []
    for t in line[: last + 1]:
        tip += mesh.corner[t] + mesh.lost.get(t, [])
    chain.length = along + _from_edge(mesh, line[last], line[last + 1], tip)
    chain.tip = last + 1


def _from_edge(mesh: _Mesh, one: int, two: int, points: list[int]) -> float:
    """Farthest of the points from the edge between two triangles."""
    k = mesh.beyond[one].index(two)
    (x0, y0), (x1, y1) = mesh.points[
        [mesh.corner[one][(k + 1) % 3], mesh.corner[one][(k + 2) % 3]]
    ].tolist()
    dx, dy = x1 - x0, y1 - y0
    square = max(dx * dx + dy * dy, 1e-18)
    far = 0.0
    for x, y in mesh.points[points].tolist():
        share = min(max(((x - x0) * dx + (y - y0) * dy) / square, 0.0), 1.0)
        far = max(far, math.hypot(x - x0 - share * dx, y - y0 - share * dy))
    return far


def _strands(mesh: _Mesh) -> list[_Chain]:
    """Chains between junctions, each once, the junctions at both ends left out of `triangles`."""
    found, seen = [], set()
    for t in range(len(mesh.corner)):
        if not mesh.alive[t] or len(mesh.ahead(t)) < 3:
            continue
        for start in mesh.ahead(t):
            chain, before, at = [t], t, start
            while at not in seen and len(mesh.ahead(at)) == 2:
                chain.append(at)
                seen.add(at)
                before, at = at, next((n for n in mesh.ahead(at) if n != before), t)
            if len(chain) > 1 and len(mesh.ahead(at)) > 2:
                found.append(_Chain(chain, at))
    return found


def _strand(mesh: _Mesh, chain: _Chain) -> Branch:
    own = chain.triangles[1:]
    line = _middles(mesh, chain)
    length = sum(math.dist(a, b) for a, b in pairwise(line))
    area = sum(mesh.area[t] + mesh.lost_area.get(t, 0.0) for t in own)
    least, where = min((mesh.across[t], t) for t in own)
    return Branch(
        kind="strand",
        line=tuple(line),
        length=length,
        least=least,
        mean=area / length if length > 0 else math.inf,
        at=_centre(mesh, where),
    )


def _centre(mesh: _Mesh, triangle: int) -> XY:
    x, y = mesh.points[mesh.corner[triangle]].mean(axis=0).tolist()
    return (x, y)
