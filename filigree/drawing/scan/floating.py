"""Floating: a few straight strokes that cross each other within a field and touch nothing else of the drawing.

Nothing drawn looks like this: veins end on a rib, a trellis hangs on its frame. However small the field, they are a
mark. Limits are common practice, no source.
"""

import numpy as np
import shapely

from filigree.drawing.scan.beside import LENGTH, Lines
from filigree.drawing.scan.family import in_two_ways
from filigree.geometry.groups import connected
from filigree.geometry.types import BoolArray, FloatArray, IntArray

FEW = 2  # strokes
CROSS = (
    0.25,
    2.0,
)  # of two alone: share from its ends that each is crossed in, and longer over shorter
TOUCH = 0.15  # mm: lines nearer than this touch
LONGEST = 40.0  # mm
OPEN = 2.3  # mm2 of their hull to a mm of stroke, at most
INNER = 0.06  # share of a stroke from its ends within which it is crossed
CROSSED = 0.25  # share of the strokes that are crossed there
FORM = 0.75  # share of the drawn length that is straight and runs in two directions
OUTLINE, NEAR = (
    0.7,
    0.2,
)  # share of the hull's outline that is drawn, and mm within which it is: a drawn thing has one
RIB = 2  # strokes of the second direction: one alone across many is a rib
BESIDE = 3.0  # mm from such strokes that a lone one belongs to them
LONGER = 1.5  # times the longest of them that it is long
PARALLEL = np.radians(16)  # direction of a lone one against them


def floating(lines: Lines, straight: BoolArray) -> list[tuple[shapely.Polygon, IntArray]]:
    """Groups of crossing strokes that touch nothing else: the area they take, mm2, and which they are.

    Args:
        lines: all straight runs.
        straight: those that may be strokes by their form.
    """
    first, second = shapely.STRtree(lines.shapes).query(
        lines.shapes, predicate="dwithin", distance=TOUCH
    )
    name = connected(len(lines.shapes), first, second)
    long = np.bincount(name, lines.length > LONGEST) > 0
    boxes = _boxes(lines, name)
    groups = np.split(np.argsort(name, kind="stable"), np.cumsum(np.bincount(name))[:-1])
    loose = [own for own, skip in zip(groups, long.tolist(), strict=True) if not skip]
    lone = [own for own in loose if (lines.length[own] >= LENGTH[0]).sum() == 1]
    out = []
    for own in loose:
        big = own[lines.length[own] >= LENGTH[0]]
        if len(big) < FEW:
            continue
        if not _held(boxes, int(name[own[0]])) or not _crossing(lines, big, straight):
            continue
        hull = shapely.convex_hull(shapely.union_all(lines.shapes[own]))
        if len(big) > FEW and _outlined(lines, big, hull):
            continue
        if hull.area > OPEN * float(lines.length[big].sum()):
            continue
        more = [a for a in lone if straight[a].all() and _belongs(lines, a, big, hull)]
        whole = np.concatenate([own, *more])
        area = shapely.convex_hull(shapely.union_all(lines.shapes[whole]))
        if isinstance(area, shapely.Polygon):
            out.append((area, np.sort(whole)))
    return out


def _boxes(lines: Lines, name: IntArray) -> FloatArray:
    """Bounds of each group, `(n, 4)`."""
    bounds = shapely.bounds(lines.shapes)
    low = np.full((int(name.max()) + 1, 2), np.inf)
    high = -low
    np.minimum.at(low, name, bounds[:, :2])
    np.maximum.at(high, name, bounds[:, 2:])
    return np.hstack([low, high])


def _held(boxes: FloatArray, k: int) -> bool:
    """True when something else drawn surrounds a group."""
    around = (boxes[:, :2] < boxes[k, :2]).all(1) & (boxes[:, 2:] > boxes[k, 2:]).all(1)
    return bool(around.any())


def _outlined(lines: Lines, own: IntArray, hull: shapely.Geometry) -> bool:
    """True when most of the hull's outline is drawn."""
    drawn = shapely.buffer(shapely.union_all(lines.shapes[own]), NEAR)
    outline = shapely.boundary(hull)
    within = shapely.length(shapely.intersection(outline, drawn))
    return bool(within >= OUTLINE * shapely.length(outline))


def _crossing(lines: Lines, own: IntArray, straight: BoolArray) -> bool:
    """True when nearly all of it is strokes of two directions that cross each other."""
    fit = own[straight[own]]
    alike = in_two_ways(lines, fit) if len(fit) else fit
    if lines.length[alike].sum() < FORM * lines.length[own].sum():
        return False
    turn = 2 * (lines.turn[alike] - lines.turn[alike[np.argmax(lines.length[alike])]])
    if len(alike) < FEW:
        return False
    if len(alike) == FEW and lines.length[alike].max() > CROSS[1] * lines.length[alike].min():
        return False
    if len(alike) > FEW + 1 and min((np.cos(turn) > 0).sum(), (np.cos(turn) <= 0).sum()) < RIB:
        return False
    first, second = shapely.STRtree(lines.shapes[alike]).query(
        lines.shapes[alike], predicate="intersects"
    )
    apart = first != second
    first, second = first[apart], second[apart]
    at = shapely.intersection(lines.shapes[alike[first]], lines.shapes[alike[second]])
    share = shapely.line_locate_point(
        lines.shapes[alike[first]], shapely.centroid(at), normalized=True
    )
    least = CROSS[0] if len(alike) == FEW else INNER
    inner = first[(share > least) & (share < 1 - least)]
    return len(np.unique(inner)) >= (FEW if len(alike) == FEW else CROSSED * len(alike))


def _belongs(lines: Lines, lone: IntArray, own: IntArray, hull: shapely.Geometry) -> bool:
    """True for a stroke by itself, beside the others and parallel to some."""
    big = lone[lines.length[lone] >= LENGTH[0]]
    if len(big) != 1 or shapely.distance(lines.shapes[big[0]], hull) > BESIDE:
        return False
    if lines.length[big[0]] > LONGER * float(lines.length[own].max()):
        return False
    way = shapely.shortest_line(lines.shapes[big[0]], shapely.union_all(lines.shapes[own]))
    between = shapely.STRtree(lines.shapes).query(way, predicate="intersects")
    if len(np.setdiff1d(between, np.concatenate([lone, own]))):
        return False
    off = np.abs((lines.turn[own] - lines.turn[big[0]] + np.pi / 2) % np.pi - np.pi / 2)
    return bool(off.min() < PARALLEL)
