"""Grown: hatching carried on over a stroke that seemed to bound its field.

A stroke that runs on into a drawn line behind the border counts as that line and parts the field. Beyond it lies a
strip about as wide as the strokes are apart, and it runs with them from border to border: field and strip are one.
Limits are common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import FloatArray

ALIKE = np.radians(14)  # direction of the parting stroke against the others
STRAIGHT = 0.97  # chord over length
WIDEST = 1.5  # distances of the strokes that the strip measures across, on average
LONGEST = 1.6  # times the parting stroke that the strip is long
SHORTEST = 0.35  # times the usual stroke that the parting one is long
NEAREST = 0.4  # distances of the strokes: the parting one is no nearer to the next
FARTHEST = 2.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grown:
    """A field with its strips, and the strokes that parted them, mm."""

    field: shapely.Polygon
    partings: tuple[FloatArray, ...]


def grow(
    field: shapely.Polygon,
    strokes: Sequence[shapely.LineString],
    step: float,
    faces: list[shapely.Polygon],
) -> Grown:
    """Carry a hatched field on over strips beyond its outermost strokes, mm.

    Args:
        field: the field as found.
        strokes: its hatching.
        step: distance of the strokes.
        faces: all fields of the drawing.
    """
    partings: list[shapely.LineString] = []
    turned = True
    while turned:
        turned = False
        for face in _beside(field, faces):
            parting = _parting(field, face, [*strokes, *partings], step)
            if parting is None:
                continue
            whole = shapely.union(field, face)
            if isinstance(whole, shapely.Polygon):
                field, turned = whole, True
                partings.append(parting)
                break
    return Grown(field=field, partings=tuple(shapely.get_coordinates(p) for p in partings))


def _beside(field: shapely.Polygon, faces: list[shapely.Polygon]) -> list[shapely.Polygon]:
    """Fields that share a wall with this one, the smallest first."""
    out = [
        f
        for f in faces
        if shapely.intersects(f, field)
        and not shapely.contains(field, f.representative_point())
        and not shapely.contains(f, field.representative_point())
    ]
    return sorted(out, key=lambda f: f.area)


def _parting(
    field: shapely.Polygon, face: shapely.Polygon, strokes: list[shapely.LineString], step: float
) -> shapely.LineString | None:
    """The stroke between a field and a strip beyond it; None when they are two fields."""
    shared = shapely.line_merge(shapely.intersection(field.exterior, face.exterior))
    parts = [p for p in shapely.get_parts(shared) if p.geom_type == "LineString"]
    if not parts:
        return None
    wall: shapely.LineString = max(parts, key=lambda p: p.length)
    ends = shapely.get_coordinates(wall)[[0, -1]]
    chord = float(np.hypot(*(ends[1] - ends[0])))
    usual = float(np.median(shapely.length(np.array(strokes, object))))
    if chord < STRAIGHT * wall.length or chord < max(SHORTEST * usual, 0.5 * step):
        return None
    near = min(strokes, key=lambda s: s.distance(wall.interpolate(0.5, normalized=True)))
    apart = near.distance(wall.interpolate(0.5, normalized=True))
    if not NEAREST * step <= apart <= FARTHEST * step or _off(near, wall) > ALIKE:
        return None
    along = (ends[1] - ends[0]) / chord
    reach = float(np.ptp(shapely.get_coordinates(face.exterior) @ along))
    if reach > LONGEST * chord or face.area > WIDEST * step * reach:
        return None
    return wall


def _off(one: shapely.LineString, other: shapely.LineString) -> float:
    """Angle between two chords, radians."""
    ways = [np.diff(shapely.get_coordinates(v)[[0, -1]], axis=0)[0] for v in (one, other)]
    turn = float(np.subtract(*(np.arctan2(w[1], w[0]) for w in ways)))
    return abs((turn + np.pi / 2) % np.pi - np.pi / 2)
