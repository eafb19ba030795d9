"""Strengthen: the weakest way across the pull is widened, gap by gap, until it has the share that is wanted."""

import math
from dataclasses import dataclass

import shapely

from filigree.geometry.necks import NeckLines
from filigree.geometry.types import XY
from filigree.job import CutLoss, Limits
from filigree.measure.finished import finished
from filigree.measure.model import EDGE, Neck
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
ROUNDS = 200  # gaps widened
DONE = 1e-6  # of the share


@dataclass(frozen=True, slots=True, kw_only=True)
class _Gap:
    """A gap of the weakest way as a neck of the face as drawn, and how much wider it is to be, mm."""

    row: int
    neck: Neck
    found: NeckLines
    more: float


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
        gap = _widest_need(account, section, limits.section, stuck)
        if gap is None:
            return [_too_weak(section, limits.section)]
        width = round(gap.neck.width + gap.more + OVER, 4)
        if not entries.asks("strengthen", gap.neck.middle, width) or not _widen(
            account, gap.found, gap.row, gap.neck, width, limits, within=True
        ):
            stuck.add(_place(gap.neck.middle))
    section = weakest(finished(account.pattern, loss), pull=pull)
    weak = section is not None and section.share < limits.section - DONE
    return [_too_weak(section, limits.section)] if weak and section is not None else []


def _again(account: Account, limits: Limits, entries: Listed) -> None:
    """Widen the places that the entries name, one after the other, as they were widened before."""
    for number, entry in enumerate(entries.entries):
        if entry.how != "strengthen" or entry.as_drawn or entry.width is None:
            continue
        found, rows, necks = neck_lines(account.pattern, under=entry.width)
        near = [
            (math.dist(neck.middle, entry.at), row, neck)
            for row, neck in zip(rows, necks, strict=True)
            if math.dist(neck.middle, entry.at) <= NEAR
        ]
        if near:
            _, row, neck = min(near, key=lambda n: n[:2])
            entries.met[number] = True
            _widen(account, found, row, neck, entry.width, limits, within=False)


def _widest_need(account: Account, section: Section, wanted: float, stuck: set[XY]) -> _Gap | None:
    """Give the first gap of a way that can be widened, with its share of what is missing."""
    missing = section.width * (wanted / section.share - 1) if section.share > 0 else 0.0
    most = max((math.dist(a, b) for a, b in section.gaps), default=0.0)
    if missing <= 0:
        return None
    found, rows, necks = neck_lines(account.pattern, under=2 * most + missing)
    free = []
    for a, b in section.gaps:
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        near = [
            (math.dist(neck.middle, middle), row, neck)
            for row, neck in zip(rows, necks, strict=True)
            if _crosses(neck, (a, b)) and neck.between != (EDGE, EDGE)
        ]
        if near:
            _, row, neck = min(near, key=lambda n: n[:2])
            if _place(neck.middle) not in stuck:
                free.append((math.dist(a, b), row, neck))
    total = sum(length for length, _, _ in free)
    if not free or total <= 0:
        return None
    length, row, neck = max(free, key=lambda f: (f[0], -f[1]))
    return _Gap(row=row, neck=neck, found=found, more=missing * length / total)


def _crosses(neck: Neck, gap: tuple[XY, XY]) -> bool:
    """True where a neck is the gap: both ends near it, char left out of account."""
    length = math.dist(*gap)
    slack = max(NEAR, (neck.width - length) / 2 + NEAR)
    middle = ((gap[0][0] + gap[1][0]) / 2, (gap[0][1] + gap[1][1]) / 2)
    return math.dist(neck.middle, middle) <= slack + length / 10 and neck.width <= length + 1.0


def _widen(
    account: Account,
    found: NeckLines,
    row: int,
    neck: Neck,
    width: float,
    limits: Limits,
    *,
    within: bool,
) -> bool:
    """Widen one neck; False, and nothing done, when that takes nothing or (`within`) too much."""
    spared = EDGE if EDGE in neck.between else None
    made = patches(found, [Wish(row=row, neck=neck, width=width, spared=spared)])
    taken = take(account.pattern.openings, made, limits, spared=())
    if not taken.parts or (within and account.over(taken, limits.change)):
        return False
    shapes = [o.shape for o in account.pattern.openings if o.id in taken.parts]
    change = Change(
        how="strengthen",
        at=neck.middle,
        why="The weakest way across the pull runs through here.",
        before=neck.width,
        after=width,
        lost=tuple(sorted(taken.lost.items())),
        added=as_area(made[0].shape.intersection(shapely.union_all(shapes))),
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
