"""Edges: the lines of a painted drawing that the eye follows, noded.

All candidates are noded first and hidden pieces dropped after, so that a line that ends at the edge of
what covers it still ends on that edge, to the last bit.
"""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString, MultiLineString

from filigree.drawing.fills import Shapes
from filigree.drawing.layers import Seen
from filigree.geometry.types import Area, BoolArray, FloatArray

TOUCH = 1e-6  # mm: misfit of noding
SHADE = 1e-3  # mm: a middle this deep under broad ink divides nothing


def visible_lines(
    middles: Sequence[FloatArray], seen: Seen, papers: Sequence[Area]
) -> tuple[FloatArray, ...]:
    """Middles of visible strokes, and edges of broad ink and of paper that cuts strokes.

    Args:
        middles: of all ink strokes narrow enough to be lines, mm.
        seen: visible ink.
        papers: areas of the papers that lie over ink.
    """
    lines = _not_hidden(middles, seen.thin)
    broad_edge = shapely.get_parts(shapely.boundary(seen.broad))
    thin_edge = _segments(shapely.get_parts(shapely.boundary(seen.thin)))
    paper_edge = _beside(papers if lines else [], thin_edge)
    everything = [*lines, *broad_edge, *paper_edge]
    if not everything:
        return ()
    pieces = shapely.get_parts(_noded(everything))
    pieces = pieces[shapely.get_dimensions(pieces) == 1]
    points = shapely.line_interpolate_point(pieces, 0.5, normalized=True)
    keep = _near(points, broad_edge)
    if lines:
        middle = _near(points, np.array(lines))
        shapely.prepare(seen.thin)
        dark = shapely.intersects(seen.thin, points)
        shaded = _within(points, seen.broad)
        shown = middle & dark & ~shaded
        cut = ~middle & _near(points, thin_edge) & _near(points, paper_edge)
        keep |= shown | cut
    if not keep.any():
        return ()
    merged = shapely.line_merge(MultiLineString(list(pieces[keep])))
    return tuple(shapely.get_coordinates(piece) for piece in shapely.get_parts(merged))


def _not_hidden(middles: Sequence[FloatArray], thin: Area) -> list[LineString]:
    """Lines without their segments of which nothing is seen."""
    shapely.prepare(thin)
    lines = [LineString(points) for points in middles]
    if bool(shapely.covers(thin, np.array(lines, dtype=object)).all()):
        return lines
    pieces = _segments(np.array(lines, dtype=object))
    return list(pieces[shapely.intersects(thin, pieces)])


def _beside(papers: Sequence[Area], edge: Shapes) -> Shapes:
    """Pieces of the edges of papers that are an edge of visible strokes; the others cut nothing that is seen."""
    pieces = _segments(shapely.get_parts(shapely.boundary(np.array(papers, dtype=object))))
    if not len(pieces) or not len(edge):
        return pieces[:0]
    found, _ = shapely.STRtree(edge).query(pieces, predicate="dwithin", distance=TOUCH)
    return np.asarray(pieces[np.unique(found)])


def _noded(lines: list[LineString]) -> shapely.Geometry:
    whole = MultiLineString(lines)
    try:
        return shapely.node(whole)
    except shapely.errors.GEOSException:  # the quick noder may not converge on real art
        return shapely.union_all(whole)


def _near(points: Shapes, lines: Shapes) -> BoolArray:
    """Which points lie on some of the lines."""
    near = np.zeros(len(points), dtype=bool)
    if len(lines) and len(points):
        split = _segments(lines)
        found, _ = shapely.STRtree(split).query(points, predicate="dwithin", distance=TOUCH)
        near[found] = True
    return near


def _segments(lines: Shapes) -> Shapes:
    """Each line's segments by themselves, so that a tree finds them fast."""
    xy, owner = shapely.get_coordinates(lines, return_index=True)
    same = owner[1:] == owner[:-1]
    ends = np.stack([xy[:-1][same], xy[1:][same]], axis=1)
    return np.asarray(shapely.linestrings(ends))


def _within(points: Shapes, area: Area) -> BoolArray:
    """Which points lie in an area and not at its edge."""
    if area.is_empty:
        return np.zeros(len(points), dtype=bool)
    shapely.prepare(area)
    inside = np.asarray(shapely.contains_properly(area, points))
    candidates = np.flatnonzero(inside)
    if len(candidates):
        edge = _segments(shapely.get_parts(shapely.boundary(area)))
        found, _ = shapely.STRtree(edge).query(
            points[candidates], predicate="dwithin", distance=SHADE
        )
        inside[candidates[found]] = False
    return inside
