"""Rises: the widest land that a walk from one shortest line to the next must pass."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from filigree.geometry.rings import SAME, Rings, point_at
from filigree.geometry.shortest import Lines
from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes

RISE = 0.02  # mm: necks with less than this of widening between them are one
STEP = 0.3  # mm between the points that look for a widening


@dataclass(frozen=True, slots=True, eq=False)
class Rises:
    """Pairs of lines next to each other along a ring.

    Attributes:
        here, there: the two lines, `(k,)`; no line is twice here.
        by: way from one to the other along each of their rings, mm, negative when backward, `(k, 2)`.
        rise: the widest land between the two, mm, inf when it is over `RISE` more than the longer line, `(k,)`.
    """

    here: IntArray
    there: IntArray
    by: FloatArray
    rise: FloatArray


def rises(
    rings: Rings, found: Lines, *, last: Rises | None = None, changed: BoolArray | None = None
) -> Rises:
    """Find the widest land between each two lines that follow each other along a ring.

    Args:
        rings: the boundary.
        found: lines in order of ring pair and place.
        last: of an earlier search; stretches between two of its lines are as they were.
        changed: edges that the boundary of the earlier search did not have, `(n,)`.
    """
    ring = rings.ring[found.edge]
    way = found.way(rings)
    here = np.arange(len(way))
    fresh = np.ones(len(way), dtype=bool)
    fresh[1:] = (ring[1:] != ring[:-1]).any(axis=1)
    start = np.maximum.accumulate(np.where(fresh, here, 0))
    ends = np.ones(len(way), dtype=bool)
    ends[:-1] = fresh[1:]
    there = np.where(ends, start, here + 1)
    real = there != here
    here, there = here[real], there[real]
    round_it = rings.around[ring[here]]
    by = np.mod(way[there] - way[here], round_it)
    by = np.where(by > round_it / 2, by - round_it, by)
    rise = np.full(len(here), np.nan)
    if last is not None and changed is not None:
        first = np.minimum(way[here], way[here] + by)
        same = _unchanged(rings, ring[here], first, np.abs(by), changed)
        row = np.full(int(max(found.last.max(initial=-1), last.here.max(initial=-1))) + 2, -1)
        row[last.here] = np.arange(len(last.here))
        k = row[found.last[here]]  # the last place of it stands for none
        known = same & (k >= 0) & (found.last[there] >= 0)
        known[known] = last.there[k[known]] == found.last[there[known]]
        known[known] = (np.abs(last.by[k[known]] - by[known]) < SAME).all(axis=1)
        rise[known] = last.rise[k[known]]
    new = np.isnan(rise)
    limit = np.maximum(found.width[here], found.width[there]) + RISE
    rise[new] = _rise(rings, ring[here[new]], way[here[new]], by[new], limit[new])
    return Rises(here, there, by, rise)


def _unchanged(
    rings: Rings, ring: IntArray, low: FloatArray, length: FloatArray, changed: BoolArray
) -> BoolArray:
    """True where stretches of both rings hold no changed edge; all `(k, 2)`."""
    before = np.concatenate([[0], np.cumsum(changed)])
    count = _counts(rings)
    each = before[rings.first + count] - before[rings.first]
    same = np.ones(len(ring), dtype=bool)
    for side in (0, 1):
        own, place = ring[:, side], low[:, side]
        ends = (
            _passed(rings, own, place, side="right") - 1,
            _passed(rings, own, place + length[:, side], side="left"),
        )
        start, end = (
            before[rings.first[own] + n % count[own]]
            - before[rings.first[own]]
            + n // count[own] * each[own]
            for n in ends
        )
        same &= end <= start
    return same


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
) -> tuple[Shapes, IntArray]:
    """Points along stretches, at most `STEP` apart where that is not too many, and whose they are."""
    count = np.clip(np.ceil(np.abs(by) / STEP), 4, 400).astype(np.int64) + 1
    owner = np.repeat(np.arange(len(ring)), count)
    step = (np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)) / (count[owner] - 1)
    at = point_at(rings, ring[owner], way[owner] + by[owner] * step)
    return np.asarray(shapely.points(at), dtype=object), owner


def _stretches(rings: Rings, ring: IntArray, way: FloatArray, length: FloatArray) -> Shapes:
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
