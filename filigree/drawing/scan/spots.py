"""Spots: dark spots beside the drawing near the sheet's edge: punched holes, pins, weights, corner marks; they are no drawing."""

from dataclasses import replace

import numpy as np
import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from filigree.drawing.model import Skipped
from filigree.drawing.scan.frame import Frame
from filigree.drawing.scan.traced import Traced

RIM = 16.0  # mm from the sheet's edge at which a spot's middle lies, at most (ISO 838: a hole's is 12)
LARGEST = 13.0  # mm, longest side of a spot
MOST = 6  # spots; more are an ornament
LEAST = 10.0  # mm that the drawing itself measures, at least


def part_spots(traced: Traced, frame: Frame, sheet: Polygon | None) -> tuple[Traced, list[Skipped]]:
    """Leave out the spots, and say where each was.

    Args:
        traced: what the picture shows.
        frame: where its pixels lie.
        sheet: the sheet's outline, pixels; None when the picture ends within the sheet.
    """
    per_mm = frame.per_mm
    areas = [Polygon(s.points) for s in traced.solids]
    small = [k for k, a in enumerate(areas) if _longest(a) < LARGEST * per_mm]
    if not small or len(small) > MOST:
        return traced, []
    grown = {k: shapely.buffer(areas[k], 0.3 * per_mm) for k in small}
    lines = [shapely.linestrings(s.points) for s in traced.strokes]
    others = [line for line in lines if not any(g.covers(line) for g in grown.values())]
    if not others:
        return traced, []
    drawn = shapely.convex_hull(shapely.union_all(np.array(others, object)))
    columns, rows = frame.pixels
    outline = (sheet if sheet is not None else shapely.box(0, 0, columns, rows)).exterior
    if _longest(drawn) < LEAST * per_mm:
        return traced, []
    lone = [
        k
        for k in small
        if not grown[k].intersects(drawn) and outline.distance(areas[k].centroid) < RIM * per_mm
    ]
    if not lone:
        return traced, []
    gone = shapely.union_all([grown[k] for k in lone])
    left = replace(
        traced,
        strokes=tuple(
            s for s, line in zip(traced.strokes, lines, strict=True) if not gone.covers(line)
        ),
        solids=tuple(s for k, s in enumerate(traced.solids) if k not in lone),
    )
    return left, [_told(areas[k].centroid, frame) for k in lone]


def _longest(area: BaseGeometry) -> float:
    x0, y0, x1, y1 = area.bounds
    return float(max(x1 - x0, y1 - y0))


def _told(at: Point, frame: Frame) -> Skipped:
    x, y = frame.to_mm(np.array([[at.x, at.y]]))[0].tolist()
    why = "beside the drawing near the sheet's edge, like a punched hole or a weight"
    return Skipped(what=f"a dark spot at {x:.0f}, {y:.0f} mm", why=why)
