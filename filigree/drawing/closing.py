"""Closing: lines that the maker draws by hand across gaps of a drawing join its own lines."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString, MultiLineString, MultiPoint, Point, Polygon
from shapely.geometry.base import BaseGeometry

from filigree.drawing.model import Drawing, Field
from filigree.geometry.poles import poles
from filigree.geometry.types import XY, FloatArray

NEAR = 1.0  # mm: an end drawn this near a line, or the end of one, is meant to lie on it
ALONG = 0.05  # mm of a drawn line that a field has as its edge when the line made it
COVERED = 0.5  # share of a face that is dark when the face is no light field
HELD = 0.5  # share of a face that lies in a field when it is a part of it


def closed_by_hand(drawing: Drawing, lines: Sequence[tuple[XY, XY]]) -> Drawing:
    """Add straight lines to a drawing, each from one end of a gap to the other.

    An end that is not quite on a line is brought to the nearest end of a line, or to the nearest place on
    one, within `NEAR`. In a painted drawing a line parts the fields that it crosses, and what it newly
    encloses between the edges of the ink is a field.

    Args:
        drawing: the art.
        lines: start and end of each, mm.

    Returns:
        The drawing with the lines; the same one when there are none.
    """
    if not lines or not drawing.lines:
        return drawing
    drawn = [LineString(line) for line in drawing.lines if len(line) > 1]
    every = MultiLineString(drawn)
    tips = MultiPoint([line.coords[k] for line in drawn if not line.is_closed for k in (0, -1)])
    added = [
        np.array([_brought(start, tips, every), _brought(end, tips, every)]) for start, end in lines
    ]
    added = [line for line in added if np.hypot(*(line[1] - line[0])) > 0]
    closed = replace(drawing, lines=(*drawing.lines, *added))
    if drawing.fields is None or not added:
        return closed
    return replace(closed, fields=_fields(drawing, drawing.fields, drawn, added))


def _brought(at: XY, tips: BaseGeometry, lines: MultiLineString) -> XY:
    """Bring a place to the end of a line, or to a line, when one is near."""
    point = Point(at)
    for target in (tips, lines):
        found = shapely.shortest_line(point, target)
        if found is not None and found.length <= NEAR:
            x, y = found.coords[-1]
            return x, y
    return at


def _fields(
    drawing: Drawing, fields: Sequence[Field], drawn: list[LineString], added: list[FloatArray]
) -> tuple[Field, ...]:
    """Give the light fields as they are parted and closed by the added lines."""
    lines = MultiLineString([LineString(line) for line in added])
    noded = shapely.union_all([*drawn, *(LineString(_longer(line)) for line in added)])
    faces = [
        face
        for face in shapely.get_parts(shapely.polygonize(shapely.get_parts(noded))).tolist()
        if face.boundary.intersection(lines.buffer(1e-6)).length > ALONG
    ]
    left = [field for field in fields if not field.shape.intersects(lines)]
    crossed = [field.shape for field in fields if field.shape.intersects(lines)]
    new: list[Polygon] = []
    for shape in crossed:
        parts = [_largest(face.intersection(shape)) for face in faces]
        held = [p for p, face in zip(parts, faces, strict=True) if p.area > HELD * face.area]
        new += held if len(held) > 1 else [shape]
    seen = shapely.union_all([*(field.shape for field in left), *crossed])
    for face in faces:
        dark = face.intersection(drawing.solids).area > COVERED * face.area
        if not dark and face.intersection(seen).area <= HELD * face.area:
            new.append(face)
    at, _ = poles(new)
    made = [Field(shape=shape, at=(x, y)) for shape, (x, y) in zip(new, at.tolist(), strict=True)]
    return (*left, *made)


def _longer(line: FloatArray) -> FloatArray:
    """Lengthen a line by a hair at both ends, so that it crosses what it ends on."""
    step = (line[1] - line[0]) / np.hypot(*(line[1] - line[0])) * 1e-6
    return np.array([line[0] - step, line[1] + step])


def _largest(shape: BaseGeometry) -> Polygon:
    parts = [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon)]
    return max(parts, key=lambda p: float(p.area), default=Polygon())
