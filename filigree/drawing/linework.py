"""Linework: the lines of a drawing of strokes alone, where paint need not be looked at."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Polygon

from filigree.drawing.clips import Clipper
from filigree.drawing.coats import Coat
from filigree.drawing.dashes import dashed
from filigree.drawing.flat import Flat, without_repeats
from filigree.drawing.wishes import hides, item_area, outlines_wish
from filigree.geometry.types import FloatArray


def is_linework(coats: Sequence[Coat], flat: Flat, line: float) -> bool:
    """Say whether strokes alone make the drawing, so that their middles tell all.

    Args:
        coats: in painting order.
        flat: their points.
        line: widest stroke that is a line, mm.
    """
    drawn: list[FloatArray] = []
    hiding: list[tuple[int, Coat]] = []
    for coat in coats:
        if outlines_wish(coat.item):
            continue
        if coat.tone == "ink":
            if coat.part == "fill" or coat.width > line or coat.shade is not None:
                return False
            drawn += [points for points in flat.of(coat.item) if len(points) > 1]
        elif hides(coat):
            hiding.append((len(drawn), coat))
    return not _hidden(drawn, hiding, flat)


def _hidden(drawn: list[FloatArray], hiding: list[tuple[int, Coat]], flat: Flat) -> bool:
    """Say whether some light coat lies over a line drawn before it."""
    hiding = [(count, coat) for count, coat in hiding if count]
    if not hiding:
        return False
    tree = shapely.STRtree([LineString(points) for points in drawn])
    for count, coat in hiding:
        if coat.part == "stroke":
            return True
        area = item_area(coat.item, flat)
        if (tree.query(area, predicate="intersects") < count).any():
            return True
    return False


def strokes(coats: Sequence[Coat], clipper: Clipper, page: Polygon) -> tuple[FloatArray, ...]:
    """Middles of the ink strokes on the page, where their clips let them be seen."""
    lines: list[FloatArray] = []
    for coat in coats:
        if coat.part != "stroke" or coat.tone != "ink" or outlines_wish(coat.item):
            continue
        middles = [without_repeats(points) for points in clipper.flat.of(coat.item)]
        middles = dashed([points for points in middles if len(points) > 1], coat)
        if coat.item.context.clips:
            seen = [clipper.lines_seen(coat.item, LineString(points)) for points in middles]
            middles = [
                part
                for points, shape in zip(middles, seen, strict=True)
                for part in ([points] if _whole(shape, points) else parts_of(shape))
            ]
        lines += middles
    return on_page(lines, page)


def _whole(shape: shapely.Geometry, points: FloatArray) -> bool:
    """Say whether a line came through its clips uncut."""
    return isinstance(shape, LineString) and shapely.get_num_coordinates(shape) == len(points)


def on_page(lines: Sequence[FloatArray], page: Polygon) -> tuple[FloatArray, ...]:
    """Cut off what lies beyond the page."""
    low_x, low_y, high_x, high_y = page.bounds
    kept: list[FloatArray] = []
    for points in lines:
        low, high = points.min(axis=0), points.max(axis=0)
        if low[0] >= low_x and low[1] >= low_y and high[0] <= high_x and high[1] <= high_y:
            kept.append(points)
        elif high[0] >= low_x and high[1] >= low_y and low[0] <= high_x and low[1] <= high_y:
            kept += parts_of(shapely.intersection(LineString(points), page))
    return tuple(kept)


def parts_of(shape: shapely.Geometry) -> list[FloatArray]:
    """Points of the lines in an overlay's result; a line cut where it closes is joined again."""
    parts = shapely.get_parts(shape)
    parts = parts[(shapely.get_dimensions(parts) == 1) & ~shapely.is_empty(parts)]
    if len(parts) > 1:
        merged = shapely.line_merge(MultiLineString(list(parts)))
        parts = shapely.get_parts(merged)
    return [np.asarray(shapely.get_coordinates(part)) for part in parts]
