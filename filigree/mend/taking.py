"""Taking: leather is added by taking it from the openings; what is left may part, shrink away or vanish."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import Area
from filigree.geometry.widths import least_width
from filigree.job import Limits
from filigree.mend.patches import Leather, Patch
from filigree.pattern import Opening, as_area

DUST = 1e-6  # mm2: a change of less is none
CRUMB = 0.05  # of an opening's area: a part that falls off and is too small is leather, not a loss

Chain = tuple[int, tuple[int, ...]]  # an opening and the patches taken from it one after the other


@dataclass(slots=True)
class Known:
    """What is left of openings of one pattern after patches, worked out so far.

    Attributes:
        left: by opening id and the `id()` of the leather taken, in order.
        leather: all that was taken, held so that its `id()` stays its own.
    """

    left: dict[Chain, BaseGeometry] = field(default_factory=dict)
    leather: dict[int, Leather] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """Openings after taking.

    Attributes:
        parts: what is left of each opening that changed, by id; empty when it is gone.
        lost: area lost, mm2, by id of every opening that changed.
        by_patch: area each patch took from each opening beyond those before it, mm2, `(patch, opening id) -> area`.
    """

    parts: Mapping[int, tuple[Polygon, ...]]
    lost: Mapping[int, float]
    by_patch: Mapping[tuple[int, int], float]


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
    parts, lost, by_patch = {}, {}, {}
    for o, rows in _reached(openings, patches, spared):
        opening = openings[o]
        left: BaseGeometry = opening.shape
        chain: tuple[int, ...] = ()
        for k in rows:
            leather = patches[k].leather
            if id(leather) in chain:
                continue  # of a strand that has several necks
            chain = (*chain, id(leather))
            rest = _rest(known, (opening.id, chain), left, leather)
            area = float(left.area - rest.area)
            if area > DUST:
                by_patch[k, opening.id] = area
                left = rest
            if room is not None and opening.shape.area - left.area > room[opening.id] + DUST:
                break
        if opening.shape.area - left.area <= DUST:
            continue
        kept = usable(as_area(left), limits)
        parts[opening.id] = kept
        lost[opening.id] = opening.area_mm2 - sum(p.area for p in kept)
    return Taken(parts=parts, lost=lost, by_patch=by_patch)


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


def _rest(known: Known, chain: Chain, left: BaseGeometry, leather: Leather) -> BaseGeometry:
    """What is left when leather is taken as the last of a chain."""
    if chain not in known.left:
        known.left[chain] = left.difference(leather.shape)
        known.leather[id(leather)] = leather
    return known.left[chain]


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
