"""Necks: the narrowest places between two stretches of boundary, with land between them.

A neck is a shortest line between two stretches whose diameter disc holds no boundary. On straight edges a
shortest line has at least one end at a vertex, and leaves it within the vertex's cone of normals; so it is
enough to look from the vertices that bend into the land along their cones. Stretches whose cones cannot
face each other are dropped in groups first, which keeps the search near linear in the number of rings.
Neighbouring lines with no wider land between them are one neck.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from filigree.geometry.rings import SAME, Rings, point_at, rings_of
from filigree.geometry.runs import Runs, runs_of
from filigree.geometry.types import Area, BoolArray, FloatArray, IntArray

SLACK = 1e-6  # mm: boundary may come this far into a neck's disc
RISE = 0.02  # mm: necks with less than this of widening between them are one
LEAN = 1e-7  # sine of the angle by which a line may leave its cone
STEP = 0.3  # mm between the points that look for a widening
BATCH = 1 << 18  # pairs looked at together


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NeckLines:
    """Necks as arrays, narrowest first; row k of each belongs to neck k.

    Attributes:
        rings: the boundary they were found on.
        width: mm, `(k,)`.
        ends: both ends, `(k, 2, 2)`.
        edge: edge of `rings` each end lies on, `(k, 2)`.
        way: place of each end along its ring, mm, `(k, 2)`.
        reach: stretch of each ring that is as narrow, as a pair of ways `(from, to)`, `(k, 2, 2)`; both
            the same where the neck is a single place.
    """

    rings: Rings
    width: FloatArray
    ends: FloatArray
    edge: IntArray
    way: FloatArray
    reach: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """Shortest lines: edge and place on it, mm, of both ends, and their length."""

    edge: IntArray  # (k, 2)
    rest: FloatArray  # (k, 2)
    width: FloatArray  # (k,)

    def take(self, keep: IntArray | BoolArray) -> "_Found":
        return _Found(self.edge[keep], self.rest[keep], self.width[keep])


def find_necks(area: Area, *, under: float) -> NeckLines:
    """Find every neck of `area` narrower than `under` mm.

    Widths are exact for the rings given. Places where the boundary touches itself are necks of width 0.
    The order is by width, then place.

    Raises:
        ValueError: `under` is not above 0.
    """
    if not under > 0:
        raise ValueError(f"under must be above 0, not {under}")
    rings = rings_of(area)
    runs = runs_of(rings, longest=under / 2)
    found = _distinct(rings, _join([_facing(rings, runs, under), _contacts(rings)]))
    found = found.take(_alone(rings, runs, found))
    return _as_lines(rings, found, _one_each(rings, found))


def _join(parts: list[_Found]) -> _Found:
    return _Found(
        np.concatenate([p.edge for p in parts]).reshape(-1, 2),
        np.concatenate([p.rest for p in parts]).reshape(-1, 2),
        np.concatenate([p.width for p in parts]),
    )


def _facing(rings: Rings, runs: Runs, under: float) -> _Found:
    """Shortest lines from bulging vertices to edges and vertices they face."""
    here, there = runs.facing(under)
    vertex, run = runs.vertices_toward(rings, here, there, under)
    parts = [_Found(np.zeros((0, 2), dtype=np.int64), np.zeros((0, 2)), np.zeros(0))]
    size = runs.size[run]
    cuts = np.searchsorted(np.cumsum(size), np.arange(BATCH, int(size.sum()) + BATCH, BATCH)) + 1
    for part in np.split(np.arange(len(run)), np.unique(cuts)):
        many = size[part]
        edge = np.repeat(runs.first[run[part]] - np.cumsum(many) + many, many) + np.arange(
            many.sum()
        )
        parts.extend(_shortest(rings, np.repeat(vertex[part], many), edge, under))
    return _join(parts)


def _shortest(rings: Rings, vertex: IntArray, edge: IntArray, under: float) -> list[_Found]:
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
    on_edge = _Found(
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
    on_vertex = _Found(np.c_[vertex[at], edge[at]], np.zeros((len(at), 2)), span[at])
    return [on_edge, on_vertex]


def _in_cone(rings: Rings, vertex: IntArray, toward: FloatArray) -> BoolArray:
    """True where the unit vector `toward` leaves `vertex` with no shorter way beside it."""
    came, goes = rings.unit[rings.before[vertex]], rings.unit[vertex]
    inside: BoolArray = ((toward * came).sum(axis=1) > -LEAN) & ((toward * goes).sum(axis=1) < LEAN)
    return inside


def _contacts(rings: Rings) -> _Found:
    """Vertices of the boundary that lie on each other: necks of width 0."""
    place = np.round(rings.xy / SAME)
    order = np.lexsort((place[:, 1], place[:, 0]))
    same = (place[order[1:]] == place[order[:-1]]).all(axis=1)
    pair = np.sort(np.c_[order[:-1], order[1:]][same], axis=1)
    return _Found(pair, np.zeros(pair.shape), np.zeros(len(pair)))


def _distinct(rings: Rings, found: _Found) -> _Found:
    """Lines in order of ring pair and place, each once, the lower ring (or place) first."""
    ring = rings.ring[found.edge]
    way = rings.along[found.edge] + found.rest
    turned = (ring[:, 0] > ring[:, 1]) | ((ring[:, 0] == ring[:, 1]) & (way[:, 0] > way[:, 1]))
    edge, rest = found.edge.copy(), found.rest.copy()
    edge[turned], rest[turned] = edge[turned, ::-1], rest[turned, ::-1]
    end = rest > rings.length[edge] - SAME  # the end of an edge is the start of the next
    edge, rest = np.where(end, rings.after[edge], edge), np.where(end, 0.0, rest)
    ring, way = rings.ring[edge], rings.along[edge] + rest
    order = np.lexsort((way[:, 1], way[:, 0], ring[:, 1], ring[:, 0]))
    ring, way = ring[order], way[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (ring[1:] != ring[:-1]).any(axis=1) | (np.abs(way[1:] - way[:-1]) > 2 * SAME).any(
        axis=1
    )
    return _Found(edge, rest, found.width).take(order[new])


def _alone(rings: Rings, runs: Runs, found: _Found) -> BoolArray:
    """True where no boundary comes into the disc on the line."""
    ends = _ends(rings, found)
    radius = np.maximum(found.width / 2 - SLACK, 0.0)
    middle = shapely.points(ends.mean(axis=1))
    crowded, _ = runs.tree().query(middle, predicate="dwithin", distance=radius)
    alone = np.ones(len(found.width), dtype=bool)
    alone[crowded] = False
    alone[found.width <= 2 * SLACK] = True
    return alone


def _ends(rings: Rings, found: _Found) -> FloatArray:
    return rings.xy[found.edge] + rings.unit[found.edge] * found.rest[:, :, None]


def _one_each(rings: Rings, found: _Found) -> list[list[int]]:
    """Group lines that belong to one neck, each group in order along its first ring."""
    here, there, rise = _widening(rings, found)
    root = list(range(len(found.width)))
    least = found.width.tolist()
    for k in np.lexsort((there, here, rise)).tolist():
        a, b = _top(root, int(here[k])), _top(root, int(there[k]))
        if a != b and rise[k] - max(least[a], least[b]) <= RISE:
            low, high = min(a, b), max(a, b)
            root[high] = low
            least[low] = min(least[a], least[b])
    groups: dict[int, list[int]] = {}
    for k in range(len(root)):
        groups.setdefault(_top(root, k), []).append(k)
    return list(groups.values())


def _top(root: list[int], at: int) -> int:
    while root[at] != at:
        root[at] = root[root[at]]
        at = root[at]
    return at


def _widening(rings: Rings, found: _Found) -> tuple[IntArray, IntArray, FloatArray]:
    """Pairs of lines next to each other along a ring, and the widest land between the two."""
    ring = rings.ring[found.edge]
    way = rings.along[found.edge] + found.rest
    here = np.arange(len(way))
    fresh = np.ones(len(way), dtype=bool)
    fresh[1:] = (ring[1:] != ring[:-1]).any(axis=1)
    start = np.maximum.accumulate(np.where(fresh, here, 0))
    last = np.ones(len(way), dtype=bool)
    last[:-1] = fresh[1:]
    there = np.where(last, start, here + 1)
    real = there != here
    here, there = here[real], there[real]
    round_it = rings.around[ring[here]]
    by = np.mod(way[there] - way[here], round_it)
    by = np.where(by > round_it / 2, by - round_it, by)
    limit = np.maximum(found.width[here], found.width[there]) + RISE
    rise = _rise(rings, ring[here], way[here], by, limit)
    close = rise <= limit
    return here[close], there[close], rise[close]


def _rise(
    rings: Rings, ring: IntArray, way: FloatArray, by: FloatArray, limit: FloatArray
) -> FloatArray:
    """Farthest that facing stretches of two rings part, inf when over `limit`; all `(k, 2)` but it.

    A walk from one line to the other, an end on each ring, is never wider than the farthest point of
    either stretch from the other. `limit` is `RISE` over the longer of the two lines.
    """
    rise = np.full(len(ring), np.inf)
    short = (np.abs(by) <= STEP).all(axis=1)
    rise[short] = limit[short] - RISE  # no point between the two lines would be looked from
    at = np.flatnonzero(~short)
    for side in (0, 1):  # a quick look from the middle of each stretch
        middle = point_at(rings, ring[at, side], way[at, side] + by[at, side] / 2)
        far = _stretches(rings, ring[at, 1 - side], way[at, 1 - side], by[at, 1 - side])
        at = at[shapely.distance(shapely.points(middle), far) <= limit[at]]
    apart = np.zeros(len(at))
    for side in (0, 1):
        points, owner = _samples(rings, ring[at, side], way[at, side], by[at, side])
        far = _stretches(rings, ring[at, 1 - side], way[at, 1 - side], by[at, 1 - side])
        np.maximum.at(apart, owner, shapely.distance(points, far[owner]))
    rise[at] = np.where(apart <= limit[at], apart, np.inf)
    return rise


def _samples(
    rings: Rings, ring: IntArray, way: FloatArray, by: FloatArray
) -> "tuple[np.ndarray[tuple[int], np.dtype[np.object_]], IntArray]":
    """Points along stretches, at most `STEP` apart where that is not too many, and whose they are."""
    count = np.clip(np.ceil(np.abs(by) / STEP), 4, 400).astype(np.int64) + 1
    owner = np.repeat(np.arange(len(ring)), count)
    step = (np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)) / (count[owner] - 1)
    at = point_at(rings, ring[owner], way[owner] + by[owner] * step)
    return np.asarray(shapely.points(at), dtype=object), owner


def _stretches(
    rings: Rings, ring: IntArray, way: FloatArray, length: FloatArray
) -> "np.ndarray[tuple[int], np.dtype[np.object_]]":
    """Lines along rings from `way` on for `length` mm (backward when negative)."""
    if not len(ring):
        return np.zeros(0, dtype=object)
    low = np.where(length < 0, way + length, way)
    high = low + np.abs(length)
    first = _passed(rings, ring, low, side="right")
    size = np.maximum(_passed(rings, ring, high, side="left") - first, 0)
    start = np.cumsum(size + 2) - size - 2
    coords = np.empty((int((size + 2).sum()), 2))
    inner = np.ones(len(coords), dtype=bool)
    inner[start] = inner[start + size + 1] = False
    coords[start] = point_at(rings, ring, low)
    coords[start + size + 1] = point_at(rings, ring, high)
    own = np.repeat(ring, size)
    nth = np.arange(len(own)) + np.repeat(first - np.cumsum(size) + size, size)
    coords[inner] = rings.xy[rings.first[own] + nth % _counts(rings)[own]]
    made = shapely.linestrings(coords, indices=np.repeat(np.arange(len(size)), size + 2))
    return np.asarray(made, dtype=object)


def _passed(
    rings: Rings, ring: IntArray, way: FloatArray, *, side: Literal["left", "right"]
) -> IntArray:
    """How many vertices of a ring lie before a place along it, counted on over several turns.

    A vertex at the place itself counts when `side` is "right".
    """
    around = rings.around[ring]
    turns = np.floor(way / around)
    before = np.concatenate([[0.0], np.cumsum(rings.around)])
    at = before[ring] + np.clip(way - turns * around, 0.0, around)
    found = np.searchsorted(before[rings.ring] + rings.along, at, side=side)
    count = _counts(rings)[ring]
    nth = np.clip(found - rings.first[ring], 0, count)
    return np.asarray(nth + turns.astype(np.int64) * count)


def _counts(rings: Rings) -> IntArray:
    """Vertices of each ring."""
    return np.diff(np.append(rings.first, len(rings.xy)))


def _as_lines(rings: Rings, found: _Found, groups: list[list[int]]) -> NeckLines:
    """One line a group: the narrowest, or the middle of a straight run of equals."""
    ends, way = _ends(rings, found), rings.along[found.edge] + found.rest
    low, best, high = _equals(found.width.tolist(), groups)
    line, place = ends[best], way[best]
    reach = np.stack([way[low], way[high]], axis=2)
    around = rings.around[rings.ring[found.edge[low]]]
    by = np.mod(way[high] - way[low], around)
    by = np.where(by > around / 2, by - around, by)
    apart = np.hypot(*np.moveaxis(ends[high] - ends[low], 2, 0))
    straight = (apart.max(axis=1, initial=0) > SAME) & (np.abs(apart - np.abs(by)) < SAME).all(
        axis=1
    )
    line[straight] = ((ends[low] + ends[high]) / 2)[straight]
    place[straight] = np.mod(way[low] + by / 2, around)[straight]
    width = np.hypot(*(line[:, 1] - line[:, 0]).T)
    order = np.lexsort((line[:, 0, 1], line[:, 0, 0], width))
    place = place[order]
    return NeckLines(
        rings=rings,
        width=width[order],
        ends=line[order],
        edge=_edge_at(rings, rings.ring[found.edge[best[order]]], place),
        way=place,
        reach=reach[order],
    )


def _equals(width: list[float], groups: list[list[int]]) -> tuple[IntArray, IntArray, IntArray]:
    """First, middle and last line of each group that is as narrow as its narrowest."""
    rows = []
    for group in groups:
        least = min(width[k] for k in group) + SLACK
        equal = [k for k in group if width[k] <= least]
        rows.append((equal[0], equal[len(equal) // 2], equal[-1]))
    low, best, high = np.array(rows, dtype=np.int64).reshape(-1, 3).T
    return low, best, high


def _edge_at(rings: Rings, ring: IntArray, way: FloatArray) -> IntArray:
    total = np.concatenate([[0.0], np.cumsum(rings.around)])
    start = total[ring] + rings.along[rings.first[ring]]
    edge = np.searchsorted(total[rings.ring] + rings.along, start + way + SAME, side="right") - 1
    last = np.append(rings.first[1:], len(rings.xy)) - 1
    return np.clip(edge, rings.first[ring], last[ring])
