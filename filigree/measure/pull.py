"""Pull: the direction a piece is pulled along, its two ends, and the sides that a cut across runs between."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, Polygon

from filigree.errors import FiligreeError
from filigree.geometry.types import FloatArray

FLAT = 1e-3  # of the length: an end this straight across the pull is an end, no part of a side
ENDS = (FLAT, *(0.02 * k for k in range(1, 13)))  # of the length: how far an end may reach
LEVEL = 1e-3  # of the area: an upright rectangle this near the smallest is taken, as round a disc
BROAD = 0.5  # of the width: an end is where the piece is held, so it is at least this broad


def direction(pull: str, outline: Polygon) -> FloatArray:
    """Give the unit vector along a piece: its pull, the way that stretch and strength are told by.

    Args:
        pull: "long" for the long side of the smallest rectangle round the outline, level when it has none; "x",
            "y", or an angle in degrees from the x axis toward y.
        outline: the piece, mm.

    Raises:
        FiligreeError: the text is none of these.
    """
    if pull == "long":
        return _long(outline)
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


def _long(outline: Polygon) -> FloatArray:
    left, top, right, bottom = outline.bounds
    box = shapely.get_coordinates(shapely.oriented_envelope(outline))
    sides = np.diff(box[:3], axis=0)
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    plain = (right - left) * (bottom - top)
    if plain <= lengths[0] * lengths[1] * (1 + LEVEL):
        return np.array([1.0, 0.0] if right - left >= bottom - top else [0.0, 1.0])
    unit: FloatArray = sides[int(np.argmax(lengths))] / lengths.max()
    return unit if (unit[0], unit[1]) > (0.0, 0.0) else -unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Borders:
    """The outline parted by its two ends.

    Attributes:
        sides: the two long sides that a cut across runs between.
        notches: stretches of outline between the parts of an end, as between the two legs of a flap; no
            leather is cut along them.
    """

    sides: tuple[LineString, LineString]
    notches: tuple[LineString, ...]


def borders(outline: Polygon, unit: FloatArray) -> Borders:
    """Part the outline into its two long sides and what lies between them.

    The ends between the sides lie at the extreme points along the pull: a straight end as it is, a round or
    pointed one back to where the piece is half as broad as it gets, since that is where it can be held. An
    end may have several parts, such as two lobes of one height, whose breadths add up.
    """
    solid = shapely.orient_polygons(outline).exterior
    ring = shapely.get_coordinates(shapely.segmentize(solid, solid.length / 400))[:-1]
    along, across = ring @ unit, ring @ np.array([-unit[1], unit[0]])
    far, near = _held(along, across), _held(-along, across)
    return Borders(
        sides=(_chain(ring, far[-1][1], near[0][0]), _chain(ring, near[-1][1], far[0][0])),
        notches=tuple(
            _chain(ring, one[1], two[0]) for end in (far, near) for one, two in pairwise(end)
        ),
    )


def _held(along: FloatArray, across: FloatArray) -> list[tuple[int, int]]:
    """First and last vertex of each part of the end where `along` is greatest, in order round the outline."""
    extreme, length = float(along.max()), float(np.ptp(along))
    order = (int(np.argmin(along)) + np.arange(len(along))) % len(along)
    parts: list[tuple[int, int]] = []
    for share in ENDS:
        at_end = np.flatnonzero(along[order] >= extreme - share * length)
        starts = np.flatnonzero(np.diff(at_end, prepend=-2) > 1)
        stops = np.append(starts[1:], len(at_end)) - 1
        first, last = order[at_end[starts]].tolist(), order[at_end[stops]].tolist()
        parts = list(zip(first, last, strict=True))
        if np.abs(across[first] - across[last]).sum() >= BROAD * np.ptp(across):
            break
    return parts


def _chain(ring: FloatArray, start: int, stop: int) -> LineString:
    count = len(ring)
    steps = (stop - start) % count
    if steps == 0:
        return LineString([ring[start], ring[start]])
    return LineString(ring[(start + np.arange(steps + 1)) % count])
