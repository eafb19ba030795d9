"""Taking: leather is added by taking it from the openings; what is left may part, shrink away or vanish."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import GeometryCollection, MultiPolygon, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import Area
from filigree.geometry.widths import least_width
from filigree.job import Limits
from filigree.mend.patches import Leather, Patch
from filigree.pattern import Opening, as_area

DUST = 1e-6  # mm2: a change of less is none
CRUMB = 0.05  # of an opening's area: a part that falls off and is too small is leather, not a loss


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """What leather has in common with an opening: its shape, its area, mm2, and its bounding box, mm."""

    shape: Area
    area: float
    box: tuple[float, float, float, float]


@dataclass(slots=True)
class Known:
    """What leather has in common with openings of one pattern, worked out so far.

    Attributes:
        reached: places of the openings that leather may reach, by the `id()` of the leather.
        pieces: by opening id and the `id()` of the leather.
        leather: all that was asked about, held so that its `id()` stays its own.
        areas: beyond pieces taken before, mm2, by opening id and the `id()` of the leather in order.
        tree: index of the openings.
    """

    reached: dict[int, list[int]] = field(default_factory=dict)
    pieces: dict[tuple[int, int], Piece] = field(default_factory=dict)
    leather: dict[int, Leather] = field(default_factory=dict)
    areas: dict[tuple[int, tuple[int, ...]], float] = field(default_factory=dict)
    tree: STRtree | None = None

    def reach(self, openings: Sequence[Opening], leather: Sequence[Leather]) -> None:
        """Find the openings that leather may reach, all at once where it is not known."""
        new = {id(h): h for h in leather if id(h) not in self.reached}
        self.leather.update(new)
        self.reached.update({key: [] for key in new})
        solid = [h for h in new.values() if not h.line.is_empty]
        if not solid or not openings:
            return
        if self.tree is None:
            self.tree = STRtree([o.shape for o in openings])
        lines, within = [h.line for h in solid], [h.reach for h in solid]
        for k, o in zip(*self.tree.query(lines, "dwithin", within).tolist(), strict=True):
            self.reached[id(solid[k])].append(o)

    def cut(self, gives: Sequence[tuple[Opening, Leather]]) -> None:
        """Work out what leather takes from openings, all at once where it is not known."""
        new = {
            (o.id, id(leather)): (o, leather)
            for o, leather in gives
            if (o.id, id(leather)) not in self.pieces
        }
        if not new:
            return
        shapes = shapely.intersection(
            [o.shape for o, _ in new.values()], [leather.shape for _, leather in new.values()]
        ).tolist()
        whole = [as_area(shape) for shape in shapes]
        rows = zip(new, whole, shapely.area(whole).tolist(), shapely.bounds(whole), strict=True)
        for key, shape, area, box in rows:
            self.pieces[key] = Piece(shape, area, tuple(box.tolist()))

    def fresh(self, opening: int, leather: int, before: Mapping[int, Piece]) -> float:
        """Give the area that leather takes from an opening beyond pieces taken before, mm2."""
        key = opening, (*before, leather)
        if key not in self.areas:
            piece = self.pieces[opening, leather]
            near = [other.shape for other in before.values() if _boxes_meet(piece.box, other.box)]
            left: BaseGeometry = piece.shape
            for other in shapely.get_parts(near).tolist() if near else ():
                if left.intersects(other):
                    left = left.difference(other)
            self.areas[key] = piece.area if left is piece.shape else float(left.area)
        return self.areas[key]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """Openings after taking.

    Attributes:
        parts: what is left of each opening that changed, by id; empty when it is gone. None at all are worked out
            when any opening would lose more than it has room for.
        lost: area lost, mm2, by id of every opening that changed.
        by_patch: area each patch took from each opening beyond those before it, mm2, `(patch, opening id) -> area`.
        pieces: what each of these patches has in common with the opening; with the first that touches one, a crumb
            that falls off and is leather too.
    """

    parts: Mapping[int, tuple[Polygon, ...]]
    lost: Mapping[int, float]
    by_patch: Mapping[tuple[int, int], float]
    pieces: Mapping[tuple[int, int], BaseGeometry]


def take(
    openings: Sequence[Opening],
    patches: Sequence[Patch],
    limits: Limits,
    *,
    spared: Collection[int],
    known: Known | None = None,
    room: Mapping[int, float] | None = None,
) -> Taken:
    """Take every patch from the openings it reaches, but those that are spared.

    Args:
        openings: as they stand.
        patches: in the order in which they are taken.
        limits: what an opening must be to count.
        spared: ids of openings that give nothing.
        known: what was worked out before for the same openings; is added to.
        room: area that each opening may lose, mm2; one that loses more is left there, with no more taken.
    """
    known = known if known is not None else Known()
    lost: dict[int, float] = {}
    by_patch: dict[tuple[int, int], float] = {}
    pieces: dict[tuple[int, int], BaseGeometry] = {}
    gives: list[tuple[Opening, list[Leather]]] = []
    over = False
    for opening, rows in _reached(openings, patches, spared, known):
        most = math.inf if room is None else room[opening.id] + DUST
        own: dict[int, Piece] = {}  # by id of the leather: necks of one strand share it
        total = max(known.pieces[opening.id, id(patches[k].leather)].area for k in rows)
        if total > most:  # by one alone
            lost[opening.id], over = total, True
            continue
        total = 0.0
        for k in rows:
            number = id(patches[k].leather)
            if number in own:
                continue
            area = known.fresh(opening.id, number, own)
            if area <= DUST:
                continue
            piece = own[number] = known.pieces[opening.id, number]
            by_patch[k, opening.id], pieces[k, opening.id] = area, piece.shape
            total += area
            if total > most:
                over = True
                break
        if own:
            lost[opening.id] = total
            gives.append((opening, [known.leather[i] for i in own]))
    parts: dict[int, tuple[Polygon, ...]] = {}
    for (opening, _), rest in zip(gives, _rests(gives), strict=True) if not over else ():
        kept = usable(rest, limits)
        parts[opening.id] = kept
        lost[opening.id] = opening.area_mm2 - sum(p.area for p in kept)
        if shapely.get_num_geometries(rest) > len(kept):
            _count_crumbs(opening.id, rest, kept, by_patch, pieces)
    return Taken(parts=parts, lost=lost, by_patch=by_patch, pieces=pieces)


def _count_crumbs(
    number: int,
    rest: Area,
    kept: Sequence[Polygon],
    by_patch: dict[tuple[int, int], float],
    pieces: dict[tuple[int, int], BaseGeometry],
) -> None:
    """Count what falls off an opening to the patch that is nearest."""
    own = [key for key in pieces if key[1] == number]
    for crumb in shapely.get_parts(rest).tolist():
        if not any(crumb.equals(p) for p in kept):
            key = own[int(np.argmin(shapely.distance([pieces[k] for k in own], crumb)))]
            by_patch[key] += float(crumb.area)
            pieces[key] = GeometryCollection([*shapely.get_parts(pieces[key]).tolist(), crumb])


def _boxes_meet(
    one: tuple[float, float, float, float], other: tuple[float, float, float, float]
) -> bool:
    return one[0] < other[2] and one[2] > other[0] and one[1] < other[3] and one[3] > other[1]


def _rests(gives: Sequence[tuple[Opening, Sequence[Leather]]]) -> list[Area]:
    """What is left of each opening when leather is taken from it."""
    if not gives:
        return []
    added = [_joined([one.shape for one in leather]) for _, leather in gives]
    return [as_area(rest) for rest in shapely.difference([o.shape for o, _ in gives], added)]


def _joined(shapes: Sequence[BaseGeometry]) -> BaseGeometry:
    """Join areas to one; those whose boxes lie apart need no overlay."""
    if len(shapes) == 1:
        return shapes[0]
    boxes = shapely.bounds(shapes)
    low, high = boxes[:, None, :2], boxes[:, None, 2:]
    meet = ((low <= boxes[None, :, 2:]) & (high >= boxes[None, :, :2])).all(axis=2)
    if meet.sum() == len(shapes):
        return MultiPolygon(shapely.get_parts(shapes).tolist())
    return shapely.union_all(shapes)


def _reached(
    openings: Sequence[Opening], patches: Sequence[Patch], spared: Collection[int], known: Known
) -> list[tuple[Opening, list[int]]]:
    """Give each opening that leather may reach, with the patches that do, both in order; their pieces are known."""
    known.reach(openings, [p.leather for p in patches])
    reached: dict[int, list[int]] = {}
    for k, patch in enumerate(patches):
        for o in known.reached[id(patch.leather)]:
            if openings[o].id not in spared:
                reached.setdefault(o, []).append(k)
    found = [(openings[o], rows) for o, rows in sorted(reached.items())]
    known.cut([(opening, patches[k].leather) for opening, rows in found for k in rows])
    return found


def usable(left: Area, limits: Limits) -> tuple[Polygon, ...]:
    """Parts of an opening that can still be cut and seen, largest first."""
    whole = left.area
    if isinstance(left, Polygon):
        return (left,) if whole >= limits.opening_area_mm2 and not left.is_empty else ()
    parts = [
        p
        for p in shapely.get_parts(left).tolist()
        if p.area >= limits.opening_area_mm2
        and (p.area >= (1 - CRUMB) * whole or least_width(p) >= limits.opening_width)
    ]
    return tuple(sorted(parts, key=lambda p: (-p.area, p.bounds)))
