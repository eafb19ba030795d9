"""Grown: hatching carried on over a stroke that seemed to bound its field.

Such a stroke runs with the others at their distance. Beyond it lies another hatched field of the same direction, or a
strip as wide as its own strokes are apart: both are one field. Limits are common practice, no source.
"""

from dataclasses import dataclass, replace

import numpy as np
import shapely

from filigree.drawing.scan.beside import Lines
from filigree.geometry.types import FloatArray, IntArray

ALIKE = np.radians(14)  # direction of the parting stroke against the others
STRAIGHT = 0.97  # chord over length
WIDEST = (
    1.5  # distances of the strokes that a strip measures across, on average, for each stroke in it
)
LONGEST = 1.6  # times the parting stroke that the strip is long
SHORTEST = 0.35  # times the usual stroke that the parting one is long
NEAREST = 0.4  # distances of the strokes: the parting one is no nearer to the next
FARTHEST = 2.2
ALONG = 0.75  # share of the edge of an open strip that runs with the strokes
LEAST_STRIP, MOST_STRIP = (
    0.5,
    3.0,
)  # area of an open strip between two parts, over that between two strokes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """One hatched field, mm: its outline, its strokes, the area they cover, the distance between them.

    Attributes:
        field: outline.
        members: its strokes.
        main: those of the main set.
        area: what they cover.
        step: distance between them.
        held: share of the main set with both ends on lines.
    """

    field: shapely.Polygon
    members: IntArray
    main: IntArray
    area: shapely.Geometry
    step: float
    held: float


def grow(
    lines: Lines, found: list[Found], fields: list[shapely.Polygon], strokes: IntArray
) -> list[Found]:
    """Carry hatched fields on over strokes that parted them.

    Args:
        lines: all runs.
        found: hatched fields.
        fields: all fields of the drawing.
        strokes: runs that may be strokes.
    """
    out: list[Found] = []
    left = list(found)
    while left:
        now = left.pop(0)
        turned = True
        while turned:
            turned = False
            for face in _beside(now.field, fields):
                other = next((h for h in (*left, *out) if h.field.equals(face)), None)
                if not _parted(lines, now, face, other, strokes):
                    continue
                whole = shapely.union(now.field, face)
                if not isinstance(whole, shapely.Polygon):
                    continue
                now = _with(now, whole, face, other)
                left = [h for h in left if h is not other]
                out = [h for h in out if h is not other]
                turned = True
                break
        out.append(now)
    return _over_strips(lines, out)


def _over_strips(lines: Lines, found: list[Found]) -> list[Found]:
    """Also join two parts of one field with an open strip between them, where its border has a break."""
    out: list[Found] = []
    for h in sorted(found, key=lambda h: -h.field.area):
        for k, other in enumerate(out):
            whole = _over_strip(lines, other, h)
            if whole is not None:
                strip = shapely.difference(whole, shapely.union(other.field, h.field))
                out[k] = _with(
                    replace(other, area=shapely.union(other.area, strip)), whole, h.field, h
                )
                break
        else:
            out.append(h)
    return out


def _over_strip(lines: Lines, one: Found, other: Found) -> shapely.Polygon | None:
    """Two fields and the strip between them, when it is one stroke's distance wide and as long as a stroke."""
    most = FARTHEST * min(one.step, other.step)
    way = lines.turn[other.main]
    middle = float(np.arctan2(np.sin(2 * way).sum(), np.cos(2 * way).sum()) / 2)
    if shapely.distance(one.field, other.field) > most or _off(lines, one.main, middle) > ALIKE:
        return None
    both = shapely.union(one.field, other.field)
    closed = shapely.buffer(shapely.buffer(both, most / 2), -most / 2)
    whole = shapely.union(closed, both)
    if not isinstance(whole, shapely.Polygon):
        return None
    strip = shapely.difference(whole, both)
    usual = float(np.median(lines.length[np.concatenate([one.main, other.main])]))
    least = LEAST_STRIP * min(one.step, other.step) * usual
    beside = all(_runs_along(h.field, strip, middle) for h in (one, other))
    return whole if beside and least <= strip.area <= MOST_STRIP / LEAST_STRIP * least else None


