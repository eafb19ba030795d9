"""Bends: how the walls of each region turn, read at even steps.

So no way of flattening or of joining pieces shows. What turns within a millimetre is a corner, sharp or
rounded; the rest is a curve.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.background.walls import Walls

STEP = 0.4  # mm between readings
WINDOW = 0.7  # mm to both sides over which a turn is read
FEWEST, MOST = 12, 6000  # readings on one ring
TIGHT = 1.2  # mm: turns of less radius are corners
FLAT = 40.0  # mm: turns of more radius are straight
FULL = 2 * np.pi


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bends:
    """Turning of each region's walls away from junctions, `(n,)`; out is convex, in is concave.

    Attributes:
        corner_out: full turns in corners that point out.
        corner_in: full turns in corners that point in.
        curve_out: full turns in convex curves.
        curve_in: full turns in concave curves.
        long_out: share of wall that is a convex curve.
        long_in: share of wall that is a concave curve.
        long_straight: share of wall that is straight.
        fullness: mean bend of the curves times the region's thickness: 1 for a disc, -2 to 2.
    """

    corner_out: FloatArray
    corner_in: FloatArray
    curve_out: FloatArray
    curve_in: FloatArray
    long_out: FloatArray
    long_in: FloatArray
    long_straight: FloatArray
    fullness: FloatArray


def bends(walls: Walls, thick: FloatArray) -> Bends:
    """Read the turning of every region's walls; `thick` are the regions' radii, mm."""
    count = len(thick)
    region, length, turn, clear = _readings(walls)
    bend = turn / WINDOW
    tight = clear & (np.abs(bend) > 1 / TIGHT)
    curve = clear & ~tight & (np.abs(bend) > 1 / FLAT)
    straight = clear & ~tight & ~curve

    def gathered(mask: BoolArray, values: FloatArray) -> FloatArray:
        return np.bincount(region[mask], values[mask], minlength=count).astype(np.float64)

    turned = bend * length
    whole = np.maximum(gathered(np.ones(len(region), dtype=bool), length), 1e-9)
    curved = np.maximum(gathered(curve, length), 1e-9)
    return Bends(
        corner_out=gathered(tight & (bend > 0), turned) / FULL,
        corner_in=gathered(tight & (bend < 0), -turned) / FULL,
        curve_out=gathered(curve & (bend > 0), turned) / FULL,
        curve_in=gathered(curve & (bend < 0), -turned) / FULL,
        long_out=gathered(curve & (bend > 0), length) / whole,
        long_in=gathered(curve & (bend < 0), length) / whole,
        long_straight=gathered(straight, length) / whole,
        fullness=np.clip(gathered(curve, turned) / curved * thick, -2.0, 2.0),
    )


def _readings(walls: Walls) -> tuple[IntArray, FloatArray, FloatArray, BoolArray]:
    """Region, length of wall, turn over the window, and whether it is clear of junctions, a reading."""
    first = np.flatnonzero(np.append(True, np.diff(walls.ring) != 0))
    around = walls.round[first]
    each = np.clip(np.rint(around / STEP), FEWEST, MOST).astype(np.int64)
    ring = np.repeat(np.arange(len(first)), each)
    place = np.arange(len(ring)) - np.repeat(np.cumsum(each) - each, each)
    along = (place + 0.5) * (around / each)[ring]
    reach = np.minimum(WINDOW, around / 8)[ring]
    vertex = first[ring]
    here = walls.ahead(vertex, along)
    ahead = walls.ahead(vertex, along + reach) - here
    behind = here - walls.ahead(vertex, along - reach)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    turn = np.arctan2(cross, (behind * ahead).sum(axis=1)) * WINDOW / reach
    clear = ~_near_node(walls, first, ring, along, reach)
    return walls.region[vertex], (around / each)[ring], turn, clear


def _near_node(
    walls: Walls, first: IntArray, ring: IntArray, along: FloatArray, reach: FloatArray
) -> BoolArray:
    """True for readings within `reach` of a junction on their ring."""
    node = np.flatnonzero(walls.degree >= 3)
    if len(node) == 0:
        return np.zeros(len(ring), dtype=bool)
    own = np.searchsorted(first, node, side="right") - 1
    at, around = walls.way[node] - walls.start[node], walls.round[node]
    room = 4 * float(walls.round.max())  # keeps the rings apart on one line of numbers
    # each junction also stands a ring's length before and after itself, so that the seam is no end
    spots = np.sort(np.concatenate([own * room + at + k * around for k in (-1, 0, 1)]))
    place = ring * room + along
    next_up = np.searchsorted(spots, place)
    above = spots[np.minimum(next_up, len(spots) - 1)]
    below = spots[np.maximum(next_up - 1, 0)]
    found: BoolArray = np.minimum(np.abs(above - place), np.abs(place - below)) < reach
    return found
