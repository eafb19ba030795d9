"""Nearby: the necks of a face of which a few openings have changed, searched only round what has changed.

A neck is settled by the two rings it lies between and by what comes into the disc on it, all within its width.
So a change can matter only to necks between rings that lie within the search width of what has changed; all
others are as they were.

Whole openings come and go at the page, and so only their neighbours are looked at: 15 ms with 2,000 openings, where
`find_necks` with what it found last, which also bears openings that change in part as in mending, needs 195.
"""

from dataclasses import replace

import numpy as np
import shapely
from shapely import LinearRing, Polygon

from filigree.measure.model import EDGE, Neck, Side
from filigree.measure.necks import necks_of
from filigree.pattern import Opening, Pattern

MOST = 0.5  # of the openings: where more have to be looked at, the whole face is


def necks_again(
    face: Pattern, *, under: float, last: Pattern, known: tuple[Neck, ...]
) -> tuple[Neck, ...] | None:
    """Find the necks of a face by those of an earlier one; None where the whole face has to be searched.

    Args:
        face: the face now.
        under: mm, as in the search for `known`.
        last: the face before, on the same outline.
        known: its necks.
    """
    if face.outline is not last.outline or any(n.between == (EDGE, EDGE) for n in known):
        return None
    holes, before = _holes(face), _holes(last)
    if holes is None or before is None:
        return None
    changed = _changed(face, last)
    if not changed:
        return known
    if len(changed) > MOST * len(face.openings):
        return None
    tree = shapely.STRtree([o.shape for o in face.openings])
    about = _about(face, changed, tree, under, known)
    beside = _beside(face, about, tree, under)
    if len(beside) > MOST * len(face.openings):
        return None
    part = replace(
        face,
        openings=tuple(o for o in face.openings if o.id in beside),
        land=Polygon(face.outline.exterior, [holes[i] for i in holes if i in beside]),
    )
    found = necks_of(part, under=under)
    if any(n.between == (EDGE, EDGE) for n in found):
        return None  # what hangs on it is found with every opening alone
    fresh = [n for n in found if about.issuperset(n.between)]
    rank: dict[Side, int] = {EDGE: -1, **{side: k for k, side in enumerate(holes)}}
    kept = [_turned(n, rank) for n in known if not about.issuperset(n.between)]
    return tuple(sorted([*kept, *fresh], key=lambda n: (n.width, n.start)))


def _turned(neck: Neck, rank: dict[Side, int]) -> Neck:
    """The neck with the earlier ring of the land first."""
    one, two = neck.between
    if rank[one] <= rank[two]:
        return neck
    return replace(neck, start=neck.end, end=neck.start, between=(two, one))


def _holes(face: Pattern) -> dict[int, LinearRing] | None:
    """Give the ring of the land round each opening, in the land's order; None where they are not one to one."""
    if not isinstance(face.land, Polygon) or len(face.land.interiors) != len(face.openings):
        return None
    rings = shapely.get_rings(face.land)[1:]
    boxes = shapely.bounds(np.array([o.shape for o in face.openings], dtype=object)).reshape(-1, 4)
    ids = {tuple(box): o.id for box, o in zip(boxes.tolist(), face.openings, strict=True)}
    found = {
        ids[tuple(box)]: ring
        for box, ring in zip(shapely.bounds(rings).tolist(), rings.tolist(), strict=True)
        if tuple(box) in ids
    }
    return found if len(found) == len(face.openings) else None


def _changed(face: Pattern, last: Pattern) -> list[Opening]:
    """Openings of either face that the other does not have."""
    now, before = ({id(o.shape) for o in one.openings} for one in (face, last))
    return [o for o in face.openings if id(o.shape) not in before] + [
        o for o in last.openings if id(o.shape) not in now
    ]


def _about(
    face: Pattern,
    changed: list[Opening],
    tree: shapely.STRtree,
    under: float,
    known: tuple[Neck, ...],
) -> set[Side]:
    """Sides between which necks may have changed; what hangs on a neck may hold a changed opening too."""
    shapes = [o.shape for o in changed]
    near = tree.query(shapes, predicate="dwithin", distance=under)[1]
    about: set[Side] = {o.id for o in changed} | {face.openings[k].id for k in near.tolist()}
    if shapely.dwithin(face.outline.exterior, shapes, under).any():
        about.add(EDGE)
    own = {n.between[0] for n in known if n.between[0] == n.between[1]}
    hit = np.unique(tree.query(shapely.box(*shapely.bounds(shapes).T))[1])
    return about | (own & {face.openings[k].id for k in hit.tolist()})


def _beside(face: Pattern, about: set[Side], tree: shapely.STRtree, under: float) -> set[Side]:
    """Openings that may bound a neck between the sides, or lie in what hangs on it."""
    boxes = shapely.bounds([o.shape for o in face.openings if o.id in about])
    if not len(boxes):
        return set()
    wider = boxes + np.array([-under, -under, under, under])
    return {face.openings[k].id for k in tree.query(shapely.box(*wider.T))[1].tolist()}
