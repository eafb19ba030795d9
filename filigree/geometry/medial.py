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
    """Triangles inside the area: triangle t has corners 3 t to 3 t + 2, and each edge its opposite corner's number.

    Flat plain lists, since branches are followed one triangle at a time.
    """

    points: FloatArray
    corner: list[int]
    beyond: list[int]  # triangle across each edge, -1 for none
    middle: tuple[list[float], list[float]]  # of each edge, x and y
    broad: list[float]  # length of each edge
    across: list[float]  # width of a strand at each triangle
    area: list[float]
    degree: list[int]  # triangles beyond that are still there
    alive: list[bool]
    lost: dict[int, list[int]] = field(default_factory=dict)  # corners of what was taken off
    lost_area: dict[int, float] = field(default_factory=dict)

    def ahead(self, at: int) -> list[int]:
        return [t for t in self.beyond[3 * at : 3 * at + 3] if t >= 0 and self.alive[t]]

    def drop(self, at: int) -> None:
        self.alive[at] = False
        for t in self.beyond[3 * at : 3 * at + 3]:
            if t >= 0:
                self.degree[t] -= 1

    def gate(self, one: int, two: int) -> int:
        """Number of the edge between two triangles."""
        return self.beyond.index(two, 3 * one, 3 * one + 3)

    def place(self, edge: int) -> XY:
        return self.middle[0][edge], self.middle[1][edge]


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
    plain = _plain(area)
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
    middle = (one + two) / 2
    return _Mesh(
        points=rings.xy,
        corner=corner.ravel().tolist(),
        beyond=beyond.ravel().tolist(),
        middle=(middle[..., 0].ravel().tolist(), middle[..., 1].ravel().tolist()),
        broad=np.sqrt(square).ravel().tolist(),
        across=np.hypot(off[:, 0], off[:, 1]).tolist(),
        area=(doubled / 2).tolist(),
        degree=(beyond >= 0).sum(axis=1).tolist(),
        alive=[True] * len(flat),
    )


def _plain(area: Area) -> Area:
    """Leave out boundary points near straight runs; rings are looked at together only where that is needed."""
    plain = shapely.simplify(area, STRAIGHT, preserve_topology=False)
    if _holes(plain) == _holes(area):
        return plain
    return shapely.simplify(area, STRAIGHT)


def _holes(area: Area) -> list[int]:
    holes: list[int] = shapely.get_num_interior_rings(shapely.get_parts(area)).tolist()
    return holes


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
        for t, degree in enumerate(self.mesh.degree):
            if degree == 1:
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
            mesh.drop(t)
            points.extend(mesh.corner[3 * t : 3 * t + 3])
            points.extend(mesh.lost.pop(t, []))
            more = mesh.area[t] + mesh.lost_area.pop(t, 0.0)
            mesh.lost_area[root] = mesh.lost_area.get(root, 0.0) + more
        for leaf in sorted(others):
            if mesh.alive[leaf]:
                self._look(leaf)
        if mesh.degree[root] == 1:
            self._look(root)

    def _keep(self, chain: _Chain) -> None:
        """Tell a tongue and take it out of the mesh."""
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
        if mesh.degree[chain.root] == 1:
            self._look(chain.root)


def _walk(mesh: _Mesh, start: int) -> _Chain:
    """Follow a branch from its free end to the first junction."""
    chain, before, at = [start], -1, start
    while True:
        ahead = [t for t in mesh.ahead(at) if t != before]
        if len(ahead) != 1:
            return _Chain(chain, -1)
        before, at = at, ahead[0]
        if mesh.degree[at] > 2:
            found = _Chain(chain, at)
            _reach(mesh, found)
            return found
        if at == start:
            return _Chain(chain, -1)
        chain.append(at)


def _middles(mesh: _Mesh, chain: _Chain) -> list[XY]:
    """Middles of the edges that a chain crosses, the one to its root last."""
    return [mesh.place(mesh.gate(a, b)) for a, b in pairwise([*chain.triangles, chain.root])]


def _reach(mesh: _Mesh, chain: _Chain) -> None:
    """Measure a branch from its root edge to its tip.

    Along the middles of the edges crossed, then straight on for the last of it, about as long as wide, where
    the middle line runs off into a corner.
    """
    line = [*chain.triangles, chain.root]
    gates = [mesh.gate(a, b) for a, b in pairwise(line)]
    places = [mesh.place(gate) for gate in gates]
    chain.width = mesh.broad[gates[-1]]
    last, way = 0, 0.0
    while last < len(gates) - 1 and way < mesh.broad[gates[last]]:
        way += math.dist(places[last], places[last + 1])
        last += 1
    along = sum(math.dist(a, b) for a, b in pairwise(places[last:]))
    tip: list[int] = []
    for t in line[: last + 1]:
        tip += mesh.corner[3 * t : 3 * t + 3] + mesh.lost.get(t, [])
    chain.length = along + _from_edge(mesh, gates[last], tip)
    chain.tip = last + 1


def _from_edge(mesh: _Mesh, edge: int, points: list[int]) -> float:
    """Farthest of the points from an edge."""
    first = edge - edge % 3
    ends = [mesh.corner[first + (edge + k) % 3] for k in (1, 2)]
    (x0, y0), (x1, y1) = mesh.points[ends].tolist()
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
    for t, degree in enumerate(mesh.degree):
        if degree < 3 or not mesh.alive[t]:
            continue
        for start in mesh.ahead(t):
            chain, before, at = [t], t, start
            while mesh.degree[at] == 2 and at not in seen:
                chain.append(at)
                seen.add(at)
                before, at = at, next((n for n in mesh.ahead(at) if n != before), t)
            if len(chain) > 1 and mesh.degree[at] > 2:
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
    corners = mesh.corner[3 * triangle : 3 * triangle + 3]
    x, y = mesh.points[corners].mean(axis=0).tolist()
    return (x, y)
