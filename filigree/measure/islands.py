"""Islands: pieces of face tied to nothing."""

import math

import shapely
from shapely import Polygon

from filigree.geometry.parts import pieces
from filigree.geometry.poles import poles
from filigree.geometry.widths import least_width
from filigree.measure.model import EDGE, Island, Side
from filigree.pattern import Pattern


def islands(pattern: Pattern) -> tuple[Island, ...]:
    """Measure every loose piece, numbered in reading order (by top, then left)."""
    loose = pieces(pattern.land)[1:]
    loose.sort(key=lambda p: (p.bounds[1], p.bounds[0], p.bounds[3], p.bounds[2]))
    if not loose:
        return ()
    inside, _ = poles(loose)
    around = [_around(pattern, piece) for piece in loose]
    return tuple(
        Island(
            number=k,
            at=(float(at[0]), float(at[1])),
            area_mm2=float(piece.area),
            width=least_width(Polygon(piece.exterior)),
            within=within,
            openings=seen,
            shape=piece,
        )
        for k, (piece, at, (within, seen)) in enumerate(
            zip(loose, inside, around, strict=True), start=1
        )
    )


def _around(pattern: Pattern, piece: Polygon) -> tuple[Side, tuple[int, ...]]:
    """Opening round a loose piece, the innermost of several, and those cut through it."""
    filled = shapely.Polygon(piece.exterior)
    shapely.prepare(filled)
    within: Side = EDGE
    least = math.inf
    seen = []
    for opening in pattern.openings:
        if filled.contains_properly(shapely.Point(opening.at)) and filled.covers(opening.shape):
            seen.append(opening.id)
        elif (size := Polygon(opening.shape.exterior)).area < least and size.covers(filled):
            within, least = opening.id, size.area
    return within, tuple(seen)
