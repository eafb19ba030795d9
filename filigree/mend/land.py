"""Land: the pattern when its openings change, and the face that is left between them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from filigree.geometry.poles import poles
from filigree.geometry.types import Area, Shapes
from filigree.pattern import Opening, Pattern, as_area


def with_parts(
    pattern: Pattern, parts: Mapping[int, Sequence[Polygon]], *, first_free: int
) -> tuple[Pattern, dict[int, int]]:
    """Put what is left of openings into the pattern; their points inside stay until they are `settled`.

    Args:
        pattern: before.
        parts: what is left of each opening that changed, by id.
        first_free: number of the first further part of an opening that came apart.

    Returns:
        The pattern after, and for each new number the opening it came from.
    """
    if not parts:
        return pattern, {}
    openings: list[Opening] = []
    came_from: dict[int, int] = {}
    for opening in pattern.openings:
        for k, shape in enumerate(parts.get(opening.id, (opening.shape,))):
            number = opening.id if k == 0 else first_free + len(came_from)
            if k:
                came_from[number] = opening.id
            if shape is opening.shape:
                openings.append(opening)
            else:
                openings.append(
                    replace(opening, id=number, shape=shape, area_mm2=float(shape.area))
                )
    openings.sort(key=lambda o: o.id)
    land = land_of(pattern.outline, [o.shape for o in openings])
    return replace(pattern, openings=tuple(openings), land=land), came_from


def settled(pattern: Pattern, before: Pattern) -> Pattern:
    """Find a point well inside each opening that is not one of the pattern before."""
    known = {id(o.shape) for o in before.openings}
    new = [o for o in pattern.openings if id(o.shape) not in known]
    if not new:
        return pattern
    at = dict(zip((o.id for o in new), poles([o.shape for o in new])[0].tolist(), strict=True))
    openings = tuple(
        replace(o, at=(at[o.id][0], at[o.id][1])) if o.id in at else o for o in pattern.openings
    )
    return replace(pattern, openings=openings)


def land_of(outline: Polygon, openings: Sequence[Polygon]) -> Area:
    """Cut openings out of an outline.

    Openings that touch neither each other nor the outline are simply its holes, which costs a tenth of cutting
    them out.
    """
    if not openings:
        return outline
    shapes = np.array(openings, dtype=object)
    if not _apart(outline, shapes):
        return as_area(outline.difference(shapely.union_all(shapes)))
    rings, owner = shapely.get_rings(shapes, return_index=True)
    first = np.diff(owner, prepend=-1) != 0
    islands = [Polygon(ring) for ring in rings[~first].tolist()]
    holes: list[list[shapely.LinearRing]] = [[] for _ in range(len(islands) + 1)]
    for hole, around in zip(rings[first].tolist(), _around(islands, shapes), strict=True):
        holes[around].append(hole)
    main = Polygon(outline.exterior, [*outline.interiors, *holes[0]])
    if not islands:
        return main
    rest = [Polygon(i.exterior, h) for i, h in zip(islands, holes[1:], strict=True)]
    return MultiPolygon([main, *rest])


def _apart(outline: Polygon, shapes: Shapes) -> bool:
    """Say whether openings lie well inside the outline, none touching another."""
    if not shapely.contains_properly(outline, shapes).all():
        return False
    pairs = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    return len(pairs[0]) == len(shapes)


def _around(islands: Sequence[Polygon], shapes: Shapes) -> list[int]:
    """Give for each opening the number of the smallest island it lies in, from 1; 0 when it lies in none."""
    if not islands:
        return [0] * len(shapes)
    area = shapely.area(islands)
    starts = shapely.get_point(shapely.get_exterior_ring(shapes), 0)
    within: list[int] = [0] * len(shapes)
    for opening, island in zip(
        *shapely.STRtree(islands).query(starts, predicate="within").tolist(), strict=True
    ):
        if not within[opening] or area[island] < area[within[opening] - 1]:
            within[opening] = island + 1
    return within
