"""Punch schedule: which round punches end the tight inside corners of the openings (handbook 2.2, 2.5).

A blade leaves a sharp inside corner from which leather tears. A round punch set into the corner first, touching
both sides of it, ends the cut in a curve.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.offset import grown, shrunk
from filigree.geometry.poles import poles
from filigree.geometry.types import XY, Area, BoolArray, FloatArray, IntArray
from filigree.job.punches import SIZES, least_punch
from filigree.measure.openings import CORNER
from filigree.pattern import Opening

TRADE = (  # number and mm; small numbers agree between makers, above 4 they do not (handbook 2.5)
    ("00", 1.59),
    ("0", 1.98),
    ("1", 2.38),
    ("2", 2.78),
    ("3", 3.18),
    ("4", 3.57),
    ("5", 3.97),
    ("6", 4.76),
    ("7", 5.16),
    ("8", 5.56),
    ("9", 6.35),
    ("10", 7.14),
    ("12", 7.94),
)
ALIKE = 0.15  # mm: a trade size this near is named; a hole in leather closes by as much
SHARP = 1 / math.cos(CORNER / 2) - 1  # radii of tip that a disc leaves over in the flattest corner
ON = 0.01  # mm: a corner this near what a disc leaves over is a corner of that
LOSS = 1.2  # diameters of tip that a punch may leave over
LOSS_OF_SMALLEST = 3.0  # the same for the smallest one, in tips that no other fits
SHARE = 0.9  # of an opening's inner radius: corners of narrow openings are looked for with this
INSIDE = 0.003  # mm: a punch stays this much inside its opening; round joins are off by 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Punch:
    """One punched hole: diameter and centre, mm, the opening it ends, the tip of the corner."""

    diameter: float
    at: XY
    opening: int
    corner: XY


@dataclass(frozen=True, slots=True, kw_only=True)
class PunchSchedule:
    """Punches in the order of the openings, and the tight corners that none of them ends.

    `corners` counts the tight corners, those and the ones that punches end; a punch may end two that are close.
    """

    punches: tuple[Punch, ...]
    knife_only: tuple[XY, ...]
    corners: int = 0

    @property
    def counts(self) -> tuple[tuple[float, int], ...]:
        """Number of holes of each diameter, smallest first."""
        return tuple(sorted(Counter(p.diameter for p in self.punches).items()))


def trade_number(diameter: float) -> str:
    """Trade number of the round punch nearest to a diameter, "" when none is near.

    >>> trade_number(2.0), trade_number(3.0)
    ('0', '')
    """
    name, size = min(TRADE, key=lambda row: (abs(row[1] - diameter), row[0]))
    return name if abs(size - diameter) <= ALIKE else ""


def punch_schedule(
    openings: Sequence[Opening],
    tight: Sequence[Sequence[XY]],
    *,
    radius: float,
    least: float = 0.0,
) -> PunchSchedule:
    """Choose for each tight inside corner the largest punch that fits it and lies wholly in the opening.

    Args:
        openings: as they are cut.
        tight: the tight corners of each, which are those that the check tells.
        radius: mm; corners rounder than this are left alone, and no punch is larger than the size that gives
            it (half the thickness of the face is wanted).
        least: mm; no punch is smaller than the one that gives this radius, the limit of the check.

    Raises:
        ValueError: `radius` is not above 0.
    """
    if not radius > 0:
        raise ValueError("radius must be above 0")
    tips, owner, left_over = _tips([o.shape for o in openings], radius)
    corner, at = _corners_of(tight, owner, left_over)
    if not len(tips):
        rest = [(x, y) for own in tight for x, y in own]
        return PunchSchedule(punches=(), knife_only=tuple(rest), corners=len(rest))
    smallest = min(least_punch(least), SIZES[-1])
    largest = max(smallest, min(least_punch(radius), SIZES[-1]))
    centres, size = np.zeros((len(tips), 2)), np.zeros(len(tips))
    for diameter in (s for s in reversed(SIZES) if smallest <= s <= largest):
        left = np.flatnonzero(size == 0)
        rooms = {
            o: shrunk(openings[o].shape, diameter / 2 + INSIDE, corners=False)
            for o in sorted({owner[k] for k in left.tolist()})
        }
        loss = LOSS_OF_SMALLEST if diameter == smallest else LOSS
        here = [rooms[owner[k]] for k in left.tolist()]
        spots, fits = _set_in(here, tips[left], diameter, loss * diameter)
        centres[left[fits]], size[left[fits]] = spots[fits], diameter
    wanted = np.bincount(corner[corner >= 0], minlength=len(tips)) > 0
    reach = np.hypot(*(at - centres[corner]).T) - size[corner] / 2
    most = np.where(size == smallest, LOSS_OF_SMALLEST, LOSS) * size
    ended = (corner >= 0) & (size[corner] > 0) & (reach <= most[corner] + ON)
    punches = tuple(
        Punch(
            diameter=float(size[k]),
            at=(float(centres[k, 0]), float(centres[k, 1])),
            opening=openings[owner[k]].id,
            corner=(float(tips[k, 0]), float(tips[k, 1])),
        )
        for k in np.flatnonzero((size > 0) & wanted).tolist()
    )
    by_blade = tuple((x, y) for x, y in at[~ended].tolist())
    return PunchSchedule(punches=punches, knife_only=by_blade, corners=len(at))


def _corners_of(
    tight: Sequence[Sequence[XY]], owner: Sequence[int], left_over: Sequence[shapely.Geometry]
) -> tuple[IntArray, FloatArray]:
    """Find for each tight corner the tip of the part, left over in its opening, that it is a corner of; -1 for none."""
    at = np.array([spot for own in tight for spot in own], dtype=float).reshape(-1, 2)
    of = np.repeat(np.arange(len(tight)), [len(own) for own in tight])
    corner = np.full(len(at), -1)
    if len(at) and len(left_over):
        tree = shapely.STRtree(list(left_over))
        k, part = tree.query(shapely.points(at), predicate="dwithin", distance=ON)
        own = np.asarray(owner)[part] == of[k]
        corner[k[own]] = part[own]
    return corner, at


def _tips(
    shapes: Sequence[Polygon], radius: float
) -> tuple[FloatArray, list[int], list[shapely.Geometry]]:
    """Tips of the corners that a disc cannot reach, the opening of each, and what the disc leaves over there."""
    tips: list[tuple[XY, shapely.Geometry]] = []
    owner: list[int] = []
    if not shapes:
        return np.empty((0, 2)), owner, []
    _, room = poles(list(shapes))
    for k, (shape, inner) in enumerate(zip(shapes, room.tolist(), strict=True)):
        disc = min(radius, SHARE * inner)
        centres = shrunk(shape, disc, corners=False)
        found = _corners(shape.difference(grown(centres, disc)), centres, disc)
        tips += sorted(found, key=lambda tip: (tip[0][1], tip[0][0]))
        owner += [k] * len(found)
    return np.array([at for at, _ in tips]).reshape(-1, 2), owner, [part for _, part in tips]


def _corners(
    left_over: shapely.Geometry, centres: Area, disc: float
) -> list[tuple[XY, shapely.Geometry]]:
    """Tips of what a disc leaves over, where it is far from the disc: the farthest point of each such part."""
    parts = shapely.get_parts(left_over)
    points, part = shapely.get_coordinates(parts, return_index=True)
    off = np.asarray(shapely.distance(shapely.points(points), centres))
    farthest = np.zeros(len(parts))
    np.maximum.at(farthest, part, off)
    lobes = shapely.get_parts(centres)
    found = []
    for k in np.flatnonzero(farthest > disc * (1 + SHARP)).tolist():
        if (shapely.distance(lobes, parts[k]) < disc * (1 + SHARP / 2)).sum() > 1:
            continue  # a narrow place between two wider ones is no corner
        own = np.flatnonzero(part == k)
        x, y = points[own[np.argmax(np.round(off[own], 9))]].tolist()
        found.append(((x, y), parts[k]))
    return found


def _set_in(
    rooms: Sequence[Area], tips: FloatArray, diameter: float, loss: float
) -> tuple[FloatArray, BoolArray]:
    """Push a punch into each corner; its centre, and whether it leaves over no more than `loss` mm.

    The centre lies in the room that a punch has in its opening, as near to the tip as it comes.
    """
    spots, fits = np.zeros((len(tips), 2)), np.zeros(len(tips), dtype=bool)
    held = np.array([*rooms, None], dtype=object)[:-1]
    some = np.flatnonzero(~shapely.is_empty(held))
    lines = shapely.shortest_line(held[some], shapely.points(tips[some]))
    spots[some] = shapely.get_coordinates(lines)[::2]
    fits[some] = shapely.length(lines) - diameter / 2 <= loss
    return spots, fits
