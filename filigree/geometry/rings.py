"""Rings: the boundary of an area as flat arrays of edges, land on the left of each edge.

Every array has one row an edge, ring after ring; row k starts at vertex k. Rings come in the order of
the area's parts, each shell before its holes.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import Area, BoolArray, FloatArray, IntArray

SAME = 1e-9  # mm: points this close are one point
STRAIGHT = 1e-7  # radians: less turning than this is a straight run


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rings:
    """Boundary edges of an area, mm.

    Attributes:
        xy: start of each edge, `(n, 2)`.
        unit: direction of each edge, `(n, 2)`; land lies to the left, at `(-unit_y, unit_x)`.
        length: of each edge, `(n,)`.
        ring: ring each edge belongs to, `(n,)`.
        before: edge that ends where this one starts, `(n,)`.
        after: edge that starts where this one ends, `(n,)`.
        turn: turning at the start of each edge, radians, left positive, `(n,)`.
        along: way from the ring's first vertex to the start of each edge, `(n,)`.
        first: first edge of each ring, `(r,)`.
        around: length of each ring, `(r,)`.
        part: polygon of the area each ring belongs to, `(r,)`.
        shell: True for rings that bound a part on the outside, `(r,)`.
    """

    xy: FloatArray
    unit: FloatArray
    length: FloatArray
    ring: IntArray
    before: IntArray
    after: IntArray
    turn: FloatArray
    along: FloatArray
    first: IntArray
    around: FloatArray
    part: IntArray
    shell: BoolArray

    @property
    def bulging(self) -> BoolArray:
        """True at vertices where the boundary bends into the land, `(n,)`."""
        return self.turn < -STRAIGHT


def rings_of(area: Area) -> Rings:
    """Lay the boundary of `area` out as edges; points that repeat are dropped.

    >>> square = rings_of(shapely.box(0, 0, 2, 2))
    >>> float(square.around[0]), square.turn.round(3).tolist()
    (8.0, [1.571, 1.571, 1.571, 1.571])
    """
    parts = [p for p in shapely.get_parts(np.array([area])).tolist() if not p.is_empty]
    solid = shapely.orient_polygons(np.array(parts, dtype=object))
    lines, owner = shapely.get_rings(solid, return_index=True)
    corners, ring = shapely.get_coordinates(lines, return_index=True)
    step = np.empty_like(corners)
    step[:-1] = corners[1:] - corners[:-1]
    step[-1:] = 0.0
    length = np.hypot(step[:, 0], step[:, 1])
    real = length > SAME
    real[:-1] &= ring[1:] == ring[:-1]
    real[-1:] = False
    ring, xy, step, length = ring[real], corners[real], step[real], length[real]
    shell = np.r_[True, owner[1:] != owner[:-1]] if len(owner) else np.zeros(0, dtype=bool)
    return _linked(xy, step, length, ring, owner.astype(np.int64), shell)


def point_at(rings: Rings, ring: IntArray, way: FloatArray) -> FloatArray:
    """Points `way` mm along the given rings (any number of rounds), shape `(k, 2)`."""
    start = np.concatenate([[0.0], np.cumsum(rings.around)])[ring]
    place = start + np.mod(way, rings.around[ring])
    total = np.concatenate([[0.0], np.cumsum(rings.length)])
    edge = np.clip(np.searchsorted(total, place, side="right") - 1, 0, len(rings.length) - 1)
    edge = np.clip(edge, rings.first[ring], np.append(rings.first[1:], len(rings.xy))[ring] - 1)
    rest = np.clip(place - total[edge], 0.0, rings.length[edge])
    points: FloatArray = rings.xy[edge] + rings.unit[edge] * rest[:, None]
    return points


def _linked(
    xy: FloatArray,
    step: FloatArray,
    length: FloatArray,
    ring: IntArray,
    owner: IntArray,
    shell: BoolArray,
) -> Rings:
    count = len(xy)
    ids, first, size = np.unique(ring, return_index=True, return_counts=True)
    last = first + size - 1
    number = np.arange(count)
    after, before = number + 1, number - 1
    after[last], before[first] = first, last
    unit = step / length[:, None]
    came = unit[before]
    onward = came[:, 0] * unit[:, 0] + came[:, 1] * unit[:, 1]
    turn = np.arctan2(came[:, 0] * unit[:, 1] - came[:, 1] * unit[:, 0], onward)
    total = np.cumsum(length) - length
    return Rings(
        xy=xy,
        unit=unit,
        length=length,
        ring=np.repeat(np.arange(len(ids)), size),
        before=before,
        after=after,
        turn=turn,
        along=total - np.repeat(total[first], size),
        first=first,
        around=np.add.reduceat(length, first) if count else np.zeros(0),
        part=owner[ids],
        shell=shell[ids],
    )
