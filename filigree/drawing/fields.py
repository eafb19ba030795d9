"""Fields: the enclosed light areas that visible ink leaves on the page, and ink too wide to be a line."""

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from filigree.drawing.fills import EMPTY, Shapes, only_areas
from filigree.drawing.model import Field
from filigree.geometry.poles import poles
from filigree.geometry.types import Area, IntArray

HAIR = 0.02  # mm: ink no wider than twice this is not seen
SLIT = 0.0325  # mm: light no wider than twice this is not seen between two inks
LEAST_MM2 = 0.02  # area of a field
WHOLE = 0.97  # share of a part of the ink from which all of it counts as wide
JUNCTION_MM2 = np.pi * 0.9**2  # a blob of ink up to this is where lines meet, not a band


def fields_of(ink: Area, page: Polygon) -> tuple[Field, ...]:
    """Find the enclosed light areas, in reading order of their tops.

    Ink is opened by a small step and light shrunk by another before its parts are told apart, so that
    neither hairline gaps nor hairline slits count. The steps are from pictures of 0.05 mm a pixel: slits
    and hairs across 8 mm, turned at random, of these widths are seen in half of them (0.064 and 0.042 mm).
    What reaches the page's edge is not enclosed.
    """
    shrunk = shapely.get_parts(shapely.buffer(shapely.get_parts(ink), -HAIR, join_style="mitre"))
    seen = MultiPolygon(shrunk.tolist())
    swollen = only_areas(shapely.buffer(seen, HAIR + SLIT, join_style="mitre"))
    if not shapely.covers(page, swollen):
        swollen = only_areas(shapely.intersection(swollen, page))
    parts = _enclosed(swollen)
    inside = ~shapely.dwithin(parts, page.exterior, 1e-6)
    grown = shapely.buffer(parts[inside], SLIT, join_style="mitre")
    grown = shapely.get_parts(grown)
    grown = grown[shapely.area(grown) >= LEAST_MM2]
    grown = grown[_reading(grown)]
    at, _ = poles(grown)
    return tuple(
        Field(shape=shape, at=(x, y)) for shape, (x, y) in zip(grown, at.tolist(), strict=True)
    )


def _enclosed(ink: Area) -> Shapes:
    """Areas that ink lies all round: its holes, without what lies in them."""
    parts = shapely.get_parts(ink)
    rings, part = shapely.get_rings(parts, return_index=True)
    is_hole = np.diff(part, prepend=-1) == 0
    holes, owner = shapely.polygons(rings[is_hole]), part[is_hole]
    if not len(holes):
        return np.empty(0, dtype=object)
    outer = rings[~is_hole]
    hole, held = shapely.STRtree(shapely.get_point(outer, 0)).query(holes, predicate="intersects")
    other = owner[hole] != held
    hole, held = hole[other], held[other]
    order = np.lexsort((shapely.area(holes[hole]), held))
    nearest = order[np.flatnonzero(np.diff(held[order], prepend=-1))]
    hole, held = hole[nearest], held[nearest]
    for k in np.unique(hole).tolist():
        holes[k] = Polygon(rings[is_hole][k], outer[held[hole == k]].tolist())
    return np.asarray(holes)


def _reading(shapes: Shapes) -> IntArray:
    bounds = shapely.bounds(shapes).reshape(-1, 4).round(6)
    return np.lexsort((bounds[:, 2], bounds[:, 3], bounds[:, 0], bounds[:, 1]))


def wide_ink(ink: Area, line: float, page: Polygon) -> Area:
    """Ink that is nowhere narrower than `line`, mm, on the page; junctions of lines left out.

    A part of the ink that is wide nearly everywhere is given back with its own edge; of others only the
    wide places, their edges within a hundredth of `line`.
    """
    parts = shapely.get_parts(ink)
    core = shapely.buffer(parts, -line / 2, quad_segs=4)
    wide = ~shapely.is_empty(core)
    solids: list[Polygon] = []
    for part, inner in zip(parts[wide], core[wide], strict=True):
        grown = shapely.get_parts(shapely.buffer(inner, line / 2, quad_segs=6))
        grown = grown[shapely.area(grown) > JUNCTION_MM2]
        if len(grown) == 1 and grown[0].area >= WHOLE * part.area:
            solids.append(part)
        else:
            solids += grown.tolist()
    if not solids:
        return EMPTY
    whole = shapely.multipolygons(solids)
    return (
        whole
        if shapely.covers(page, whole)
        else only_areas(shapely.intersection(shapely.union_all(solids), page))
    )
