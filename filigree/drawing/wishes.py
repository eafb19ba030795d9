"""Wishes: areas and groups of the art that say what is background and what stays."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString, Point

from filigree.drawing.coats import OPAQUE, Coat, stands_out
from filigree.drawing.document import Item
from filigree.drawing.fills import Rule, fill_area
from filigree.drawing.flat import Flat
from filigree.drawing.model import Mark
from filigree.drawing.paints import hex_of
from filigree.geometry.types import Area

LEAST_MM2 = 0.01  # area of a fill that marks
PAGE_SHARE = 0.6  # a fill over more of the page than this is its ground


def outlines_wish(item: Item) -> bool:
    """Say whether an item is only a wish: in a group `open` or `keep`, and no closed line of the drawing."""
    if not item.context.says:
        return False
    return item.style.get("stroke", "none") in {"none", ""} or not item.closed


def hides(coat: Coat) -> bool:
    """Say whether a light coat hides what lies under it: a grey laid over lines alone only marks."""
    if coat.item.context.says or coat.paint.alpha < OPAQUE:
        return False
    outlined = coat.item.style.get("stroke", "none") not in {"none", ""}
    return coat.tone == "paper" or (coat.tone == "mark" and outlined)


def marks_of(coats: Sequence[Coat], flat: Flat, page_mm2: float) -> tuple[Mark, ...]:
    """Wishes of a drawing, in document order."""
    marks: list[Mark] = []
    named: set[int] = set()
    for coat in coats:
        item = coat.item
        if item.context.says:
            if id(item) not in named:
                named.add(id(item))
                marks += _named(coat, flat)
        elif coat.tone == "mark":
            area = item_area(item, flat)
            if LEAST_MM2 < area.area < PAGE_SHARE * page_mm2:
                colour = hex_of(coat.paint.on_white)
                marks.append(Mark(shape=area, says="open", how=f"filled {colour}", colour=colour))
    return tuple(marks)


def item_area(item: Item, flat: Flat, *, rule: str = "") -> Area:
    """Area that an item's fill covers, mm, by its own fill rule or another one."""
    chosen: Rule = "evenodd" if (rule or item.style.get("fill-rule")) == "evenodd" else "nonzero"
    return fill_area([points for points in flat.of(item) if len(points)], chosen)


def _named(coat: Coat, flat: Flat) -> list[Mark]:
    item = coat.item
    says, group = item.context.says, item.context.group
    if says == "":
        return []
    area = item_area(item, flat)
    points = [points for points in flat.of(item) if len(points)]
    colour = ""
    if coat.part == "fill" and stands_out(coat.paint.on_white):
        colour = hex_of(coat.paint.on_white)
    how = f"'{group}'"
    if area.area > LEAST_MM2 and (item.closed or coat.part == "fill"):
        return [Mark(shape=area, says=says, how=how, colour=colour, group=group)]
    if not points:
        return []
    at = shapely.line_interpolate_point(LineString(points[0]), 0.5, normalized=True)
    middle = at if not at.is_empty else Point(*np.concatenate(points).mean(axis=0))
    return [Mark(shape=middle, says=says, how=how, colour=colour, group=group)]
