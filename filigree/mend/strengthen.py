"""Strengthen: the weakest way across the pull is widened, gap by gap, until it has the share that is wanted."""

import math

import numpy as np
import shapely
from shapely import Point

from filigree.geometry.types import XY
from filigree.job import CutLoss, Limits
from filigree.measure.finished import finished
from filigree.measure.model import EDGE, Neck, Side
from filigree.measure.necks import neck_lines
from filigree.measure.section import Section, weakest
from filigree.mend.account import Account
from filigree.mend.listed import Listed
from filigree.mend.model import Change, Unmended
from filigree.mend.patches import Wish, patches
from filigree.mend.taking import take
from filigree.pattern import as_area

OVER = 0.004  # mm: arcs are written as chords
NEAR = 0.05  # mm: a neck this near a gap is that gap
ROUNDS = 100  # ways widened
DONE = 1e-6  # of the share


def strengthen(
    account: Account, limits: Limits, entries: Listed, *, loss: CutLoss, pull: str
) -> list[Unmended]:
    """Widen the gaps of the weakest way across, all in proportion, until none is weaker than wanted.

    A gap whose openings would lose more than they may stays as it is, and the others of its way give more.
    With a list of entries only those are widened, in the list's order.

    Returns:
        The way that is still too weak, when there is one.
    """
    if entries.only:
        _again(account, limits, entries)
        return []
    if limits.section is None:
        return []
    stuck: set[XY] = set()
    for _ in range(ROUNDS):
        section = weakest(finished(account.pattern, loss), pull=pull)
        if section is None or section.share >= limits.section - DONE:
            return []
        wider = _wider(account, section, limits.section, stuck, loss)
        if not wider:
            return [_too_weak(section, limits.section)]
        for at, width in wider:
            if not (
                entries.asks("strengthen", at, width)
                and _widen(account, at, width, limits, within=True)
            ):
                stuck.add(_place(at))
    section = weakest(finished(account.pattern, loss), pull=pull)
    if section is None or section.share >= limits.section - DONE:
        return []
    return [_too_weak(section, limits.section)]


def _again(account: Account, limits: Limits, entries: Listed) -> None:
    """Widen the places that the entries name, one after the other, as they were widened before."""
    for number, entry in enumerate(entries.entries):
        if entry.how == "strengthen" and entry.as_drawn:
            entries.met[number] = True
        elif entry.how == "strengthen" and entry.width is not None:
            entries.met[number] = _widen(account, entry.at, entry.width, limits, within=False)


def _wider(
    account: Account, section: Section, wanted: float, stuck: set[XY], loss: CutLoss
) -> list[tuple[XY, float]]:
    """Give the gaps of a way that can be widened, each with its width, in proportion to what is missing."""
    missing = section.width * (wanted / section.share - 1) if section.share > 0 else 0.0
    most = max((math.dist(a, b) for a, b in section.gaps), default=0.0)
    both = 2 * (loss.char + loss.bevel) + NEAR
    if most + both <= 0:
        return []
    _, _, necks = neck_lines(account.pattern, under=most + both)
    free: list[tuple[float, Neck]] = []
    for gap in section.gaps:
        middle = ((gap[0][0] + gap[1][0]) / 2, (gap[0][1] + gap[1][1]) / 2)
        length = math.dist(*gap)
        sides = {_side(account, at, loss) for at in gap}
        near = [
            neck
            for neck in necks
            if set(neck.between) == sides
            and neck.width <= length + both
            and _place(neck.middle) not in stuck
        ]
        if near and sides != {EDGE}:
            free.append((length, min(near, key=lambda n: (math.dist(n.middle, middle), n.middle))))
    total = sum(length for length, _ in free)
    return [
        (
            (round(neck.middle[0], 4), round(neck.middle[1], 4)),
            round(neck.width + missing * length / total + OVER, 4),
        )
        for length, neck in free
        if total > 0
    ]


def _side(account: Account, at: XY, loss: CutLoss) -> Side:
    """Give the opening that an end of a gap lies on, else the edge."""
    openings = account.pattern.openings
    apart = shapely.distance([o.shape for o in openings], Point(at)) if openings else np.zeros(0)
    if not len(apart) or float(apart.min()) > loss.char + loss.bevel + NEAR:
        return EDGE
    return openings[int(np.argmin(apart))].id


def _widen(account: Account, at: XY, width: float, limits: Limits, *, within: bool) -> bool:
    """Widen the neck at a place; False, and nothing done, when none is there or (`within`) it costs too much."""
    found, rows, necks = neck_lines(account.pattern, under=width)
    near = [
        (math.dist(neck.middle, at), row, neck)
        for row, neck in zip(rows, necks, strict=True)
        if math.dist(neck.middle, at) <= NEAR
    ]
    if not near:
        return False
    _, row, neck = min(near, key=lambda n: n[:2])
    spared = EDGE if EDGE in neck.between else None
    made = patches(found, [Wish(row=row, neck=neck, width=width, spared=spared)], about=width)
    taken = take(account.pattern.openings, made, limits, spared=())
    if not taken.parts or (within and account.over(taken, limits.change)):
        return False
    shapes = [o.shape for o in account.pattern.openings if o.id in taken.parts]
    change = Change(
        how="strengthen",
        at=at,
        why="The weakest way across the pull runs through here.",
        before=neck.width,
        after=width,
        lost=tuple(sorted(taken.lost.items())),
        added=as_area(made[0].leather.shape.intersection(shapely.union_all(shapes))),
    )
    account.record(taken.parts, taken.lost, [change])
    return True


def _place(at: XY) -> XY:
    return round(at[0], 2), round(at[1], 2)


def _too_weak(section: Section, wanted: float) -> Unmended:
    x, y = zip(*section.line, strict=True)
    return Unmended(
        at=(sum(x) / len(x), sum(y) / len(y)),
        why="the openings on the weakest way across would lose more than they may",
        width=section.width,
        wanted=section.width * wanted / section.share if section.share > 0 else wanted,
    )
