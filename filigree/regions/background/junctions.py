"""Junctions: where lines meet, which region lies on top there, and where lines turn.

At a T, two of the three corners belong to a line that runs straight on: the region on its far side
lies on top, the other two pass beneath it.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.background.walls import OUTSIDE, Walls

REACH = 0.8  # mm: how far out directions are taken
NEAR = 0.1  # mm: where a line that passes a T must still run straight
FAR = (1.0, 2.4)  # mm: where directions are taken that a rounded corner leaves alone
SMOOTH = np.deg2rad(4.0)
STRAIGHT = (np.deg2rad(155.0), np.deg2rad(205.0))
SHARP = np.deg2rad(25.0)  # a turn in one vertex above this is a corner
POINTED = np.deg2rad(60.0)
FULL = 2 * np.pi
CORNERS = (50.0, 80.0, 115.0, 150.0, 210.0)  # degrees between the kinds of corners


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turns:
    """Counts for each region, `(n,)`; border: at a T whose top is the rim, a border band or the outside.

    Attributes:
        top: Ts it lies on top of.
        under: Ts it passes beneath.
        border: Ts at the border it runs into.
        pointed: corners of junctions narrower than 60 degrees.
        crossed: places where four lines or more meet.
        nodes: all corners at junctions.
        convex: corners of its lines that point out of it, away from junctions.
        reflex: corners of its lines that point into it, away from junctions.
        swell: smooth turning outwards (convex), rad.
        hollow: smooth turning inwards (concave), rad.
    """

    top: FloatArray
    under: FloatArray
    border: FloatArray
    pointed: FloatArray
    crossed: FloatArray
    nodes: FloatArray
    convex: FloatArray
    reflex: FloatArray
    swell: FloatArray
    hollow: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meetings:
    """Rows that meet at junctions.

    Attributes:
        over: Ts, `(k, 3)`: the row on top and the two that pass beneath, OUTSIDE where no region is.
        bar: vertex on top at each T, or OUTSIDE, `(k,)`.
        legs: vertices of the two corners beneath at each T, or OUTSIDE, `(k, 2)`.
        across: rows that face each other where four lines meet, `(m, 2)`.
    """

    over: IntArray
    bar: IntArray
    legs: IntArray
    across: IntArray


def turns(walls: Walls, count: int, edge: IntArray) -> tuple[Turns, Meetings]:
    """Count junctions and turns of `count` regions; `edge` are the rows of rim and border bands."""
    met, at, inside = meetings(walls)

    def per_region(rows: IntArray, weights: FloatArray | None = None) -> FloatArray:
        return np.bincount(rows[rows >= 0], weights, minlength=count).astype(np.float64)

    over = met.over[:, 0]
    at_border = (over == OUTSIDE) | np.isin(over, edge)
    turn = vertex_turn(walls)
    node = walls.degree >= 3
    bent = np.flatnonzero(~node & (np.abs(turn) > SHARP))
    open_turn = np.pi - corner(walls, bent)
    smooth = np.flatnonzero(~node & (np.abs(turn) <= SHARP))
    found = Turns(
        top=per_region(over[~at_border]),
        under=per_region(met.over[~at_border, 1:].ravel()),
        border=per_region(met.over[at_border, 1:].ravel()),
        pointed=per_region(walls.region[at[inside < POINTED]]),
        crossed=per_region(walls.region[at[walls.degree[at] > 3]]),
        nodes=per_region(walls.region[at]),
        convex=per_region(walls.region[bent[open_turn > SHARP]]),
        reflex=per_region(walls.region[bent[open_turn < -SHARP]]),
        swell=per_region(walls.region[smooth], np.maximum(turn[smooth], 0)),
        hollow=per_region(walls.region[smooth], np.maximum(-turn[smooth], 0)),
    )
    inner = Meetings(
        over=met.over[~at_border],
        bar=met.bar[~at_border],
        legs=met.legs[~at_border],
        across=met.across,
    )
    return found, inner


def vertex_turn(walls: Walls) -> FloatArray:
    """Turn to the left at each vertex, rad, -pi to pi."""
    ahead = walls.points[walls.after] - walls.points
    behind = walls.points - walls.points[walls.before]
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    dot = (behind * ahead).sum(axis=1)
    return np.asarray(np.arctan2(cross, dot), dtype=np.float64)


def corner(walls: Walls, at: IntArray, out_to: float = REACH) -> FloatArray:
    """Angle inside the region at vertices `at`, directions taken `out_to` mm out, rad."""
    reach = np.minimum(out_to, walls.round[at] / 6)
    out = walls.ahead(at, reach) - walls.points[at]
    back = walls.ahead(at, -reach) - walls.points[at]
    angle = np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(out[:, 1], out[:, 0])
    return np.asarray(np.mod(angle, FULL), dtype=np.float64)


def far_corner(walls: Walls, at: IntArray) -> FloatArray:
    """The same from directions between 1.0 and 2.4 mm out, whatever the lines do nearer by, rad."""
    share = np.minimum(1.0, walls.round[at] / (6 * FAR[1]))
    low, high = FAR[0] * share, FAR[1] * share
    out = walls.ahead(at, high) - walls.ahead(at, low)
    back = walls.ahead(at, -high) - walls.ahead(at, -low)
    angle = np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(out[:, 1], out[:, 0])
    return np.asarray(np.mod(angle, FULL), dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FarTurns:
    """Junctions read from farther out, where rounded corners do not reach: counts, `(n,)`.

    Attributes:
        top: Ts it lies on top of, border or not.
        under: Ts it passes beneath.
        corners: corners of junctions by width: under 50, 80, 115, 150, 210 degrees and more, `(n, 6)`.
    """

    top: FloatArray
    under: FloatArray
    corners: FloatArray


def far_turns(walls: Walls, count: int) -> FarTurns:
    """Read the junctions of `count` regions from farther out."""
    met, at, inside = meetings(walls, far=True)
    kind = np.digitize(np.rad2deg(inside), CORNERS)
    key = walls.region[at] * (len(CORNERS) + 1) + kind
    table = np.bincount(key, minlength=count * (len(CORNERS) + 1)).reshape(count, -1)
    over, under = met.over[:, 0], met.over[:, 1:].ravel()
    return FarTurns(
        top=np.bincount(over[over >= 0], minlength=count).astype(np.float64),
        under=np.bincount(under[under >= 0], minlength=count).astype(np.float64),
        corners=table.astype(np.float64),
    )


def meetings(walls: Walls, *, far: bool = False) -> tuple[Meetings, IntArray, FloatArray]:
    """Find who meets whom, the vertices at junctions and their corners, rad; from farther out if `far`."""
    at = np.flatnonzero(walls.degree >= 3)
    inside = far_corner(walls, at) if far else corner(walls, at)
    order = np.argsort(walls.spot[at], kind="stable")
    spot = walls.spot[at][order]
    first = np.flatnonzero(np.append(True, np.diff(spot) != 0)) if len(spot) else np.empty(0, int)
    seen = np.diff(np.append(first, len(spot)))
    degree = walls.degree[at][order][first] if len(spot) else np.empty(0, int)
    spots, angles = at[order], inside[order]
    three = (degree == 3) & (seen >= 2) & (seen <= 3)
    triple, width = _sectors(first[three], seen[three], 3, spots, angles)
    spin = np.argsort(-width, axis=1, kind="stable")
    triple, width = np.take_along_axis(triple, spin, 1), np.take_along_axis(width, spin, 1)
    is_t = (width[:, 0] > STRAIGHT[0]) & (width[:, 0] < STRAIGHT[1])
    bar = np.maximum(triple[:, 0], 0)
    if not far:
        is_t &= (triple[:, 0] == OUTSIDE) | (np.abs(np.pi - corner(walls, bar, NEAR)) < SMOOTH)
    four = (degree == 4) & (seen == 4)
    met = Meetings(
        over=np.where(triple == OUTSIDE, OUTSIDE, walls.region[triple])[is_t],
        bar=triple[is_t, 0],
        legs=triple[is_t, 1:],
        across=_facing(walls, at[order], first[four]),
    )
    return met, at, inside


def _sectors(
    first: IntArray, seen: IntArray, count: int, spots: IntArray, angles: FloatArray
) -> tuple[IntArray, FloatArray]:
    """Vertices and corners round each place, `(k, count)`; what no region fills is OUTSIDE."""
    which = first[:, None] + np.minimum(np.arange(count), seen[:, None] - 1)
    held = np.arange(count) < seen[:, None]
    vertex = np.where(held, spots[which] if len(spots) else OUTSIDE, OUTSIDE)
    width = np.where(held, angles[which] if len(angles) else 0.0, 0.0)
    width = np.where(held, width, FULL - width.sum(axis=1, keepdims=True))
    return vertex, width


def _facing(walls: Walls, at: IntArray, first: IntArray) -> IntArray:
    """Rows opposite each other at places where four regions meet, by the heading of their corners."""
    which = at[first[:, None] + np.arange(4)] if len(first) else np.empty((0, 4), dtype=np.int64)
    ends = walls.points[walls.after[which]] - walls.points[which]
    turn = np.argsort(np.arctan2(ends[..., 1], ends[..., 0]), axis=1, kind="stable")
    ring = np.take_along_axis(walls.region[which], turn, 1)
    return np.concatenate([ring[:, [0, 2]], ring[:, [1, 3]]])
