"""Pull: the direction a piece is pulled along, and the two long sides that a cut across runs between."""

import math

import numpy as np
import shapely
from shapely import LineString, Polygon

from filigree.errors import FiligreeError
from filigree.geometry.types import FloatArray

FLAT = 1e-3  # of the length: an end this straight across the pull is an end, no part of a side
ENDS = (FLAT, *(0.02 * k for k in range(1, 13)))  # of the length: how far an end may reach
BROAD = 0.5  # of the width: an end is where the piece is held, so it is at least this broad


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
    """Split the outline into its two long sides.

    The ends between them lie at the extreme points along the pull: a straight end as it is, a round or
    pointed one back to where the piece is half as broad as it gets, since that is where it can be held.
    """
    solid = shapely.orient_polygons(outline).exterior
    ring = shapely.get_coordinates(shapely.segmentize(solid, solid.length / 400))[:-1]
    along, across = ring @ unit, ring @ np.array([-unit[1], unit[0]])
    far = _held(along, across)
    near = _held(-along, across)
    return _chain(ring, far[1], near[0]), _chain(ring, near[1], far[0])


def _held(along: FloatArray, across: FloatArray) -> tuple[int, int]:
    """First and last vertex of the end where `along` is greatest."""
    extreme, length = int(np.argmax(along)), float(np.ptp(along))
    first = last = extreme
    for share in ENDS:
        first, last = _end(along >= along[extreme] - share * length, extreme)
        if abs(across[first] - across[last]) >= BROAD * np.ptp(across):
            break
    return first, last


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
