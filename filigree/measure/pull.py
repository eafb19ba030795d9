"""Pull: the direction a piece is pulled along, and the two long sides that a cut across runs between."""

import math

import numpy as np
import shapely
from shapely import LineString, Polygon

from filigree.errors import FiligreeError
from filigree.geometry.types import FloatArray

FLAT = 1e-3  # of the length: an end this straight across the pull is an end, no part of a side


def direction(pull: str, outline: Polygon) -> FloatArray:
    """Give the unit vector of a pull: "long" (the long way of the outline), "x", "y" or degrees from x.

    Raises:
        FiligreeError: the text is none of these.
    """
    if pull == "long":
        ring = shapely.get_coordinates(shapely.oriented_envelope(outline))
        steps = np.diff(ring[:3], axis=0)
        longest = steps[np.argmax(np.hypot(*steps.T))]
        unit: FloatArray = longest / np.hypot(*longest)
        return unit if (unit[0], unit[1]) > (0.0, 0.0) else -unit
    angle = {"x": 0.0, "y": 90.0}.get(pull)
    if angle is None:
        try:
            angle = float(pull)
        except ValueError:
            angle = math.nan
        if not math.isfinite(angle):
            raise FiligreeError(
                f"{pull!r} is no direction of pull",
                remedy='write "long", "x", "y" or an angle in degrees from the x axis',
                where="[use] pull",
            )
    radians = math.radians(angle)
    return np.array([math.cos(radians), math.sin(radians)])


def sides(outline: Polygon, unit: FloatArray) -> tuple[LineString, LineString]:
    """Split the outline at its extreme points along the pull; straight ends belong to no side."""
    ring = shapely.get_coordinates(shapely.orient_polygons(outline).exterior)[:-1]
    along = ring @ unit
    length = float(np.ptp(along))
    far = _end(along >= along.max() - FLAT * length, int(np.argmax(along)))
    near = _end(along <= along.min() + FLAT * length, int(np.argmin(along)))
    return _chain(ring, far[1], near[0]), _chain(ring, near[1], far[0])


def _end(at_end: np.ndarray, extreme: int) -> tuple[int, int]:
    """First and last vertex of the run of end vertices that holds the extreme one."""
    count = len(at_end)
    first = last = extreme
    while at_end[(first - 1) % count] and (first - 1) % count != last % count:
        first = (first - 1) % count
    while at_end[(last + 1) % count] and (last + 1) % count != first % count:
        last = (last + 1) % count
    return first, last


def _chain(ring: FloatArray, start: int, stop: int) -> LineString:
    count = len(ring)
    steps = (stop - start) % count
    if steps == 0:
        return LineString([ring[start], ring[start]])
    return LineString(ring[(start + np.arange(steps + 1)) % count])
