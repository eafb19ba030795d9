"""Shortest: the lines that are shortest between two stretches of boundary, with nothing in the disc on each.

On straight edges such a line has at least one end at a vertex, and leaves it within the vertex's cone of normals;
so it is enough to look from the vertices that bend into the land along their cones. Stretches whose cones cannot
face each other are dropped in groups first, which keeps the search near linear in the number of rings.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.rings import SAME, Rings
from filigree.geometry.runs import Runs
from filigree.geometry.types import BoolArray, FloatArray, IntArray

SLACK = 1e-6  # mm: boundary may come this far into a line's disc
LEAN = 1e-7  # sine of the angle by which a line may leave its cone
BATCH = 1 << 18  # pairs looked at together


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Shortest lines.

    Attributes:
        edge: that each end lies on, `(k, 2)`.
        rest: place of each end on its edge, mm, `(k, 2)`.
        width: length of the line, mm, `(k,)`.
        last: row of the same line in an earlier search, -1 for none, `(k,)`.
    """

    edge: IntArray
    rest: FloatArray
    width: FloatArray
    last: IntArray

    @classmethod
    def new(cls, edge: IntArray, rest: FloatArray, width: FloatArray) -> "Lines":
        """Take lines that no earlier search has found."""
        return cls(edge, rest, width, np.full(len(width), -1))

    @classmethod
    def none(cls) -> "Lines":
        """Give no lines."""
        return cls.new(np.zeros((0, 2), dtype=np.int64), np.zeros((0, 2)), np.zeros(0))

    def take(self, keep: IntArray | BoolArray) -> "Lines":
        """Give some of the lines."""
        return Lines(self.edge[keep], self.rest[keep], self.width[keep], self.last[keep])

    def way(self, rings: Rings) -> FloatArray:
        """Place of each end along its ring, mm, `(k, 2)`."""
        return rings.along[self.edge] + self.rest

    def ends(self, rings: Rings) -> FloatArray:
        """Both ends, `(k, 2, 2)`."""
        return rings.xy[self.edge] + rings.unit[self.edge] * self.rest[:, :, None]


def shortest_lines(
    rings: Rings, runs: Runs, *, under: float, among: IntArray | None = None, known: Lines
) -> Lines:
    """Find the shortest lines under a length, in order of ring pair and place, the lower ring (or place) first.

    Args:
        rings: the boundary.
        runs: of these rings.
        under: mm.
        among: the only runs that are looked between, None for all.
        known: lines that are there already, of other runs; those that are cut off by boundary are dropped.
    """
    found = _distinct(rings, _join([known, _facing(rings, runs, under, among), _contacts(rings)]))
    return found.take(_alone(rings, runs, found))


def _join(parts: list[Lines]) -> Lines:
    return Lines(
        np.concatenate([p.edge for p in parts]).reshape(-1, 2),
        np.concatenate([p.rest for p in parts]).reshape(-1, 2),
        np.concatenate([p.width for p in parts]),
        np.concatenate([p.last for p in parts]),
    )


def _facing(rings: Rings, runs: Runs, under: float, among: IntArray | None) -> Lines:
    """Shortest lines from bulging vertices to edges and vertices they face."""
    here, there = runs.facing(under, among)
    vertex, run = runs.vertices_toward(rings, here, there, under)
    parts = [Lines.none()]
    size = runs.size[run]
    cuts = np.searchsorted(np.cumsum(size), np.arange(BATCH, int(size.sum()) + BATCH, BATCH)) + 1
    for part in np.split(np.arange(len(run)), np.unique(cuts)):
        many = size[part]
        edge = np.repeat(runs.first[run[part]] - np.cumsum(many) + many, many) + np.arange(
            many.sum()
        )
        parts.extend(_shortest(rings, np.repeat(vertex[part], many), edge, under))
    return _join(parts)


