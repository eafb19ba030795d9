"""Doubled: strokes of a tracing that slipped: they run beside a longer line all along and end free."""

import numpy as np
import shapely

from filigree.drawing.scan.strokes import Stroke
from filigree.geometry.types import XY

BESIDE = 0.9  # mm from the longer line, at most: no leather is left between them (common practice, no source)
SHORTEST = 2.7  # mm: a shorter stroke may cross that strip


def part_doubled(drawn: list[Stroke], per_mm: float) -> tuple[list[Stroke], tuple[XY, ...]]:
    """Leave out the second of two strokes drawn for one line; also the middles of what was left out, pixels.

    Args:
        drawn: strokes, pixels.
        per_mm: pixels to a mm.
    """
    if len(drawn) < 2:
        return drawn, ()
    shapes = [shapely.LineString(s.points) for s in drawn]
    length = shapely.length(shapes)
    free = np.array([all(s.free) for s in drawn])
    of = np.flatnonzero(free & (length >= SHORTEST * per_mm))
    if not len(of):
        return drawn, ()
    first, second = shapely.STRtree(shapes).query(
        [shapes[k] for k in of], predicate="dwithin", distance=BESIDE * per_mm
    )
    gone: set[int] = set()
    for k, other in zip(of[first].tolist(), second.tolist(), strict=True):
        longer = (length[other], other) > (length[k], k)
        fresh = k != other and longer and other not in gone and k not in gone
        if fresh and shapes[other].buffer(BESIDE * per_mm).covers(shapes[k]):
            gone.add(k)
    places = [shapes[k].interpolate(0.5, normalized=True) for k in sorted(gone)]
    kept = [s for k, s in enumerate(drawn) if k not in gone]
    return kept, tuple((p.x, p.y) for p in places)
