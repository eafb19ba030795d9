"""Fields: the enclosed light areas that visible ink leaves on the page, and ink too wide to be a line."""

import numpy as np
import shapely
from shapely import Polygon

from filigree.drawing.fills import EMPTY, Shapes, only_areas
from filigree.drawing.model import Field
from filigree.geometry.poles import poles
from filigree.geometry.types import Area, IntArray

STEP = 0.02  # mm: misfits and hairlines up to twice this are closed or dropped
LEAST_MM2 = 0.02  # area of a field
WHOLE = 0.97  # share of a part of the ink from which all of it counts as wide
JUNCTION_MM2 = np.pi * 0.9**2  # a blob of ink up to this is where lines meet, not a band


def fields_of(ink: Area, page: Polygon) -> tuple[Field, ...]:
    """Find the enclosed light areas, in reading order of their tops.

    Ink is opened by a small step and light shrunk by it before its parts are told apart, so that neither
    hairline gaps nor hairline slits count. What reaches the page's edge is not enclosed.
    """
    shrunk = shapely.get_parts(shapely.buffer(shapely.get_parts(ink), -STEP, join_style="mitre"))
    swollen = shapely.buffer(shapely.multipolygons(shrunk), 2 * STEP, join_style="mitre")
    parts = shapely.get_parts(shapely.difference(page, swollen))
    parts = parts[shapely.get_dimensions(parts) == 2]
    inside = ~shapely.dwithin(parts, page.exterior, 1e-6)
    grown = shapely.buffer(parts[inside], STEP, join_style="mitre")
    grown = shapely.get_parts(grown)
    grown = grown[shapely.area(grown) >= LEAST_MM2]
    grown = grown[_reading(grown)]
    at, _ = poles(grown)
    return tuple(
        Field(shape=shape, at=(x, y)) for shape, (x, y) in zip(grown, at.tolist(), strict=True)
    )


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
