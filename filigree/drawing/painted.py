"""Painted: a drawing whose fills count, resolved to the lines, solids and fields that the eye sees."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import Polygon

from filigree.drawing.clips import Clipper, coat_area
from filigree.drawing.coats import OPAQUE, THRESHOLD, Coat
from filigree.drawing.dark import decide_dark
from filigree.drawing.edges import visible_lines
from filigree.drawing.fields import fields_of, wide_ink
from filigree.drawing.fills import only_areas
from filigree.drawing.layers import seen_ink
from filigree.drawing.linework import on_page, strokes
from filigree.drawing.model import Field
from filigree.drawing.wishes import hides, outlines_wish
from filigree.geometry.types import Area, FloatArray

HAIRLINE = 0.03  # mm: a finer stroke falls away beside a fill of its own
FINE = 5.0  # or where the drawing's other strokes are this many times wider


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """What is seen of a drawing, mm; `fields` is None where strokes alone make it."""

    lines: tuple[FloatArray, ...]
    solids: Area
    fields: tuple[Field, ...] | None
    dark: Literal["", "leather", "cut"]
    dark_sure: float


def painted(
    coats: Sequence[Coat],
    clipper: Clipper,
    page: Polygon,
    *,
    line: float,
    dark: Literal["", "leather", "cut"],
) -> Picture:
    """Resolve a painted drawing.

    Args:
        coats: in painting order.
        clipper: with the points of all shapes.
        page: the sheet.
        line: ink narrower than this is a line, mm.
        dark: what wide ink is; "" lets the drawing decide.
    """
    shown = _shown(coats)
    areas = [coat_area(coat, clipper) for coat in shown]
    there = [i for i, area in enumerate(areas) if not area.is_empty]
    shown, areas = [shown[i] for i in there], [areas[i] for i in there]
    paper = np.array([coat.tone != "ink" for coat in shown], dtype=bool)
    thin = np.array(
        [
            coat.tone == "ink"
            and coat.part == "stroke"
            and coat.width <= line
            and coat.shade is None
            for coat in shown
        ],
        dtype=bool,
    )
    seen = seen_ink(areas, paper, thin, name=clipper.document.name)
    ink = seen.thin if seen.broad.is_empty else seen.broad
    if not (seen.thin.is_empty or seen.broad.is_empty):
        ink = only_areas(shapely.union_all([seen.thin, seen.broad]))
    drawn = [shown[i] for i in np.flatnonzero(thin).tolist() if i not in seen.hidden]
    outlined = {id(coat.item) for coat in drawn}
    papers = [areas[i] for i in seen.covering if id(shown[i].item) not in outlined]
    lines = visible_lines(strokes(drawn, clipper, page), seen, papers)
    fields = fields_of(ink, page)
    solids = wide_ink(ink, line, page)
    decided, sure = decide_dark(solids, ink, fields, line=line)
    if dark and decided:
        decided, sure = dark, 1.0
    return Picture(
        lines=on_page(lines, page), solids=solids, fields=fields, dark=decided, dark_sure=sure
    )


def _shown(coats: Sequence[Coat]) -> list[Coat]:
    """Coats that put ink or hide some: no wishes, no hairlines beside a fill, no paper at the very bottom."""
    filled = {
        id(coat.item) for coat in coats if coat.part == "fill" and coat.tone in {"ink", "paper"}
    }
    widths = [coat.width for coat in coats if coat.part == "stroke" and coat.tone == "ink"]
    usual = max(widths, default=0.0)
    shown: list[Coat] = []
    for coat in coats:
        if outlines_wish(coat.item):
            continue
        light = coat.paint.alpha >= OPAQUE and coat.paint.lightness >= THRESHOLD
        light = light and coat.tone == "mark" and not coat.item.context.says
        if coat.tone != "ink" and not hides(coat) and not light:
            continue
        if (
            coat.part == "stroke"
            and coat.width < HAIRLINE
            and (coat.tone != "ink" or id(coat.item) in filled or usual >= FINE * coat.width)
        ):
            continue
        if not shown and coat.tone != "ink":
            continue
        shown.append(coat)
    return shown
