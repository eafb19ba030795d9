"""Easing: where leather that mending has added meets the drawn edge at an angle, the edge is led over smoothly.

A strand made wider ends in a round against what it runs into; the nook beside that round is filled with a curve that
leaves both edges in their own direction. Corners as they were drawn stay so, also where they have moved. Only openings
that have given leather alone are looked at: where both sides give, each moves half as far.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from filigree.geometry.leadover import led_over, with_rings
from filigree.geometry.types import XY, FloatArray
from filigree.job import Limits
from filigree.mend.account import Account
from filigree.mend.axis import Axis
from filigree.mend.rounding import ALIKE, ON, counted
from filigree.pattern import Opening

KINK = math.radians(15)  # a join that turns less is not seen
CORNER = math.radians(40)  # a drawn corner that turns so much is one, and stays one when it moves
MORE = math.radians(20)  # that such a corner may turn more where it has moved
LEADS = (0.7, 0.35)  # of the wanted width: how much of an edge a curve takes on each side of a join
DEAR = 0.1  # of what an opening has lost: curves may take so much more

Joins = list[list[int]]  # for each ring of an opening the vertices that are joins


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Turns:
    """Vertices of one opening's rings that turn by a kink, to either side.

    Attributes:
        rings: closed, shell first; the opening lies left of each.
        vertex: for each ring the vertices that turn.
        turn: by how many radians, left positive.
    """

    rings: tuple[FloatArray, ...]
    vertex: tuple[list[int], ...]
    turn: tuple[list[float], ...]


def eased(account: Account, drawn: Sequence[Opening], limits: Limits) -> None:
    """Lead joins over, and count what that adds to the change beside them.

    Args:
        account: after all leather was added.
        drawn: the openings before it.
        limits: the wanted width, and what an opening may lose.
    """
    known = {id(o.shape) for o in drawn}
    alone = {
        account.owner[change.lost[0][0]] for change in account.changes if len(change.lost) == 1
    }
    changed = [
        o
        for o in account.pattern.openings
        if id(o.shape) not in known and account.owner[o.id] in alone
    ]
    if not changed:
        return
    touched = {account.owner[o.id] for o in changed}
    were: dict[int, list[tuple[XY, float]]] = {}
    for o in drawn:
        if account.owner[o.id] in touched:
            were.setdefault(account.owner[o.id], []).extend(_corners(_turns(o.shape)))
    turns = [_turns(o.shape) for o in changed]
    edge = account.pattern.outline.boundary
    shapely.prepare(edge)
    joins = [
        _joins(found, were.get(account.owner[o.id], []), edge, limits.bridge.good)
        for o, found in zip(changed, turns, strict=True)
    ]
    for axis in account.axes:
        joins = _alike(turns, joins, axis)
    room = _room(account, changed, limits)
    shapes: dict[int, tuple[Polygon]] = {}
    curves: list[tuple[int, Polygon]] = []
    for o, found, own in zip(changed, turns, joins, strict=True):
        owner = account.owner[o.id]
        for lead in LEADS if any(own) else ():
            done = _led(o.shape, found, own, lead * limits.bridge.good)
            if done is None:
                break
            shape, parts = done
            cost = o.area_mm2 - float(shape.area)
            if shape.area >= limits.opening_area_mm2 and cost <= room[owner]:
                account.lost[owner] = account.lost.get(owner, 0.0) + cost
                room[owner] -= cost
                shapes[o.id] = (shape,)
                curves += [(o.id, part) for part in parts]
                break
    if shapes:  # all at once: the land is worked out anew for each record
        account.record(shapes, {}, [])
        counted(account, curves)


def _room(account: Account, changed: Sequence[Opening], limits: Limits) -> dict[int, float]:
    """Area that curves may take from each opening as drawn, mm2: a share of what it has lost, within its limit."""
    return {
        owner: min(DEAR * lost, limits.change * account.drawn[owner] - lost)
        for owner in {account.owner[o.id] for o in changed}
        for lost in (account.lost.get(owner, 0.0),)
    }


def _joins(
    found: _Turns, drawn: Sequence[tuple[XY, float]], edge: BaseGeometry, width: float
) -> Joins:
    """Give for each ring the kinks that are no corners of the drawing and do not lie on the edge of the piece."""
    return [
        [
            k
            for k, by in zip(vertex, turn, strict=True)
            if by > 0
            and not _own((float(ring[k, 0]), float(ring[k, 1])), by, drawn, width)
            and not edge.dwithin(Point(ring[k]), ON)
        ]
        for ring, vertex, turn in zip(found.rings, found.vertex, found.turn, strict=True)
    ]


def _alike(turns: Sequence[_Turns], joins: Sequence[Joins], axis: Axis) -> list[Joins]:
    """Keep the joins whose mirror image is one too, so that halves stay alike."""
    at = [
        (float(found.rings[r][k, 0]), float(found.rings[r][k, 1]))
        for found, own in zip(turns, joins, strict=True)
        for r, ring in enumerate(own)
        for k in ring
    ]
    left = iter(axis.paired(at))
    return [[[k for k in ring if next(left)] for ring in own] for own in joins]


def _led(
    shape: Polygon, found: _Turns, joins: Joins, reach: float
) -> tuple[Polygon, list[Polygon]] | None:
    """Lead the joins of one opening over; None when nothing comes of it."""
    rings, parts = [], []
    for ring, vertex, turn, own in zip(found.rings, found.vertex, found.turn, joins, strict=True):
        if not own:
            rings.append(ring)
            continue
        corners = [k for k, by in zip(vertex, turn, strict=True) if abs(by) >= CORNER]
        made = led_over(ring, own, reach=[reach] * len(own), fixed=corners)
        rings.append(made.ring)
        parts += [part for part in made.parts if part is not None]
    done = with_rings(shape, rings) if parts else None
    return None if done is None else (done, parts)


def _turns(shape: Polygon) -> _Turns:
    rings, vertices, turns = [], [], []
    for k, line in enumerate(shapely.get_rings(shape).tolist()):
        ring = np.asarray(line.coords, dtype=np.float64)
        ring = ring if line.is_ccw == (k == 0) else ring[::-1]
        step = np.diff(ring, axis=0)
        before = np.roll(step, 1, axis=0)
        turn = np.arctan2(
            before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0], (before * step).sum(axis=1)
        )
        vertex = np.flatnonzero(np.abs(turn) >= KINK)
        rings.append(ring)
        vertices.append(vertex.tolist())
        turns.append(turn[vertex].tolist())
    return _Turns(rings=tuple(rings), vertex=tuple(vertices), turn=tuple(turns))


def _corners(found: _Turns) -> list[tuple[XY, float]]:
    """Give the kinks of an opening's edge that leave a nook of the opening, with their turning."""
    return [
        ((float(ring[k, 0]), float(ring[k, 1])), by)
        for ring, vertex, turn in zip(found.rings, found.vertex, found.turn, strict=True)
        for k, by in zip(vertex, turn, strict=True)
        if by > 0
    ]


def _own(at: XY, turn: float, drawn: Sequence[tuple[XY, float]], within: float) -> bool:
    """Say whether a kink is a corner of the drawing, which may have moved."""
    return any(
        turn <= most + (MORE if most >= CORNER else ALIKE) and math.dist(at, was) <= within
        for was, most in drawn
    )
