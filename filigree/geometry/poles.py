"""Poles: a point well inside each of many shapes."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import FloatArray


def poles(shapes: Sequence[Polygon]) -> tuple[FloatArray, FloatArray]:
    """Find a point well inside each shape and its distance from the edge.

    Returns:
        Points `(n, 2)` and radii `(n,)`, mm.
    """
    lines = shapely.maximum_inscribed_circle(np.asarray(shapes, dtype=object))
    ends = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    return ends[:, 0], np.hypot(*(ends[:, 1] - ends[:, 0]).T)
