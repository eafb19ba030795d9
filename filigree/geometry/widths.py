"""Widths of one shape: the least caliper width, and the narrowest across."""

import math

import numpy as np
import shapely

from filigree.geometry.types import Area, FloatArray, Shapes

FINE = 5e-4  # mm: steps of a widest disc end here
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


def widest_discs(shapes: Shapes, points: FloatArray, radii: FloatArray) -> FloatArray:
    """Radii of the discs that points well inside shapes grow to when moved uphill, `(n,)`, mm.

    Right within about `FINE`. The points should lie near the middle of the widest place.
    """
    edges = shapely.boundary(shapes)
    around = np.array([(math.cos(a), math.sin(a)) for a in np.arange(8) * math.pi / 4])
    at, best, step = points.copy(), radii.copy(), radii / 4
    live = np.arange(len(at))
    while len(live):
        tries = at[live, None] + around * step[live, None, None]
        far = shapely.distance(edges[live, None], shapely.points(tries))
        k = far.argmax(axis=1)
        row = np.arange(len(live))
        better = far[row, k] > best[live] + 1e-9
        moved = live[better]
        at[moved], best[moved] = tries[row[better], k[better]], far[row[better], k[better]]
        step[live[~better]] /= 3
        live = live[step[live] > FINE]
    return best
