"""Dark: whether wide ink is leather that stays, or marks what is cut out.

Either way the leather is one face that reaches the outline of the piece: where the outline is drawn as a line with a
light rim inside it, wide ink is what comes out; where wide ink itself makes the edge, it is the leather. Each reading is
judged by the share of its leather that hangs together at the outline. Ink as leather is judged by its wide
parts, since a neck no wider than a line holds nothing; light as leather by its fields, which a line between
them only divides as drawing. Where neither is better leather is taken, and the low `sure` says so.
"""

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from shapely import Polygon

from filigree.drawing.fills import Shapes
from filigree.drawing.model import Field
from filigree.geometry.groups import connected
from filigree.geometry.types import Area, IntArray

AT_EDGE = 0.3  # lines: wide ink this near the outline makes the edge of the piece
USABLE = 0.8  # share of the wide ink that is at least two lines wide, when it is openings and no swelling lines
GROUND = 0.03  # share of the whole that openings take at least
CLEAR = 0.4  # of the leather: one reading holds so much more of it than the other
SURE, FAIR, LOW = (
    0.95,
    0.8,
    0.6,
)  # right in 97, 100 and 75 % of generated drawings: scripts/learn/dark.md


def decide_dark(
    solids: Area, ink: Area, fields: Sequence[Field], *, line: float
) -> tuple[Literal["", "leather", "cut"], float]:
    """Decide what wide ink is, and how sure that is, 0 to 1.

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
    inks = shapely.get_parts(ink)
    outline = max((Polygon(part.exterior) for part in inks), key=lambda filled: filled.area)
    if not len(light):
        return "leather", FAIR if len(dark) == 1 else LOW
    every = np.arange(len(dark))
    by_ink = _held(dark, every, outline, AT_EDGE * line)
    by_light = _held(light, _faces(light, solids, line), outline, (1 + AT_EDGE) * line)
    if not _openings(dark, outline, line):
        return "leather", SURE if by_ink - by_light > CLEAR else LOW
    if by_light > by_ink:
        return "cut", SURE if by_light - by_ink > CLEAR else FAIR
    return "leather", SURE if by_ink - by_light > CLEAR else LOW


def _openings(dark: Shapes, outline: Polygon, line: float) -> bool:
    """Could wide ink be openings: within the outline, wide enough, large enough?"""
    wide = dark[~shapely.is_empty(shapely.buffer(dark, -line, quad_segs=2))]
    within = shapely.covers(outline.buffer(AT_EDGE * line), wide)
    usable = float(shapely.area(wide[within]).sum())
    whole = float(shapely.area(dark).sum())
    return usable >= max(USABLE * whole, GROUND * outline.area)


def _held(shapes: Shapes, face: IntArray, outline: Polygon, near: float) -> float:
    """Share of all shapes in the largest face of them that reaches the outline."""
    area = np.asarray(shapely.area(shapes))
    at_edge = shapely.dwithin(shapes, outline.exterior, near)
    held = np.bincount(face, weights=area) * (np.bincount(face, weights=at_edge) > 0)
    return float(held.max() / max(area.sum(), 1e-9))


def _faces(light: Shapes, solids: Area, line: float) -> IntArray:
    """Number the light fields by face when only wide ink parts them, `(n,)`."""
    first, second = shapely.STRtree(light).query(light, predicate="dwithin", distance=line)
    other = first < second
    first, second = first[other], second[other]
    middle = shapely.line_interpolate_point(
        shapely.shortest_line(light[first], light[second]), 0.5, normalized=True
    )
    shapely.prepare(solids)
    drawn = ~shapely.intersects(solids, middle)
    return connected(len(light), first[drawn], second[drawn])
