"""Taking: leather is added by taking it from the openings; what is left may part, shrink away or vanish."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import GeometryCollection, Polygon
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import Area
from filigree.geometry.widths import least_width
from filigree.job import Limits
from filigree.mend.patches import Leather, Patch
from filigree.pattern import Opening, as_area

DUST = 1e-6  # mm2: a change of less is none
CRUMB = 0.05  # of an opening's area: a part that falls off and is too small is leather, not a loss


@dataclass(slots=True)
class Known:
    """What leather has in common with openings of one pattern, worked out so far.

    Attributes:
        pieces: by opening id and the `id()` of the leather.
        leather: all that was asked about, held so that its `id()` stays its own.
        areas: beyond pieces taken before, mm2, by opening id and the `id()` of the leather in order.
    """

    pieces: dict[tuple[int, int], BaseGeometry] = field(default_factory=dict)
    leather: dict[int, Leather] = field(default_factory=dict)
    areas: dict[tuple[int, tuple[int, ...]], float] = field(default_factory=dict)

    def piece(self, opening: Opening, leather: Leather) -> BaseGeometry:
        """Give what leather takes from an opening; much cheaper than what is left of it."""
        key = opening.id, id(leather)
        if key not in self.pieces:
            self.pieces[key] = as_area(opening.shape.intersection(leather.shape))
            self.leather[id(leather)] = leather
        return self.pieces[key]

    def fresh(
        self, opening: Opening, leather: Leather, before: Mapping[int, BaseGeometry]
    ) -> float:
        """Give the area that leather takes from an opening beyond pieces taken before, mm2."""
        key = opening.id, (*before, id(leather))
        if key not in self.areas:
            piece = self.piece(opening, leather)
            near = [other for other in before.values() if _boxes_meet(piece, other)]
            for other in shapely.get_parts(near).tolist():
                if piece.intersects(other):
                    piece = piece.difference(other)
            self.areas[key] = float(piece.area)
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
    for o, rows in _reached(openings, patches, spared):
        opening = openings[o]
        most = math.inf if room is None else room[opening.id] + DUST
        own: dict[int, BaseGeometry] = {}  # by id of the leather: necks of one strand share it
        total = 0.0
        for k in rows:
            leather = patches[k].leather
            if id(leather) in own:
                continue
            piece = known.piece(opening, leather)
            area = known.fresh(opening, leather, own)
            if area <= DUST:
                continue
            own[id(leather)] = piece
            by_patch[k, opening.id], pieces[k, opening.id] = area, piece
            total += area
            if total > most:
                over = True
                break
        if own:
            lost[opening.id] = total
            gives.append((opening, [known.leather[i] for i in own]))
    parts: dict[int, tuple[Polygon, ...]] = {}
    for opening, taken in gives if not over else ():
        rest = _rest(opening, taken)
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


def _boxes_meet(one: BaseGeometry, other: BaseGeometry) -> bool:
    left, top, right, bottom = one.bounds
    a, b, c, d = other.bounds
    return bool(a < right and c > left and b < bottom and d > top)


def _rest(opening: Opening, leather: Sequence[Leather]) -> Area:
    """What is left of an opening when leather is taken from it."""
    shapes = [one.shape for one in leather]
    added = shapes[0] if len(shapes) == 1 else shapely.union_all(shapes)
    return as_area(opening.shape.difference(added))


def _reached(
    openings: Sequence[Opening], patches: Sequence[Patch], spared: Collection[int]
) -> list[tuple[int, list[int]]]:
    """Give each opening that leather may reach, with the patches that do, both in order."""
    solid = [(k, p.leather) for k, p in enumerate(patches) if not p.leather.line.is_empty]
    if not solid or not openings:
        return []
    tree = shapely.STRtree([o.shape for o in openings])
    lines, within = [h.line for _, h in solid], [h.reach for _, h in solid]
    reached: dict[int, list[int]] = {}
    for s, o in zip(*tree.query(lines, "dwithin", within).tolist(), strict=True):
        if openings[o].id not in spared:
            reached.setdefault(o, []).append(solid[s][0])
    return sorted(reached.items())


def usable(left: Area, limits: Limits) -> tuple[Polygon, ...]:
    """Parts of an opening that can still be cut and seen, largest first."""
    whole = left.area
    parts = [
        p
        for p in shapely.get_parts(left).tolist()
        if p.area >= limits.opening_area_mm2
        and (p.area >= (1 - CRUMB) * whole or least_width(p) >= limits.opening_width)
    ]
    return tuple(sorted(parts, key=lambda p: (-p.area, p.bounds)))
