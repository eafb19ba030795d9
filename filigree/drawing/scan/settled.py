"""Settled: hatched areas cut to the fields that their strokes lie in, once the lines are known.

Strokes are read from lines that still run through each other, so that their field may hold a leaf whose own outline
shows only when they are gone.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from filigree.drawing.fills import only_areas
from filigree.drawing.model import Mark
from filigree.drawing.scan.strokes import Stroke
from filigree.geometry.types import FloatArray

REMNANT = 3.0  # mm, longest remnant of a stroke that is left in its field
INSIDE = 0.9  # share of it that lies there
THIN = 0.4  # times as dense as on average that strokes lie in a field that is hatched


def part_remnants(
    drawn: list[Stroke], fields: Sequence[shapely.Geometry], per_mm: float
) -> tuple[list[Stroke], list[FloatArray]]:
    """Part the lines from short ones that end free in a marked field: what strokes have left, dots that touch.

    Args:
        drawn: lines, pixels.
        fields: hatched fields and stippled areas, pixels.
        per_mm: pixels to a mm.
    """
    if not fields or not drawn:
        return drawn, []
    shapes = np.array([shapely.linestrings(s.points) for s in drawn], object)
    length = shapely.length(shapes)
    short = np.array([any(s.free) for s in drawn]) & (length <= REMNANT * per_mm)
    some = np.flatnonzero(short)
    own, held = shapely.STRtree(fields).query(shapes[some], predicate="intersects")
    there = shapely.length(shapely.intersection(shapes[some[own]], np.array(fields, object)[held]))
    gone = set(some[own[there >= INSIDE * length[some[own]]]].tolist())
    kept = [s for k, s in enumerate(drawn) if k not in gone]
    return kept, [drawn[k].points for k in sorted(gone)]


def settle(
    marks: Sequence[Mark], strokes: Sequence[Sequence[FloatArray]], lines: Sequence[FloatArray]
) -> list[Mark]:
    """Cut each hatched area to the fields of the lines that hold its strokes.

    Args:
        marks: hatched areas.
        strokes: the strokes of each.
        lines: what is left of the drawing.
    """
    if not marks or not lines:
        return list(marks)
    web = shapely.union_all(np.array([shapely.linestrings(v) for v in lines], object))
    faces = shapely.get_parts(shapely.polygonize([web]))
    tree = shapely.STRtree(faces)
    return [_cut(m, own, faces, tree) for m, own in zip(marks, strokes, strict=True)]


def _cut(
    mark: Mark, strokes: Sequence[FloatArray], faces: np.ndarray, tree: shapely.STRtree
) -> Mark:
    near = faces[np.sort(tree.query(mark.shape, predicate="intersects"))]
    if len(near) < 2:
        return mark
    drawn = shapely.union_all(np.array([shapely.linestrings(v) for v in strokes], object))
    parts = shapely.intersection(near, mark.shape)
    area = np.maximum(shapely.area(parts), 1e-9)
    length = shapely.length(shapely.intersection(parts, drawn))
    held = length >= THIN * (length.sum() / area.sum()) * area
    if held.all() or not held.any():
        return mark
    shape = only_areas(shapely.union_all(parts[held]))
    return mark if shape.is_empty else replace(mark, shape=shape)
