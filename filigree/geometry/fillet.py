"""Fillets: one corner of a ring is replaced by the arc of a disc that touches both sides of it."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point, Polygon

from filigree.geometry.offset import TOLERANCE, areas, shrunk
from filigree.geometry.types import XY, Area, FloatArray

ON = 1e-6  # mm: a corner this near a vertex is that vertex
TOUCH = 1e-4  # mm: an edge this near the disc touches it
REACHES = (4.0, 12.0)  # radii: the disc is looked for this far from the corner first


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fillet:
    """A corner rounded.

    Attributes:
        shape: the polygon after; every vertex away from the corner is the same.
        part: what lies between the old edge and the new one.
    """

    shape: Polygon
    part: Polygon


def fillet(shape: Polygon, at: XY, *, inside: Area, radius: float) -> Fillet | None:
    """Round one corner of a polygon with the disc inside `inside` that comes nearest to it.

    Args:
        shape: the polygon.
        at: one of its vertices.
        inside: where the disc lies: `shape` itself, or the area beyond its edge.
        radius: of the disc, mm.

    Returns:
        None where no such disc touches the edge on both sides of the corner.
    """
    rings = [shape.exterior, *shape.interiors]
    which = int(np.argmin(shapely.distance(rings, Point(at))))
    points = np.asarray(rings[which].coords, dtype=np.float64)[:-1]
    corner = int(np.argmin(np.hypot(*(points - np.array(at)).T)))
    if math.dist(points[corner], at) > ON:
        return None
    for reach in REACHES if _needed(points, corner) < REACHES[-1] else (math.inf,):
        room = shrunk(_near(inside, at, reach * radius), radius)
        if room.is_empty:
            continue
        centre = shapely.get_coordinates(shapely.shortest_line(room, Point(at)))[0]
        made = _replaced(points, corner, centre, radius)
        if made is None:
            continue
        ring, part = made
        others = [ring if k == which else r for k, r in enumerate(rings)]
        done = Polygon(others[0], others[1:])
        if done.is_valid and part.is_valid and part.area > 0:
            return Fillet(shape=done, part=part)
    return None


def _needed(points: FloatArray, corner: int) -> float:
    """Give how far from the corner the disc lies between its two edges, in radii: 1 / sin of half the angle."""
    ahead = points[(corner + 1) % len(points)] - points[corner]
    behind = points[corner - 1] - points[corner]
    turned = float(ahead @ behind) / max(float(np.hypot(*ahead) * np.hypot(*behind)), 1e-18)
    return 1 / math.sqrt(max((1 - turned) / 2, 1e-18))


def _near(area: Area, at: XY, reach: float) -> Area:
    """Cut an area down to the square round a place; the whole area where the reach has no end."""
    if math.isinf(reach):
        return area
    (x, y) = at
    return areas(area.intersection(shapely.box(x - reach, y - reach, x + reach, y + reach)))


def _replaced(
    points: FloatArray, corner: int, centre: FloatArray, radius: float
) -> tuple[FloatArray, Polygon] | None:
    """Give the ring with the arc in place of the corner, and the part between the two.

    The arc runs between the first edges that the disc touches on either way along the ring from the corner.
    """
    unrolled = np.concatenate([points[corner:], points[: corner + 1]])
    step = unrolled[1:] - unrolled[:-1]
    square = np.maximum((step**2).sum(axis=1), 1e-18)
    rest = np.clip(((centre - unrolled[:-1]) * step).sum(axis=1) / square, 0.0, 1.0)
    foot = unrolled[:-1] + step * rest[:, None]
    near = np.flatnonzero(((foot - centre) ** 2).sum(axis=1) <= (radius + TOUCH) ** 2)
    if len(near) < 2:
        return None
    go, back = int(near[0]), int(near[-1])
    arc = _arc(foot[back], foot[go], centre, radius)
    cut = np.concatenate([unrolled[back + 1 : -1], unrolled[: go + 1]])
    return np.concatenate([arc, unrolled[go + 1 : back + 1]]), Polygon(
        np.concatenate([cut, arc[::-1]])
    )


def _arc(start: FloatArray, end: FloatArray, centre: FloatArray, radius: float) -> FloatArray:
    """Chords from `start` to `end` round a centre, the short way."""
    one, two = start - centre, end - centre
    angle = math.atan2(float(one[0] * two[1] - one[1] * two[0]), float(one @ two))
    count = max(2, math.ceil(abs(angle) / (2 * math.acos(1 - min(TOLERANCE / radius, 0.5)))))
    turn = math.atan2(one[1], one[0]) + angle * np.arange(1, count) / count
    inner = centre + radius * np.c_[np.cos(turn), np.sin(turn)]
    return np.concatenate([start[None], inner, end[None]])
