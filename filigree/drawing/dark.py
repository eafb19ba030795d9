"""Dark: whether wide ink is leather that stays, or marks what is cut out.

Connectedness alone cannot tell on many drawings; then leather is taken, and the low `sure` says so.
"""

from collections.abc import Sequence
from typing import Literal

import shapely
from shapely import Polygon

from filigree.drawing.model import Field
from filigree.geometry.types import Area

LIKELY = 0.9  # share of ink in one piece from which it reads as one face
MANY = 3  # separate dark shapes from which they read as openings
TOUCHING = 0.05  # mm


def decide_dark(
    solids: Area, ink: Area, fields: Sequence[Field]
) -> tuple[Literal["", "leather", "cut"], float]:
    """Decide what wide ink is, and how sure that is, 0 to 1.

    Leather: the ink hangs together as one face. Cut: several separate dark shapes lie inside one outline
    of thin lines and touch it nowhere, so that the light between them is the one face.
    """
    if solids.is_empty:
        return "", 1.0
    pieces = [Polygon(part.exterior) for part in shapely.get_parts(ink)]
    areas = shapely.get_parts(ink)
    largest = max(range(len(areas)), key=lambda i: shapely.area(areas[i]))
    whole = max(range(len(pieces)), key=lambda i: pieces[i].area)
    solid_share = _share_on(areas[largest], solids)
    if solid_share >= LIKELY:
        return "leather", 0.95 if fields else 0.6
    apart = [
        part
        for part in shapely.get_parts(solids)
        if not shapely.dwithin(part, areas[whole], TOUCHING)
    ]
    inside = [part for part in apart if shapely.contains(pieces[whole], part)]
    apart_share = sum(part.area for part in inside) / solids.area
    light = sum(field.shape.area for field in fields)
    one_light = (
        max((field.shape.area for field in fields), default=0.0) / light if light > 0 else 0.0
    )
    if len(inside) >= MANY and apart_share >= LIKELY and one_light >= 0.6:
        return "cut", 0.85
    if len(inside) >= MANY and apart_share >= LIKELY:
        return "cut", 0.55
    return "leather", 0.4 + 0.4 * solid_share


def _share_on(part: Polygon, solids: Area) -> float:
    """Share of the wide ink that belongs to one piece of ink."""
    pieces = shapely.get_parts(solids)
    on = shapely.intersects(part, shapely.point_on_surface(pieces))
    return float(shapely.area(pieces[on]).sum() / solids.area)
