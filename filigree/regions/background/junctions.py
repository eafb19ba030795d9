"""Junctions: where lines meet, which region lies on top there, and where lines turn.

At a T, two of the three corners belong to a line that runs straight on: the region on its far side
lies on top, the other two pass beneath it.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.background.walls import Walls

REACH = 0.8  # mm: how far out directions are taken
STRAIGHT = (np.deg2rad(155.0), np.deg2rad(205.0))
SHARP = np.deg2rad(25.0)  # a turn in one vertex above this is a corner
POINTED = np.deg2rad(60.0)
FULL = 2 * np.pi


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


def turns(walls: Walls, count: int, edge: IntArray) -> Turns:
    """Count junctions and turns of `count` regions; `edge` are the rows of rim and border bands."""
    node = walls.degree >= 3

    def per_region(rows: IntArray, weights: FloatArray | None = None) -> FloatArray:
        return np.bincount(walls.region[rows], weights, minlength=count).astype(np.float64)

    at = np.flatnonzero(node)
    inside = corner(walls, at)
    role = roles(walls, at, inside, edge)
    turn = vertex_turn(walls)
    bent = np.flatnonzero(~node & (np.abs(turn) > SHARP))
    open_turn = np.pi - corner(walls, bent)
    smooth = np.flatnonzero(~node & (np.abs(turn) <= SHARP))
    return Turns(
        top=per_region(at[role == 1]),
        under=per_region(at[role == 2]),
        border=per_region(at[role == 3]),
        pointed=per_region(at[inside < POINTED]),
        crossed=per_region(at[walls.degree[at] > 3]),
        nodes=per_region(at),
        convex=per_region(bent[open_turn > SHARP]),
        reflex=per_region(bent[open_turn < -SHARP]),
        swell=per_region(smooth, np.maximum(turn[smooth], 0)),
        hollow=per_region(smooth, np.maximum(-turn[smooth], 0)),
    )


def vertex_turn(walls: Walls) -> FloatArray:
    """Turn to the left at each vertex, rad, -pi to pi."""
    ahead = walls.points[walls.after] - walls.points
    behind = walls.points - walls.points[walls.before]
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    dot = (behind * ahead).sum(axis=1)
    return np.asarray(np.arctan2(cross, dot), dtype=np.float64)


def corner(walls: Walls, at: IntArray) -> FloatArray:
    """Angle inside the region at vertices `at`, directions taken REACH mm out, rad."""
    reach = np.minimum(REACH, walls.round[at] / 6)
    out = walls.ahead(at, reach) - walls.points[at]
    back = walls.ahead(at, -reach) - walls.points[at]
    angle = np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(out[:, 1], out[:, 0])
    return np.asarray(np.mod(angle, FULL), dtype=np.float64)


def roles(walls: Walls, at: IntArray, inside: FloatArray, edge: IntArray) -> IntArray:
    """Part each corner plays at a three-way node: 1 on top, 2 beneath, 3 beneath the border, 0 none."""
    if len(at) == 0:
        return np.zeros(0, dtype=np.int64)
    _, place = np.unique(walls.spot[at], return_inverse=True)
    spots = int(place.max()) + 1
    seen = np.bincount(place, minlength=spots)
    total = np.bincount(place, inside, minlength=spots)
    outside = np.where(seen == 2, FULL - total, 0.0)  # the corner that no region fills
    order = np.lexsort((inside, place))
    last = np.append(place[order][1:] != place[order][:-1], True)
    widest = np.zeros(spots, dtype=np.int64)
    widest[place[order][last]] = order[last]
    three = np.bincount(place, walls.degree[at] == 3, minlength=spots) > 0
    width = np.maximum(inside[widest], outside)
    is_t = three & (width > STRAIGHT[0]) & (width < STRAIGHT[1])
    on_edge = np.isin(walls.region[at[widest]], edge)
    border = (outside >= width) | on_edge
    role = np.where(is_t[place], np.where(border[place], 3, 2), 0)
    top = is_t & (outside < width)
    role[widest[top & ~border]] = 1
    role[widest[top & border]] = 0
    return role
