"""Fillets: one corner of a ring is replaced by the arc of a disc that touches both sides of it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LinearRing, Point, Polygon

from filigree.geometry.offset import SPIKE, TOLERANCE, areas, quarter_segments
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
    return fillets([shape], [at], inside=[inside], radius=radius)[0]


def fillets(
    shapes: Sequence[Polygon], at: Sequence[XY], *, inside: Sequence[Area], radius: float
) -> list[Fillet | None]:
    """Round one corner of each polygon, as `fillet` does; much faster than one after the other."""
    made: list[Fillet | None] = [None] * len(shapes)
    found = [_corner(shape, place) for shape, place in zip(shapes, at, strict=True)]
    left = {k: corner for k, corner in enumerate(found) if corner is not None}
    for reach in (*REACHES, math.inf):
        tried = {k: c for k, c in left.items() if (c.needed < REACHES[-1]) != math.isinf(reach)}
        if not tried:
            continue
        near = _near([inside[k] for k in tried], np.array([at[k] for k in tried]), reach * radius)
        discs = _discs(near, [at[k] for k in tried], radius)
        for (k, corner), disc in zip(tried.items(), discs, strict=True):
            made[k] = None if disc is None else _rounded(corner, disc, radius)
            if made[k] is not None:
                del left[k]
    return made


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Corner:
    """A corner of a polygon.

    Attributes:
        rings: of the polygon.
        which: the ring it lies on.
        points: of this ring, the corner first, `(n, 2)`.
        needed: how far from the corner the disc lies between its two edges, in radii.
    """

    rings: list[LinearRing]
    which: int
    points: FloatArray
    needed: float


def _corner(shape: Polygon, at: XY) -> _Corner | None:
    """Find a corner by its place; None where no vertex is there."""
    rings = [shape.exterior, *shape.interiors]
    which = int(np.argmin(shapely.distance(rings, Point(at)))) if len(rings) > 1 else 0
    points = shapely.get_coordinates(rings[which])[:-1]
    apart = points - np.array(at)
    corner = int((apart[:, 0] ** 2 + apart[:, 1] ** 2).argmin())
    if math.dist(points[corner], at) > ON:
        return None
    points = np.concatenate([points[corner:], points[:corner]])
    needed = _needed(points[0].tolist(), points[1].tolist(), points[-1].tolist())
    return _Corner(rings=rings, which=which, points=points, needed=needed)


def _discs(inside: Sequence[Area], at: Sequence[XY], radius: float) -> list[FloatArray | None]:
    """Give the middle of the disc that comes nearest to each place, in the area that belongs to it."""
    rooms = shapely.buffer(
        inside,
        -radius,
        quad_segs=quarter_segments(radius),
        join_style="mitre",
        mitre_limit=SPIKE,
    )
    solid = [areas(room) for room in rooms.tolist()]
    lines = shapely.shortest_line(solid, shapely.points(np.array(at)))
    return [
        None if room.is_empty else shapely.get_coordinates(line)[0]
        for room, line in zip(solid, lines.tolist(), strict=True)
    ]


def _rounded(corner: _Corner, centre: FloatArray, radius: float) -> Fillet | None:
    """Round a corner with a disc; None where that gives no sound polygon."""
    made = _replaced(corner.points, centre, radius)
    if made is None:
        return None
    ring, part = made
    rings = [ring if r == corner.which else other for r, other in enumerate(corner.rings)]
    done = Polygon(rings[0], rings[1:])
    if done.is_valid and part.is_valid and part.area > 0:
        return Fillet(shape=done, part=part)
    return None


def _needed(at: Sequence[float], ahead: Sequence[float], behind: Sequence[float]) -> float:
    """Give how far from the corner the disc lies between its two edges, in radii: 1 / sin of half the angle."""
    (x, y), (u, v) = (ahead[0] - at[0], ahead[1] - at[1]), (behind[0] - at[0], behind[1] - at[1])
    turned = (x * u + y * v) / max(math.hypot(x, y) * math.hypot(u, v), 1e-18)
    return 1 / math.sqrt(max((1 - turned) / 2, 1e-18))


def _near(inside: Sequence[Area], at: FloatArray, reach: float) -> list[Area]:
    """Cut areas down to the squares round places; the whole areas where the reach has no end."""
    if math.isinf(reach):
        return list(inside)
    squares = shapely.box(*(at - reach).T, *(at + reach).T)
    return [areas(shape) for shape in shapely.intersection(inside, squares).tolist()]


def _replaced(
    points: FloatArray, centre: FloatArray, radius: float
) -> tuple[FloatArray, Polygon] | None:
    """Give the ring, the corner first, with the arc in place of the corner, and the part between the two.

    The arc runs between the first edges that the disc touches on either way along the ring from the corner.
    """
    unrolled = np.concatenate([points, points[:1]])
    start = unrolled[:-1]
    step, apart = unrolled[1:] - start, centre - start
    square = np.maximum(step[:, 0] ** 2 + step[:, 1] ** 2, 1e-18)
    rest = np.clip((apart[:, 0] * step[:, 0] + apart[:, 1] * step[:, 1]) / square, 0.0, 1.0)
    foot = start + step * rest[:, None]
    off = foot - centre
    near = np.flatnonzero(off[:, 0] ** 2 + off[:, 1] ** 2 <= (radius + TOUCH) ** 2)
    if len(near) < 2:
        return None
    go, back = int(near[0]), int(near[-1])
    arc = _arc(foot[back], foot[go], centre, radius)
    cut = np.concatenate([unrolled[back + 1 : -1], unrolled[: go + 1], arc[::-1]])
    return np.concatenate([arc, unrolled[go + 1 : back + 1]]), Polygon(cut)


def _arc(start: FloatArray, end: FloatArray, centre: FloatArray, radius: float) -> FloatArray:
    """Chords from `start` to `end` round a centre, the short way."""
    one, two = start - centre, end - centre
    angle = math.atan2(float(one[0] * two[1] - one[1] * two[0]), float(one @ two))
    count = max(2, math.ceil(abs(angle) / (2 * math.acos(1 - min(TOLERANCE / radius, 0.5)))))
    turn = math.atan2(one[1], one[0]) + angle * np.arange(1, count) / count
    arc = np.empty((count + 1, 2))
    arc[0], arc[-1] = start, end
    arc[1:-1, 0] = centre[0] + radius * np.cos(turn)
    arc[1:-1, 1] = centre[1] + radius * np.sin(turn)
    return arc
