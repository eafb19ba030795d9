"""Linework: the lines of a drawing of strokes alone, where paint need not be looked at."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from filigree.drawing.coats import Coat
from filigree.drawing.dashes import dashed
from filigree.drawing.flat import Flat, curve_table, without_repeats
from filigree.drawing.wishes import outlines_wish
from filigree.geometry.curves import CurveTable
from filigree.geometry.types import FloatArray


def is_linework(coats: Sequence[Coat], flat: Flat, line: float) -> bool:
    """Say whether strokes alone make the drawing, so that their middles tell all.

    Args:
        coats: in painting order.
        flat: their points.
        line: widest stroke that is a line, mm.
    """
    lines: list[FloatArray] = []
    covers = False
    for coat in coats:
        if coat.tone == "ink":
            if coat.part == "fill" and not outlines_wish(coat.item) or coat.width > line:
                return False
            lines += [points for points in flat.of(coat.item) if len(points) > 1]
        elif coat.tone == "paper" and lines:
            covers = True
    return not covers


def strokes(coats: Sequence[Coat], flat: Flat, page: Polygon) -> tuple[tuple[FloatArray, ...], CurveTable]:
    """Middles of the ink strokes on the page, with their curves."""
    lines: list[FloatArray] = []
    runs: list[int] = []
    for coat in coats:
        if coat.part != "stroke" or coat.tone != "ink" or outlines_wish(coat.item):
            continue
        middles = [without_repeats(points) for points in flat.of(coat.item)]
        middles = [points for points in middles if len(points) > 1]
        lines += dashed(middles, coat)
        runs += range(*coat.item.runs)
    return on_page(lines, page), curve_table(flat, runs)


def on_page(lines: Sequence[FloatArray], page: Polygon) -> tuple[FloatArray, ...]:
    """Cut off what lies beyond the page."""
    low_x, low_y, high_x, high_y = page.bounds
    kept: list[FloatArray] = []
    for points in lines:
        low, high = points.min(axis=0), points.max(axis=0)
        if low[0] >= low_x and low[1] >= low_y and high[0] <= high_x and high[1] <= high_y:
            kept.append(points)
        elif high[0] >= low_x and high[1] >= low_y and low[0] <= high_x and low[1] <= high_y:
            kept += parts_of(shapely.intersection(shapely.linestrings(points), page))
    return tuple(kept)


def parts_of(shape: shapely.Geometry) -> list[FloatArray]:
    """Points of the lines in an overlay's result; a line cut where it closes is joined again."""
    parts = shapely.get_parts(shape)
    parts = parts[shapely.get_dimensions(parts) == 1]
    if len(parts) > 1:
        merged = shapely.line_merge(shapely.multilinestrings(list(parts)))
        parts = shapely.get_parts(merged)
    return [np.asarray(shapely.get_coordinates(part)) for part in parts]
