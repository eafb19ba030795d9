"""Wishes: what picks and marks say about regions, before anything is guessed."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point

from filigree.drawing.model import Drawing, Mark
from filigree.errors import FiligreeError
from filigree.geometry.types import XY, BoolArray, Shapes
from filigree.regions.model import RegionMap

COVER = 0.5  # share of a region that a mark must cover
INSIDE = 0.5  # share of a small mark that must lie in the region it sits in
STROKES = frozenset({"hatched", "stippled", "shaded"})  # such marks may be drawing after all
CRUMB = 0.1  # mm: filled areas of less mean width say nothing
DOT = 0.02  # mm2: marks smaller than this are taken as points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wishes:
    """What is wished for each region; rows follow `RegionMap.regions`.

    Attributes:
        says: "open", "keep" or "" for each row.
        picked: True where a pick said so, False where a mark did.
        inlay: colour of the mark that opens each row, or "".
        marked_open: True when the drawing's own marks say what is background: all else stays.
        strokes_open: the same said by strokes or shading alone, which may be drawing after all.
    """

    says: tuple[str, ...]
    picked: BoolArray
    inlay: tuple[str, ...]
    marked_open: bool
    strokes_open: bool = False


def wishes(
    regions: RegionMap, drawing: Drawing, picks_open: Sequence[XY], picks_keep: Sequence[XY]
) -> Wishes:
    """Gather picks and marks; picks outweigh marks.

    Raises:
        FiligreeError: a pick lies in no region, or one region is picked both ways.
    """
    shapes = np.array([r.shape for r in regions.regions], dtype=object)
    says = [""] * len(shapes)
    inlay = [""] * len(shapes)
    colours = _colours(drawing.marks)
    for row, mark in _marked(shapes, drawing.marks):
        says[row] = mark.says
        inlay[row] = mark.colour if mark.says == "open" and mark.colour in colours else ""
    opens = [mark for mark in drawing.marks if mark.says == "open"]
    strokes = [mark for mark in opens if mark.how in STROKES]
    marked_open = len(opens) > len(strokes)
    picked = np.zeros(len(shapes), dtype=bool)
    by: dict[int, tuple[str, XY]] = {}
    for word, points in (("open", picks_open), ("keep", picks_keep)):
        for row, point in zip(_hit(shapes, points), points, strict=True):
            if row in by and by[row][0] != word:
                raise FiligreeError(
                    f"region {regions.regions[row].id} is picked to open and to keep,"
                    f" at {_said(by[row][1])} and {_said(point)}",
                    remedy="leave one of the two picks out",
                )
            by[row] = (word, point)
            says[row] = word
            picked[row] = True
    return Wishes(
        says=tuple(says),
        picked=picked,
        inlay=tuple(inlay),
        marked_open=marked_open,
        strokes_open=bool(strokes) and not marked_open,
    )


def _said(point: XY) -> str:
    return f"{point[0]:g}, {point[1]:g} mm"


def _hit(shapes: Shapes, points: Sequence[XY]) -> list[int]:
    """Row of the smallest region that holds each point."""
    rows = []
    tree = shapely.STRtree(shapes)
    for point in points:
        if not np.isfinite(point).all():
            raise FiligreeError(
                f"the pick {_said(point)} is no place", remedy="give two numbers, mm"
            )
        held = tree.query(Point(point), predicate="intersects")
        if len(held) == 0:
            raise FiligreeError(
                f"the pick at {_said(point)} lies in no region of the drawing",
                remedy="pick a point inside a region, mm from the page's top left; the proof shows them",
            )
        area = shapely.area(shapes[held])
        rows.append(int(held[np.lexsort((held, area))[0]]))
    return rows


def _colours(marks: Sequence[Mark]) -> set[str]:
    """Clear colours of the marks, when there are two or more; greys say only "open"."""
    clear = {m.colour for m in marks if m.says == "open" and _is_clear(m.colour)}
    return clear if len(clear) > 1 else set()


def _is_clear(colour: str) -> bool:
    """Is `#rrggbb` a colour rather than a grey?"""
    if len(colour) != 7 or not colour.startswith("#"):
        return False
    parts = [int(colour[k : k + 2], 16) for k in (1, 3, 5)]
    return max(parts) - min(parts) > 30


def _marked(shapes: Shapes, marks: Sequence[Mark]) -> list[tuple[int, Mark]]:
    """Rows that marks speak for, in document order, so that a later mark outweighs an earlier one.

    An area mark speaks for each region that it covers for the most part; one that covers none so is
    a dab and speaks for the region that most of it lies in. A point speaks for the region round it.
    """
    if not marks:
        return []
    tree = shapely.STRtree(shapes)
    area = shapely.area(shapes)
    found: list[tuple[int, Mark]] = []
    for mark in marks:
        around = shapely.length(mark.shape)
        if around > 0 and 2 * shapely.area(mark.shape) < CRUMB * around:
            continue  # a hairline left over between a fill and the line round it
        spot = (
            mark.shape if shapely.area(mark.shape) > DOT else shapely.point_on_surface(mark.shape)
        )
        near = np.sort(tree.query(spot, predicate="intersects"))
        if len(near) == 0:
            continue
        if isinstance(spot, Point):
            found.append((int(near[np.argmin(area[near])]), mark))
            continue
        small = near[COVER * area[near] < shapely.area(spot)]  # no other can be covered
        shared = shapely.area(shapely.intersection(shapes[small], spot))
        covered = small[shared > COVER * area[small]]
        if len(covered):
            found.extend((int(row), mark) for row in covered)
            continue
        shared = shapely.area(shapely.intersection(shapes[near], spot))
        if shared.max() > INSIDE * spot.area:
            found.append((int(near[shared.argmax()]), mark))
    return found
