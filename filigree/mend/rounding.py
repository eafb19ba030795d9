"""Rounding: tight inside corners of openings are filled to a radius, and sharp points of face are blunted."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon

from filigree.checks.corners import FLATTENING, punch
from filigree.geometry.bends import tight_bends
from filigree.geometry.fillet import Fillet, fillet, fillets
from filigree.geometry.rings import rings_of
from filigree.geometry.types import XY
from filigree.job import Limits
from filigree.measure.model import EDGE, OpeningSize, Tip
from filigree.measure.openings import CORNER, face_tips, opening_sizes
from filigree.mend.account import Account
from filigree.mend.listed import Listed
from filigree.mend.model import Change, Unmended
from filigree.pattern import Opening, as_area

OVER = 0.004  # mm: arcs are written as chords
ON = 1e-6  # mm
ALIKE = 0.01  # radians: a corner that turns this much more is as sharp


def smoothed(account: Account, drawn: Sequence[Opening], limits: Limits) -> None:
    """Round the corners that mending itself has made, and count them to the change beside them.

    A corner of the drawing that has moved, turning no more than it did, is not one of them.
    """
    known = {id(o.shape) for o in drawn}
    changed = [o for o in account.pattern.openings if id(o.shape) not in known]
    touched = {account.owner[o.id] for o in changed}
    before = [o for o in drawn if account.owner[o.id] in touched]
    were: dict[int, list[tuple[float, float, float]]] = {}
    for o, own in zip(before, _tight([o.shape for o in before], limits.corner), strict=True):
        were.setdefault(account.owner[o.id], []).extend((*at, turn) for at, turn in own)
    are = _tight([o.shape for o in changed], limits.corner)
    edge = account.pattern.outline.boundary  # a round at a corner there would leave a sliver
    sharp = [
        [at for at in made if edge.distance(Point(at)) > ON]
        for corners, o in zip(are, changed, strict=True)
        for made in (_made(corners, were.get(account.owner[o.id], []), limits.bridge.good),)
    ]
    now = [o.shape for o in changed]
    nooks: list[list[Polygon]] = [[] for _ in changed]
    for nth in range(max(map(len, sharp), default=0)):  # one corner of each opening at a time
        rows = [k for k, own in enumerate(sharp) if nth < len(own)]
        places = [sharp[k][nth] for k in rows]
        filled = _filled([now[k] for k in rows], places, limits.corner + OVER)
        for k, made in zip(rows, filled, strict=True):
            if made is None or made.shape.area < limits.opening_area_mm2:
                continue
            owner = account.owner[changed[k].id]
            lost = account.lost.get(owner, 0.0) + float(now[k].area) - float(made.shape.area)
            if lost <= limits.change * account.drawn[owner]:
                account.lost[owner] = lost
                now[k] = made.shape
                nooks[k].append(made.part)
    rounded_off = [
        (o.id, shape, own) for o, shape, own in zip(changed, now, nooks, strict=True) if own
    ]
    if rounded_off:  # all at once: the land is worked out anew for each record
        account.record({i: (shape,) for i, shape, _ in rounded_off}, {}, [])
        counted(account, [(i, nook) for i, _, own in rounded_off for nook in own])


def rounded(account: Account, limits: Limits, entries: Listed) -> list[Unmended]:
    """Round every tight corner to the limit; cut by knife, with the smallest punch that reaches it and fits.

    All that is asked for is what the job or an entry asks for. Gives the corners that stay as drawn.
    """
    if not (limits.rounding or entries.names("round")):
        return []
    left = []
    for size in opening_sizes(account.pattern, under=limits.bridge.good):
        tight = [c for c in size.corners if c.radius < limits.corner - FLATTENING]
        for corner in tight:
            if not entries.asks("round", corner.at, limits.corner) or not (
                limits.rounding or entries.only
            ):
                continue
            why = _round(account, size, corner.at, corner.radius, limits)
            if why:
                left.append(
                    Unmended(at=corner.at, why=why, width=corner.radius, wanted=limits.corner)
                )
    return left


def blunted(account: Account, limits: Limits, entries: Listed) -> list[Unmended]:
    """Blunt every sharp point of face; gives those that stay as drawn."""
    if not (limits.blunting or entries.names("blunt")):
        return []
    left = []
    for tip in face_tips(account.pattern):
        if tip.angle_deg >= limits.point_deg or not entries.asks(
            "blunt", tip.at, limits.point_blunt
        ):
            continue
        if limits.blunting or entries.only:
            why = _blunt(account, tip, limits.point_blunt + OVER)
            if why:
                left.append(Unmended(at=tip.at, why=why, width=0.0, wanted=limits.point_blunt))
    return left


def counted(account: Account, corners: Sequence[tuple[int, Polygon]]) -> None:
    """Count each corner of an opening to the nearest change that took from the same opening."""
    rows: dict[int, list[int]] = {}  # changes by opening as drawn
    for k, change in enumerate(account.changes):
        for owner in {account.owner[i] for i, _ in change.lost}:
            rows.setdefault(owner, []).append(k)
    nooks: dict[int, list[tuple[int, Polygon]]] = {}
    for number, nook in corners:
        own = rows.get(account.owner[number], [])
        if own:
            apart = shapely.distance([account.changes[k].added for k in own], nook)
            nooks.setdefault(own[int(np.argmin(apart))], []).append((number, nook))
    for k, found in nooks.items():
        change = account.changes[k]
        lost = dict(change.lost)
        for number, nook in found:
            lost[number] = lost.get(number, 0.0) + float(nook.area)
        added = as_area(shapely.union_all([change.added, *(nook for _, nook in found)]))
        account.changes[k] = replace(change, lost=tuple(sorted(lost.items())), added=added)


def _round(account: Account, size: OpeningSize, at: XY, radius: float, limits: Limits) -> str:
    """Round one corner; gives the reason when it cannot be, else nothing."""
    by_hand = limits.way == "knife"  # any other cut follows the arc by itself
    tool = punch(size, limits.corner) if by_hand else 2 * limits.corner
    if tool is None:
        return "no punch that would round this corner fits the opening"
    opening = next(o for o in account.pattern.openings if o.id == size.id)
    if opening.shape.boundary.distance(Point(at)) > ON:
        return ""  # rounded along with the corner beside it
    made = _filled([opening.shape], [at], tool / 2 + OVER)[0]
    if made is None or not _given(account, opening, made, limits):
        return "the opening would lose more than it may if this corner were rounded"
    account.changes.append(
        Change(
            how="round",
            at=at,
            why=f"The corner of opening {size.id} was too tight"
            + (f": end it with a {tool:.1f} mm punch." if by_hand else "."),
            before=radius,
            after=limits.corner,
            lost=((size.id, float(made.part.area)),),
            added=made.part,
        )
    )
    return ""


def _blunt(account: Account, tip: Tip, radius: float) -> str:
    """Blunt one point; gives the reason when it cannot be, else nothing."""
    if tip.beside == EDGE:
        return "the point is part of the outline"
    opening = next(o for o in account.pattern.openings if o.id == tip.beside)
    made = fillet(opening.shape, tip.at, inside=account.pattern.land, radius=radius)
    if made is None:
        return "the point is too slender to be blunted by itself"
    gained = float(made.shape.area) - opening.area_mm2
    change = Change(
        how="blunt",
        at=tip.at,
        why=f"The point of face was {tip.angle_deg:.0f} degrees sharp.",
        before=0.0,
        after=radius - OVER,
        lost=((opening.id, -gained),),
        added=made.part,
    )
    account.record({opening.id: (made.shape,)}, {opening.id: -gained}, [change])
    return ""


def _filled(shapes: Sequence[Polygon], at: Sequence[XY], radius: float) -> list[Fillet | None]:
    """Fill one corner of each opening; None where the disc would close off more than the corner."""
    return [
        None if made is None or abs(shape.area - made.shape.area - made.part.area) > ON else made
        for shape, made in zip(
            shapes, fillets(shapes, at, inside=shapes, radius=radius), strict=True
        )
    ]


def _given(account: Account, opening: Opening, made: Fillet, limits: Limits) -> bool:
    """Take a corner from its opening, unless it would lose more than its share."""
    lost = opening.area_mm2 - float(made.shape.area)
    owner = account.owner[opening.id]
    if account.lost.get(owner, 0.0) + lost > limits.change * account.drawn[owner]:
        return False
    account.record({opening.id: (made.shape,)}, {opening.id: lost}, [])
    return True


def _tight(shapes: Sequence[Polygon], radius: float) -> list[list[tuple[XY, float]]]:
    """Give for each shape its corners that turn on less than a radius, and by how many radians."""
    rings = rings_of(MultiPolygon(shapes))
    found = tight_bends(rings, under=max(radius - FLATTENING, ON), turn=CORNER)
    each: list[list[tuple[XY, float]]] = [[] for _ in shapes]
    owners = rings.part[rings.ring[found.vertex]].tolist()
    places = rings.xy[found.vertex].tolist()
    for owner, (x, y), turn in zip(owners, places, found.turn.tolist(), strict=True):
        each[owner].append(((x, y), turn))
    return each


def _made(
    corners: Sequence[tuple[XY, float]], were: Sequence[tuple[float, float, float]], within: float
) -> list[XY]:
    """Give the corners that are none of those there were, each with its turn, moved by no more than `within` mm."""
    if not (corners and were):
        return [at for at, _ in corners]
    now, drawn = np.array([(*at, turn) for at, turn in corners]), np.array(were)
    near = np.hypot(*np.moveaxis(now[:, None, :2] - drawn[None, :, :2], 2, 0)) <= within
    moved = (near & (now[:, None, 2] <= drawn[None, :, 2] + ALIKE)).any(axis=1)
    return [at for (at, _), same in zip(corners, moved.tolist(), strict=True) if not same]