def _shortest(rings: Rings, vertex: IntArray, edge: IntArray, under: float) -> list[Lines]:
    """Of pairs of a bulging vertex and an edge, the shortest lines."""
    apart = rings.xy[vertex] - rings.xy[edge]
    unit = rings.unit[edge]
    rest = apart[:, 0] * unit[:, 0] + apart[:, 1] * unit[:, 1]
    height = apart[:, 1] * unit[:, 0] - apart[:, 0] * unit[:, 1]
    strange = (edge != vertex) & (edge != rings.before[vertex])
    foot = strange & (rest > -SAME) & (rest < rings.length[edge] + SAME)
    foot &= (height > -SAME) & (height < under)
    at = np.flatnonzero(foot)
    down = np.c_[unit[at, 1], -unit[at, 0]]
    at = at[_in_cone(rings, vertex[at], down)]
    on_edge = Lines.new(
        np.c_[vertex[at], edge[at]],
        np.c_[np.zeros(len(at)), np.clip(rest[at], 0.0, rings.length[edge[at]])],
        np.maximum(height[at], 0.0),
    )
    span = np.hypot(apart[:, 0], apart[:, 1])
    corner = strange & (vertex < edge) & (span < under) & (span > SAME) & rings.bulging[edge]
    at = np.flatnonzero(corner)
    toward = -apart[at] / span[at, None]
    right = _in_cone(rings, vertex[at], toward)
    at, toward = at[right], toward[right]
    at = at[_in_cone(rings, edge[at], -toward)]
    on_vertex = Lines.new(np.c_[vertex[at], edge[at]], np.zeros((len(at), 2)), span[at])
    return [on_edge, on_vertex]


def _in_cone(rings: Rings, vertex: IntArray, toward: FloatArray) -> BoolArray:
    """True where the unit vector `toward` leaves `vertex` with no shorter way beside it."""
    came, goes = rings.unit[rings.before[vertex]], rings.unit[vertex]
    inside: BoolArray = ((toward * came).sum(axis=1) > -LEAN) & ((toward * goes).sum(axis=1) < LEAN)
    return inside


def _contacts(rings: Rings) -> Lines:
    """Vertices of the boundary that lie on each other: necks of width 0."""
    place = np.round(rings.xy / SAME)
    order = np.lexsort((place[:, 1], place[:, 0]))
    same = (place[order[1:]] == place[order[:-1]]).all(axis=1)
    pair = np.sort(np.c_[order[:-1], order[1:]][same], axis=1)
    return Lines.new(pair, np.zeros(pair.shape), np.zeros(len(pair)))


def _distinct(rings: Rings, found: Lines) -> Lines:
    """Lines in order of ring pair and place, each once, the lower ring (or place) first."""
    # the end of an edge is the start of the next
    end = found.rest > rings.length[found.edge] - SAME
    edge = np.where(end, rings.after[found.edge], found.edge)
    rest = np.where(end, 0.0, found.rest)
    ring, way = rings.ring[edge], rings.along[edge] + rest
    turned = (ring[:, 0] > ring[:, 1]) | ((ring[:, 0] == ring[:, 1]) & (way[:, 0] > way[:, 1]))
    for both in (edge, rest, ring, way):
        both[turned] = both[turned, ::-1]
    order = np.lexsort((way[:, 1], way[:, 0], ring[:, 1], ring[:, 0]))
    ring, way = ring[order], way[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (ring[1:] != ring[:-1]).any(axis=1) | (np.abs(way[1:] - way[:-1]) > 2 * SAME).any(
        axis=1
    )
    return Lines(edge, rest, found.width, found.last).take(order[new])


def _alone(rings: Rings, runs: Runs, found: Lines) -> BoolArray:
    """True where no boundary comes into the disc on the line."""
    ends = found.ends(rings)
    radius = np.maximum(found.width / 2 - SLACK, 0.0)
    middle = shapely.points(ends.mean(axis=1))
    crowded, _ = runs.tree().query(middle, predicate="dwithin", distance=radius)
    alone = np.ones(len(found.width), dtype=bool)
    alone[crowded] = False
    alone[found.width <= 2 * SLACK] = True
    return alone
