"""Widths of one shape: the least caliper width, and the narrowest across."""

import numpy as np
import shapely

from filigree.geometry.types import Area

HOLLOW = 1e-3  # share of the hull's area that may be missing from a convex shape


def caliper(shape: Area) -> float:
    """Least distance of two parallel lines that hold the shape between them, mm; 0 when it is flat.

    The least width of a convex polygon stands square to one of its edges.

    >>> round(caliper(shapely.Polygon([(0, 0), (4, 0), (0, 3)])), 9)
    2.4
    """
    hull = shapely.get_coordinates(shapely.convex_hull(shape))
    if len(hull) < 4:
        return 0.0
    step = np.diff(hull, axis=0)
    length = np.hypot(step[:, 0], step[:, 1])
    unit = step[length > 0] / length[length > 0, None]
    start = hull[:-1][length > 0]
    apart = unit[:, None, 0] * (hull[None, :, 1] - start[:, None, 1])
    apart -= unit[:, None, 1] * (hull[None, :, 0] - start[:, None, 0])
    return float(np.abs(apart).max(axis=1).min())


def least_width(shape: Area) -> float:
    """Least width of a shape, mm: its caliper width, or its widest disc when it is bent or hollow."""
    width = caliper(shape)
    hull = shapely.convex_hull(shape)
    if hull.area - shape.area <= HOLLOW * hull.area:
        return width
    return min(width, 2 * float(shapely.length(shapely.maximum_inscribed_circle(shape))))
