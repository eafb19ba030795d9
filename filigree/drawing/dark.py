"""Dark: whether wide ink is leather that stays, or marks what is cut out.

Either way the leather should be one face. Ink as leather is judged by its wide parts, since a neck no wider
than a line holds nothing; light as leather by its fields, which a line between them only divides as drawing.
Connectedness alone cannot tell on many drawings; then leather is taken, and the low `sure` says so.
"""

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from shapely import Polygon

from filigree.drawing.fills import Shapes
from filigree.drawing.model import Field
from filigree.geometry.groups import connected
from filigree.geometry.types import Area, FloatArray

LOOSE = 0.1  # share of the leather beside its largest piece up to which it counts as one face
BROKEN = 0.3  # share from which it does not
MANY = 3  # separate dark shapes from which they read as openings
USABLE = 0.8  # share of the wide ink that is at least two lines wide, when it is openings and no swelling lines
GROUND = 0.03  # share of the whole that openings take at least
FRAMES = 0.5  # share of the whole that a dark shape goes round when it is the frame
SURE, FAIR, LOW = 0.95, 0.7, 0.4  # set by hand, ordered by the families of the tests; no source


def decide_dark(
    solids: Area, ink: Area, fields: Sequence[Field], *, line: float
) -> tuple[Literal["", "leather", "cut"], float]:
    """Decide what wide ink is, and how sure that is, 0 to 1.

    Leather: the wide ink hangs together as one face, and the light does not. Cut: several usable dark shapes
    lie apart inside one outline, none goes round it, and the light between them is one face.

    Args:
        solids: wide ink, mm.
        ink: all ink, mm.
        fields: enclosed light areas.
        line: ink narrower than this is a line, mm.
    """
    if solids.is_empty:
        return "", 1.0
    dark = shapely.get_parts(solids)
    light: Shapes = np.array([field.shape for field in fields], dtype=object)
    dark_loose = _loose(np.asarray(shapely.area(dark)))
    if not len(light):
        return "leather", 0.6 if dark_loose <= LOOSE else LOW
    light_loose = _loose(_faces(light, solids, line))
    inks = shapely.get_parts(ink)
    outline = max((Polygon(part.exterior) for part in inks), key=lambda filled: filled.area)
    around = max(Polygon(part.exterior).area for part in dark) > FRAMES * outline.area
    if dark_loose <= LOOSE:
        return "leather", SURE if around or light_loose >= BROKEN else FAIR
    wide = dark[~shapely.is_empty(shapely.buffer(dark, -line, quad_segs=2))]
    wide = wide[shapely.covers(outline, wide)]
    usable = float(shapely.area(wide).sum())
    grounds = len(wide) >= MANY and usable >= max(USABLE * solids.area, GROUND * outline.area)
    if light_loose <= LOOSE and dark_loose >= BROKEN and grounds and not around:
        apart = _loose(np.asarray(shapely.area(inks))) >= BROKEN
        return "cut", 0.85 if apart else FAIR
    return "leather", LOW + 0.4 * (1 - dark_loose)


def _loose(areas: FloatArray) -> float:
    """Share of all that is not in the largest piece."""
    total = float(areas.sum())
    return 1.0 - float(areas.max()) / total if total > 0 else 0.0


def _faces(light: Shapes, solids: Area, line: float) -> FloatArray:
    """Areas of the faces that light fields make when only wide ink parts them, mm2."""
    first, second = shapely.STRtree(light).query(light, predicate="dwithin", distance=line)
    other = first < second
    first, second = first[other], second[other]
    middle = shapely.line_interpolate_point(
        shapely.shortest_line(light[first], light[second]), 0.5, normalized=True
    )
    shapely.prepare(solids)
    drawn = ~shapely.intersects(solids, middle)
    group = connected(len(light), first[drawn], second[drawn])
    return np.asarray(np.bincount(group, weights=shapely.area(light)), dtype=np.float64)
