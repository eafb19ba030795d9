"""Strokes: the area that a line's width, caps, joins and dashes cover."""

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from shapely import LinearRing, LineString, Point, Polygon

from filigree.drawing.coats import Coat, stroke_units
from filigree.drawing.dashes import cut_dashes, dash_pattern
from filigree.drawing.fills import EMPTY, only_areas
from filigree.drawing.flat import Flat, without_repeats
from filigree.drawing.joins import mitre_tips
from filigree.drawing.styles import Style
from filigree.drawing.transform import is_even
from filigree.geometry.flatten import flatten
from filigree.geometry.types import Area, BoolArray, FloatArray

Cap = Literal["round", "square", "flat"]
CAPS: dict[str, Cap] = {"round": "round", "square": "square"}
THINNEST = 0.05  # mm: a finer stroke is taken this wide, so that it does not vanish among misfits


def stroke_area(coat: Coat, flat: Flat, tolerance: float) -> Area:
    """Area that a stroke covers on the page, mm, within `tolerance`."""
    item, width = coat.item, max(coat.width, THINNEST) if coat.tone == "ink" else coat.width
    closed = flat.trace.closed[item.runs[0] : item.runs[1]]
    if is_even(item.matrix) or item.style.get("vector-effect") == "non-scaling-stroke":
        scale = width / max(stroke_units(item), 1e-300)
        return _expanded(coat, flat.of(item), closed, width, scale, tolerance)
    lines, size = _in_user_space(coat, flat, tolerance)
    width_units = stroke_units(item) * width / coat.width
    area = _expanded(coat, lines, closed, width_units, 1.0, tolerance / size)
    a, b, c, d, e, f = item.matrix
    turned = shapely.transform(
        area,
        lambda xy: np.column_stack(
            [a * xy[:, 0] + c * xy[:, 1] + e, b * xy[:, 0] + d * xy[:, 1] + f]
        ),
    )
    return only_areas(shapely.make_valid(turned)) if not turned.is_valid else turned


def _in_user_space(coat: Coat, flat: Flat, tolerance: float) -> tuple[list[FloatArray], float]:
    """Points of a coat's subpaths in user units, and mm that one unit is at most."""
    item, trace = coat.item, flat.trace
    size = max(
        float(np.abs(np.linalg.svd(np.array(item.matrix[:4]).reshape(2, 2))[1]).max()), 1e-12
    )
    first, last = item.pieces
    chords = flatten(trace.cubics[first:last], trace.straight[first:last], tolerance / size)
    bounds = np.searchsorted(chords.piece, trace.firsts[item.runs[0] : item.runs[1] + 1] - first)
    return [
        np.concatenate([chords.starts[low:high], chords.ends[high - 1 : high]])
        if high > low
        else np.empty((0, 2))
        for low, high in zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True)
    ], size


def _expanded(
    coat: Coat,
    lines: Sequence[FloatArray],
    closed: BoolArray,
    width: float,
    scale: float,
    tolerance: float,
) -> Area:
    style, radius = coat.item.style, width / 2
    join = style.get("stroke-linejoin", "miter")
    cap = CAPS.get(style.get("stroke-linecap", "butt"), "flat")
    shapes: list[shapely.Geometry] = []
    dots: list[FloatArray] = []
    dashes, offset = dash_pattern(coat.item, lines, scale)
    for points, shut in zip(lines, closed.tolist(), strict=True):
        points = without_repeats(points)
        if len(points) == 1:
            dots.append(points[0])
        elif len(points) > 1 and dashes:
            cut = cut_dashes([points], dashes, offset)
            dots += [piece[0] for piece in cut if len(without_repeats(piece)) == 1]
            shapes += [LineString(piece) for piece in cut if len(without_repeats(piece)) > 1]
        elif shut and len(points) > 3:
            shapes.append(LinearRing(points))
        elif len(points) > 1:
            shapes.append(LineString(points))
    if cap != "flat" and dots:
        shapes += [Point(dot) for dot in dots]
    if not shapes:
        return EMPTY
    corner = math.acos(max(0.0, 1 - min(1.0, tolerance / radius))) if radius > 0 else 1.0
    areas = shapely.buffer(
        np.array(shapes, dtype=np.object_),
        radius,
        quad_segs=int(min(16, max(3, math.ceil(math.pi / 4 / max(corner, 1e-3))))),
        cap_style=cap,
        join_style="round" if join == "round" else "bevel",
    )
    tips = _tips(shapes, style, radius) if join not in {"round", "bevel"} else []
    return only_areas(
        areas[0] if len(areas) + len(tips) == 1 else shapely.union_all([*areas, *tips])
    )


def _tips(shapes: Sequence[shapely.Geometry], style: Style, radius: float) -> list[Polygon]:
    """Mitre tips of all lines of a stroke."""
    try:
        limit = max(1.0, float(style.get("stroke-miterlimit", "4")))
    except ValueError:
        limit = 4.0
    return [
        tip
        for shape in shapes
        if not isinstance(shape, Point)
        for tip in mitre_tips(
            without_repeats(shapely.get_coordinates(shape)),
            closed=isinstance(shape, LinearRing),
            radius=radius,
            limit=limit,
        )
    ]
