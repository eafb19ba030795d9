"""Widen: bring every strand that is too narrow to an aimed width, round after round until none is left."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import shapely
from shapely import MultiPolygon, Polygon

from filigree.job import Limits
from filigree.measure.model import EDGE, Neck
from filigree.mend.account import Account, Search
from filigree.mend.listed import Listed
from filigree.mend.mirror import axes_of, with_images
from filigree.mend.model import Change, Unmended
from filigree.mend.patches import Patch, Wish, patches
from filigree.mend.taking import Taken, take
from filigree.pattern import Pattern

NEAR = 1e-6  # mm: a bridge this near its aim is wide enough
OVER = 0.006  # mm: strands are made this much wider than wanted, since arcs are written as chords
IDLE = 6e-4  # mm2: a round that takes less gets nowhere
ROUNDS = (
    100  # each brings more necks to light, or comes half as near where leather does not quite reach
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """Width, mm, that each neck is to have as drawn, and the most that any is to have."""

    width: Callable[[Neck], float]
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Widened:
    """What widening came to.

    Attributes:
        account: after it.
        left: necks that are still too narrow, with the reason.
        spared: openings as drawn that gave nothing, since they would have lost too much.
    """

    account: Account
    left: tuple[Unmended, ...]
    spared: frozenset[int]


def widen(
    before: Account, limits: Limits, entries: Listed, *, aim: Aim, spared: set[int]
) -> Widened:
    """Widen strands to their aim without taking too much of any opening.

    An opening that would lose more than its share gives nothing at all, and its neighbours give instead; the
    widening then starts again, so that an opening is either mended all round or left as drawn.

    Args:
        before: the pattern; stays as it is.
        limits: the share that an opening may lose, and what an opening must be to count.
        entries: of the job; an `only` list is taken as it stands.
        aim: width that each neck is to have.
        spared: openings as drawn that give nothing from the start.
    """
    held = set(spared)
    before.axes = axes_of(before.pattern)
    before.search(aim.most - NEAR)  # every new start goes on from it
    while True:
        account = before.copy()
        left, over = _rounds(account, limits, entries, aim, held)
        if not over:
            return Widened(account=account, left=tuple(left), spared=frozenset(held))
        held |= over


def _rounds(
    account: Account, limits: Limits, entries: Listed, aim: Aim, held: set[int]
) -> tuple[list[Unmended], set[int]]:
    """Widen until nothing changes; gives what is left, or the openings that would lose too much."""
    left: list[Unmended] = []
    for _ in range(ROUNDS):
        wishes, left, search = _wishes(account, entries, aim, held)
        made = tuple(
            p
            for p in with_images(_patches(search, wishes), account.axes, search.images)
            if entries.asks("widen", p.wish.neck.middle, p.wish.width - OVER)
        )
        taken = take(
            account.pattern.openings,
            made,
            limits,
            spared=account.now(held),
            known=search.known,
            room=None if entries.only else account.room(limits.change),
        )
        over = set() if entries.only else account.over(taken, limits.change) - held
        if over or sum(taken.lost.values()) < IDLE:
            return left, over
        account.record(taken.parts, taken.lost, _changes(account, made, taken))
    return left, set()


def _wishes(
    account: Account, entries: Listed, aim: Aim, held: set[int]
) -> tuple[list[Wish], list[Unmended], Search]:
    search = account.search(aim.most - NEAR)
    wishes: list[Wish] = []
    left: list[Unmended] = []
    mirrored = entries.only and bool(
        account.axes
    )  # a place that is listed may be an image of one that is not
    for row, neck in zip(search.rows, search.necks, strict=True):
        width = aim.width(neck)
        if neck.width >= width - NEAR:
            continue
        asked = entries.asks("widen", neck.middle, width)
        if not asked and not mirrored:
            continue
        fixed = [s for s in neck.between if s == EDGE or account.owner[s] in held]
        if len(fixed) == 2:
            left += [_unmended(neck, width)] if asked else []
        else:
            spared = fixed[0] if fixed else None
            wishes.append(Wish(row=row, neck=neck, width=width + OVER, spared=spared))
    return wishes, left, search


def _patches(search: Search, wishes: Sequence[Wish]) -> tuple[Patch, ...]:
    """Work out the leather for each wish that has none yet."""
    new = [w for w in wishes if (w.row, w.spared, w.width) not in search.leather]
    for patch in patches(search.found, new, about=search.under, discs=search.discs):
        w = patch.wish
        search.leather[w.row, w.spared, w.width] = patch.leather
    return tuple(Patch(wish=w, leather=search.leather[w.row, w.spared, w.width]) for w in wishes)


def still_narrow(
    account: Account, aim: Aim, entries: Listed, *, widened: Pattern, eased: bool
) -> tuple[Unmended, ...]:
    """List the necks of a mended pattern that are under their aim, narrowest first.

    Args:
        account: after all mending.
        aim: width that each neck is to have.
        entries: of the job, for the places that it leaves as drawn.
        widened: the pattern that corners were rounded on.
        eased: True when corners are all that has changed since. Leather in a corner makes no strand narrower, so
            where none was narrow none is.
    """
    last, under = account.last, aim.most - NEAR
    known = eased and last is not None and last.pattern is widened and last.under == under
    if known and last is not None and all(n.width >= aim.width(n) - NEAR for n in last.necks):
        return ()
    return tuple(
        _unmended(neck, aim.width(neck), left=entries.leaves("widen", neck.middle))
        for neck in account.search(under).necks
        if neck.width < aim.width(neck) - NEAR
    )


def _changes(account: Account, made: Sequence[Patch], taken: Taken) -> list[Change]:
    changes = []
    for k, patch in enumerate(made):
        lost = tuple(
            (o.id, taken.by_patch[k, o.id])
            for o in account.pattern.openings
            if (k, o.id) in taken.by_patch
        )
        if lost:
            neck = patch.wish.neck
            added = shapely.get_parts([taken.pieces[k, i] for i, _ in lost]).tolist()
            solid = [g for g in added if isinstance(g, Polygon) and not g.is_empty]
            changes.append(
                Change(
                    how="widen",
                    at=neck.middle,
                    why=_why(neck),
                    before=neck.width,
                    after=patch.wish.width - OVER,
                    lost=lost,
                    added=solid[0] if len(solid) == 1 else MultiPolygon(solid),
                )
            )
    return changes


def _why(neck: Neck) -> str:
    if EDGE in neck.between:
        return "The opening came too near the edge."
    if neck.between[0] == neck.between[1]:
        return "Two parts of one opening came too near each other."
    return "The bridge between two openings was too narrow."


def _unmended(neck: Neck, width: float, *, left: bool = False) -> Unmended:
    if left:
        why = "the job leaves it as drawn"
    elif neck.between == (EDGE, EDGE):
        why = "both sides are the outline"
    else:
        why = "the openings beside it would lose more than they may"
    return Unmended(at=neck.middle, why=why, width=neck.width, wanted=width)
