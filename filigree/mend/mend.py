"""Mend: the smallest change that makes the face meet its limits.

Openings too small to read are filled and loose parts too small to glue are tied; then every narrow strand is
widened to what is wanted. Where that would cost an opening too much, the strand is brought to the stop
limit if it can be, and the rest is left as drawn and said. Corners that this makes are rounded off. When the
maker has set a limit for them, long strands are tied half-way, the weakest way across is strengthened, tight corners are rounded and sharp
points of face blunted.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import dist

import shapely
from shapely import MultiLineString, Polygon

from filigree.checks.bridges import limits_at
from filigree.geometry.offset import shrunk
from filigree.geometry.parts import pieces
from filigree.geometry.widths import least_width
from filigree.job import BridgeLimits, CutLoss, Limits, Mend
from filigree.measure.islands import islands
from filigree.measure.model import EDGE, Island, Neck
from filigree.mend.account import Account
from filigree.mend.easing import eased
from filigree.mend.land import settled
from filigree.mend.listed import SPARE, Listed
from filigree.mend.model import Change, Mended, Unmended
from filigree.mend.rounding import blunted, rounded, smoothed
from filigree.mend.strengthen import strengthen
from filigree.mend.support import support
from filigree.mend.taking import usable
from filigree.mend.ties import ties
from filigree.mend.widen import Aim, Widened, still_narrow, widen
from filigree.pattern import Pattern, as_area

NEAR = 0.05  # mm: a neck this near another is that
MARGIN = 0.02  # mm over the stop limit when only that can be reached


def mend(
    pattern: Pattern,
    limits: Limits,
    *,
    loss: CutLoss,
    first_free: int,
    listed: Sequence[Mend] = (),
    veins: MultiLineString | None = None,
    pull: str = "long",
    forgiving: bool = False,
) -> Mended:
    """Add just enough leather for the face to meet its limits.

    Args:
        pattern: the face as drawn.
        limits: bridge widths, islands, openings and the most that an opening may lose.
        loss: what kerf, char and bevel take from a strand, since limits are for the finished face.
        first_free: lowest number that no field of the drawing has, for openings that come apart.
        listed: entries of `[[mend]]`. Those `as_drawn` are left alone; when there are others, only places
            that they name are mended, to the widths they give.
        veins: drawn lines that end free, for the direction of ties.
        pull: direction for the weakest section.
        forgiving: entries as drawn that fit no place any more are named and not refused.

    Returns:
        The pattern with its changes; the same pattern when there is nothing to do.

    Raises:
        FiligreeError: an entry names a place where nothing is to be mended.
    """
    entries = Listed.of(listed)
    account = Account.of(pattern, first_free=first_free)
    _fill(account, limits, entries)
    veins = veins if veins is not None else MultiLineString()
    loose = _tie(account, limits, entries, veins, loss)
    tied = len(account.changes)
    good = _aim(limits, loss, lambda own: own.good)
    low = limits.bridge.stop + MARGIN
    stop = replace(_aim(limits, loss, lambda own: own.stop + MARGIN), most=good.most)
    wanted, both = _bridges(account, limits, entries, good, stop)
    passes = ((good, wanted.spared), (stop, both.spared))
    done = both.account
    if shapely.get_num_geometries(done.pattern.land) > 1:  # some may be in reach now, or be new
        loose = _tie(done, limits, entries, veins, loss)
    if len(done.changes) > len(wanted.account.changes):
        done = _once_more(done, limits, entries, passes)
    long = support(done, limits, entries, loss=loss)
    weak = strengthen(done, limits, entries, loss=loss, pull=pull)
    done, widened = _smoothed(done, pattern, limits, entries, passes)
    smooth = done.pattern
    sharp = [*rounded(done, limits, entries), *blunted(done, limits, entries)]
    gone = entries.gone(done.pattern) if forgiving else ()
    entries.refuse_unmet(done.pattern, but=gone)
    narrow = (
        still_narrow(done, good, entries, widened=widened, eased=done.pattern is smooth)
        if wanted.left or done.changes
        else ()
    )
    gave_nothing = [(limits.bridge.good, wanted), *([(low, both)] if both is not wanted else [])]
    return Mended(
        pattern=settled(
            done.remembered(pattern, [(width, w.spared) for width, w in gave_nothing]), pattern
        ),
        changes=tuple(done.changes),
        unmended=(*narrow, *loose, *long, *weak, *sharp),
        filled=tuple(sorted(done.filled)),
        entries=_entries(pattern, done.changes, tied, wanted, both, low),
        gone=gone,
    )


def _smoothed(
    done: Account,
    drawn: Pattern,
    limits: Limits,
    entries: Listed,
    passes: Sequence[tuple[Aim, frozenset[int]]],
) -> tuple[Account, Pattern]:
    """Lead joins over and smooth them, widening again what that brings to light; gives the face as widened too."""
    widened = done.pattern
    eased(done, drawn.openings, limits)
    smoothed(done, drawn.openings, limits)
    if done.pattern is not widened and _brought_to_light(done, passes[0][0]):
        done = _once_more(done, limits, entries, passes)
        widened = done.pattern
        smoothed(done, drawn.openings, limits)
    return done, widened


def _entries(
    drawn: Pattern,
    changes: Sequence[Change],
    tied: int,
    wanted: Widened,
    both: Widened,
    low: float,
) -> tuple[Mend, ...]:
    """What `[[mend]]` lists: what was filled and tied, the openings spared, all else."""
    return (
        *(_entry(c) for c in changes[:tied]),
        *_spares(drawn, wanted, None),
        *(_spares(drawn, both, low) if both is not wanted else ()),
        *(_entry(c) for c in changes[tied:]),
    )


def _bridges(
    account: Account, limits: Limits, entries: Listed, good: Aim, stop: Aim
) -> tuple[Widened, Widened]:
    """Widen to what is wanted, then what is left to the stop limit; the same twice where nothing is left."""
    wanted = _widened(account, limits, entries, good, None)
    if not (wanted.left or entries.only):
        return wanted, wanted
    low = limits.bridge.stop + MARGIN
    return wanted, _widened(wanted.account, limits, entries, stop, low)


def _once_more(
    account: Account,
    limits: Limits,
    entries: Listed,
    passes: Sequence[tuple[Aim, frozenset[int]]],
) -> Account:
    """Widen what the last steps have brought to light: a neck can hide beside a narrower one.

    Openings that gave nothing in a pass give nothing now; where another would have to be spared, it is left out.
    """
    for aim, spared in passes:
        more = widen(account, limits, entries, aim=aim, spared=set(spared))
        if more.spared == spared:
            account = more.account
    return account


def _brought_to_light(account: Account, good: Aim) -> bool:
    """Say whether rounding has brought a neck to light that the last search did not find."""
    before = account.last
    if before is None:
        return True
    known = [n.middle for n in before.necks]
    return any(
        n.width < good.width(n) and all(dist(n.middle, at) > NEAR for at in known)
        for n in account.search(before.under).necks
    )


def _aim(limits: Limits, loss: CutLoss, of: Callable[[BridgeLimits], float]) -> Aim:
    """Give the width as drawn that leaves the finished face what its limits ask for."""
    most = max([of(limits.bridge), *(of(own) for _, own in limits.zones)])

    def width(neck: Neck) -> float:
        bevels = 0.5 if EDGE in neck.between else 1.0  # half of each bevel counts as leather
        return of(limits_at(neck.middle, limits)) + 2 * loss.char - bevels * loss.bevel

    return Aim(width=width, most=max(most + 2 * loss.char, 2 * MARGIN))


def _widened(
    account: Account, limits: Limits, entries: Listed, aim: Aim, width: float | None
) -> Widened:
    spared = {account.owner[i] for i in entries.spared(account.pattern, width)}
    before = account.spared(limits.bridge.good if width is None else width)
    return widen(account, limits, entries, aim=aim, spared=spared | before)


def _fill(account: Account, limits: Limits, entries: Listed) -> None:
    """Leave out each opening that is too small for its colour to read."""
    small = [
        o
        for o in account.pattern.openings
        if o.area_mm2 < limits.opening_area_mm2 and entries.asks("fill", o.at, 0.0)
    ]
    changes = [
        Change(
            how="fill",
            at=o.at,
            why=f"Opening {o.id} was too small to read.",
            before=0.0,
            after=0.0,
            lost=((o.id, o.area_mm2),),
            added=o.shape,
        )
        for o in small
    ]
    account.record({o.id: () for o in small}, {o.id: o.area_mm2 for o in small}, changes)


def _tie(
    account: Account, limits: Limits, entries: Listed, veins: MultiLineString, loss: CutLoss
) -> list[Unmended]:
    """Tie each loose part that is too small to be glued, or that an entry names; gives those left loose."""
    left = []
    for island in islands(account.pattern):
        width = limits_at(island.at, limits).good
        named = entries.only and entries.asks("tie", island.at, width)
        if not (named or _too_small(island, limits, loss)):
            continue
        if island.within == EDGE:
            left.append(_left_loose(island, width, "the loose part lies beside the piece"))
            continue
        if not entries.asks("tie", island.at, width):
            left.append(_left_loose(island, width, "the loose part is to stay as drawn"))
            continue
        opening = next(o for o in account.pattern.openings if o.id == island.within)
        made = ties(island, opening, account.pattern.land, width=width, veins=veins)
        if not made:
            left.append(_left_loose(island, width, "no tie reaches other leather"))
            continue
        added = as_area(shapely.union_all(made))
        parts = usable(as_area(opening.shape.difference(added)), limits)
        lost = opening.area_mm2 - sum(p.area for p in parts)
        added = as_area(
            opening.shape.difference(shapely.union_all(parts))
        )  # crumbs are leather too
        words = "one bridge" if len(made) == 1 else f"{len(made)} bridges"
        change = Change(
            how="tie",
            at=island.at,
            why=f"Loose part {island.number} was too small to glue: tied with {words}.",
            before=0.0,
            after=width,
            lost=((opening.id, lost),),
            added=added,
        )
        account.record({opening.id: parts}, {opening.id: lost}, [change])
    return left


def _left_loose(island: Island, width: float, why: str) -> Unmended:
    return Unmended(at=island.at, why=why, width=0.0, wanted=width)


def _too_small(island: Island, limits: Limits, loss: CutLoss) -> bool:
    """Say whether a loose part is too small to be glued once its edges are charred."""
    area, width = island.area_mm2, island.width
    if loss.char:
        left = max(pieces(shrunk(island.shape, loss.char)), key=lambda p: p.area, default=Polygon())
        area = float(left.area)
        width = least_width(Polygon(left.exterior)) if area else 0.0
    return area < limits.island_area_mm2 and width < limits.island_width


def _entry(change: Change) -> Mend:
    width = None if change.how == "fill" else round(change.after, 4)
    return Mend(how=change.how, at=_rounded(change.at), width=width, end=change.end)


def _spares(pattern: Pattern, done: Widened, width: float | None) -> list[Mend]:
    """Write down which openings gave nothing, so that a second run takes from the same ones."""
    return [
        Mend(how=SPARE, at=_rounded(o.at), width=None if width is None else round(width, 4))
        for o in pattern.openings
        if o.id in done.spared
    ]


def _rounded(at: tuple[float, float]) -> tuple[float, float]:
    return round(at[0], 4), round(at[1], 4)