def _runs_along(field: shapely.Polygon, strip: shapely.Geometry, turn: float) -> bool:
    """True when what a field and a strip share runs in one direction, as a stroke does."""
    near = shapely.intersection(field.exterior, shapely.buffer(strip, 0.05))
    parts = [shapely.get_coordinates(p) for p in shapely.get_parts(near)]
    ways = [np.diff(p, axis=0) for p in parts if len(p) > 1]
    if not ways:
        return False
    way = np.concatenate(ways)
    size = np.hypot(*way.T)
    off = np.abs((np.arctan2(way[:, 1], way[:, 0]) - turn + np.pi / 2) % np.pi - np.pi / 2)
    return bool(size[off <= ALIKE].sum() >= ALONG * size.sum())


def _with(now: Found, whole: shapely.Polygon, face: shapely.Polygon, other: Found | None) -> Found:
    """Two fields as one."""
    if other is None:
        return replace(now, field=whole, area=shapely.union(now.area, face))
    return replace(
        now,
        field=whole,
        members=np.union1d(now.members, other.members),
        main=np.union1d(now.main, other.main),
        area=shapely.union(now.area, other.area),
        held=max(now.held, other.held),
    )


def _beside(field: shapely.Polygon, faces: list[shapely.Polygon]) -> list[shapely.Polygon]:
    """Fields that share a wall with this one, the smallest first."""
    near = shapely.STRtree(faces).query(field, predicate="intersects")
    out = [
        f
        for f in (faces[k] for k in near.tolist())
        if not shapely.contains(field, f.representative_point())
        and not shapely.contains(f, field.representative_point())
    ]
    return sorted(out, key=lambda f: f.area)


def _parted(
    lines: Lines, now: Found, face: shapely.Polygon, other: Found | None, strokes: IntArray
) -> bool:
    """True when a stroke alone lies between a hatched field and another face."""
    shared = shapely.line_merge(shapely.intersection(now.field.exterior, face.exterior))
    parts = [p for p in shapely.get_parts(shared) if p.geom_type == "LineString"]
    if not parts:
        return False
    wall: shapely.LineString = max(parts, key=lambda p: p.length)
    ends = shapely.get_coordinates(wall)[[0, -1]]
    chord = float(np.hypot(*(ends[1] - ends[0])))
    usual = float(np.median(lines.length[now.main]))
    if chord < STRAIGHT * wall.length or chord < max(SHORTEST * usual, 0.5 * now.step):
        return False
    along = (ends[1] - ends[0]) / chord
    middle = wall.interpolate(0.5, normalized=True)
    apart = float(shapely.distance(lines.shapes[now.main], middle).min())
    turn = float(np.arctan2(along[1], along[0]))
    if (
        not NEAREST * now.step <= apart <= FARTHEST * now.step
        or _off(lines, now.main, turn) > ALIKE
    ):
        return False
    if other is not None:
        return bool(_off(lines, other.main, turn) <= ALIKE)
    inside = shapely.intersects(
        shapely.line_interpolate_point(lines.shapes[strokes], 0.5, normalized=True), face
    )
    reach = float(np.ptp(shapely.get_coordinates(face.exterior) @ along))
    wide = WIDEST * now.step * (1 + int(inside.sum()))
    return bool(reach <= LONGEST * chord and face.area <= wide * reach)


def _off(lines: Lines, members: IntArray, turn: float) -> float:
    """Angle between a direction and the usual one of some strokes, radians."""
    off: FloatArray = np.abs((lines.turn[members] - turn + np.pi / 2) % np.pi - np.pi / 2)
    return float(np.median(off))
