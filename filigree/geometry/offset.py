"""Offsets: areas grown and shrunk, and discs that round them off, all within a stated tolerance."""

import math

import shapely
from shapely import MultiPolygon, Polygon

from filigree.geometry.types import Area

TOLERANCE = 0.002  # mm: chords of round joins
SPIKE = 3.0  # a mitred corner sticks out no more than this many distances


def grown(shape: Area, by: float, *, corners: bool = False) -> Area:
    """Grow an area by `by` mm all round.

    Args:
        shape: the area; its holes get smaller.
        by: mm, 0 or more.
        corners: True keeps corners sharp (mitred); False rounds them, so that every point of the new edge
            is exactly `by` away.

    Raises:
        ValueError: `by` is negative.
    """
    if by < 0:
        raise ValueError("by must not be negative; see shrunk")
    return _offset(shape, by, corners=corners)


def shrunk(shape: Area, by: float, *, corners: bool = True) -> Area:
    """Shrink an area by `by` mm all round; what is narrower than twice that goes.

    Args:
        shape: the area; its holes get larger.
        by: mm, 0 or more.
        corners: True keeps the corners of what lies outside sharp (mitred); False rounds them.

    Raises:
        ValueError: `by` is negative.
    """
    if by < 0:
        raise ValueError("by must not be negative; see grown")
    return _offset(shape, -by, corners=corners)


def opened(shape: Area, radius: float) -> Area:
    """What a disc of this radius can reach inside an area: strands narrower than it go, corners round off.

    The opening of mathematical morphology: shrink, then grow.
    """
    return grown(shrunk(shape, radius, corners=False), radius)


def quarter_segments(radius: float, tolerance: float = TOLERANCE) -> int:
    """Chords a quarter circle needs: at least pi / acos(1 - e/r) for the whole (handbook 9).

    >>> quarter_segments(20, 0.05)
    12
    """
    if radius <= tolerance:
        return 2
    return max(2, math.ceil(math.pi / math.acos(1 - tolerance / radius) / 4))


def areas(shape: shapely.Geometry) -> Area:
    """Keep only the polygons of whatever an overlay gave, as one area; empty when there are none."""
    if isinstance(shape, Polygon) and shape.area > 0:
        return shape
    parts = [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon) and p.area > 0]
    nested = [
        q
        for p in shapely.get_parts(shape).tolist()
        if not isinstance(p, Polygon)
        for q in shapely.get_parts(p).tolist()
        if isinstance(q, Polygon) and q.area > 0
    ]
    found = parts + nested
    return found[0] if len(found) == 1 else MultiPolygon(found)


def _offset(shape: Area, by: float, *, corners: bool) -> Area:
    if by == 0:
        return shape
    return areas(
        shape.buffer(
            by,
            quad_segs=quarter_segments(abs(by)),
            join_style="mitre" if corners else "round",
            mitre_limit=SPIKE,
        )
    )
