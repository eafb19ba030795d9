"""Weakest section: the least width of leather on any cut across the pull.

Most that can flow along equals the least that a cut must cross (max-flow, min-cut), and the least cut is a
shortest way between the two long sides whose steps are straight gaps: inside an opening it is free,
land costs its width. Gaps are measured only when they could still matter, so the answer is exact.
"""

import heapq
import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import XY, FloatArray
from filigree.measure.pull import direction, sides
from filigree.pattern import Pattern

CUTS = 65  # straight cuts across that give a first upper bound
OUT = 1e-6  # mm: a gap may run this far outside the outline
SOURCE, SINK = 0, 1

Shape = LineString | Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """The weakest cut across.

    Attributes:
        width: leather on it, mm.
        share: of the weakest section of the uncut outline, 0 to 1.
        line: the cut, from side to side.
        gaps: the stretches of leather on it.
    """

    width: float
    share: float
    line: tuple[XY, ...]
    gaps: tuple[tuple[XY, XY], ...]


def weakest(pattern: Pattern, *, pull: str) -> Section | None:
    """Find the weakest section of a face along a pull; None when no side is left between the ends.

    Raises:
        FiligreeError: `pull` is no direction.
    """
    unit = direction(pull, pattern.outline)
    left, right = sides(pattern.outline, unit)
    if left.length == 0 or right.length == 0:
        return None
    solid = _shortest(pattern.outline, [left, right], math.inf)
    whole = sum(math.dist(a, b) for a, b in solid)
    shapes: list[Shape] = [left, right]
    shapes += [Polygon(o.shape.exterior) for o in pattern.openings]
    bound = min(whole, _straight(pattern, unit, left, right)) * (1 + 1e-9) + OUT
    gaps = _shortest(pattern.outline, shapes, bound)
    if not gaps:
        return None
    width = sum(math.dist(a, b) for a, b in gaps)
    return Section(
        width=width,
        share=min(width / whole, 1.0) if whole > 0 else 0.0,
        line=tuple(point for gap in gaps for point in gap),
        gaps=tuple(gaps),
    )


def _straight(pattern: Pattern, unit: FloatArray, left: LineString, right: LineString) -> float:
    """Least leather on straight cuts across the pull where both sides run: an upper bound."""
    normal = np.array([-unit[1], unit[0]])
    along = [shapely.get_coordinates(side) @ unit for side in (left, right)]
    start, end = max(a.min() for a in along), min(a.max() for a in along)
    across = shapely.get_coordinates(pattern.outline.exterior) @ normal
    if end <= start:
        return math.inf
    places = np.linspace(start, end, CUTS + 2)[1:-1]
    low, high = across.min() - 1, across.max() + 1
    lines = [LineString([p * unit + low * normal, p * unit + high * normal]) for p in places]
    on_land = shapely.length(shapely.intersection(pattern.land, lines))
    return float(on_land.min())


@dataclass(slots=True)
class _Gaps:
    """Straight gaps between shapes, measured when asked for."""

    outline: BaseGeometry  # grown by OUT
    shapes: list[Shape]
    known: dict[tuple[int, int], tuple[float, tuple[XY, XY]]]

    def between(self, a: int, b: int) -> tuple[float, tuple[XY, XY]]:
        """Width and ends of the gap from `a` to `b`; infinite when it leaves the outline."""
        key = (min(a, b), max(a, b))
        if key not in self.known:
            line = shapely.shortest_line(self.shapes[key[0]], self.shapes[key[1]])
            (x0, y0), (x1, y1) = shapely.get_coordinates(line).tolist()
            inside = line.length <= OUT or self.outline.covers(line)
            width = float(line.length) if inside else math.inf
            self.known[key] = (width, ((x0, y0), (x1, y1)))
        width, (start, end) = self.known[key]
        return width, ((start, end) if a < b else (end, start))


def _shortest(outline: Polygon, shapes: list[Shape], bound: float) -> list[tuple[XY, XY]]:
    """Gaps of the shortest way from the first shape to the second, of at most `bound` mm in all.

    Each way is taken up first with the distance of bounding boxes, and measured when its turn comes.
    """
    boxes = shapely.bounds(np.array(shapes, dtype=object))
    gaps = _Gaps(outline.buffer(OUT), shapes, {})
    shapely.prepare(gaps.outline)
    least = np.full(len(shapes), math.inf)
    least[SOURCE] = 0.0
    came: dict[int, int] = {}
    done = np.zeros(len(shapes), dtype=bool)
    queue: list[tuple[float, bool, int, int]] = [(0.0, True, SOURCE, SOURCE)]
    while queue:
        cost, exact, node, before = heapq.heappop(queue)
        if done[node]:
            continue
        if not exact:
            width, _ = gaps.between(before, node)
            if least[before] + width < min(least[node], bound + OUT):
                least[node] = least[before] + width
                heapq.heappush(queue, (float(least[node]), True, node, before))
            continue
        done[node] = True
        came[node] = before
        if node == SINK:
            break
        ahead = cost + _apart(boxes[node], boxes)
        for other in np.flatnonzero(~done & (ahead < np.minimum(least, bound + OUT))).tolist():
            heapq.heappush(queue, (float(ahead[other]), False, other, node))
    way, node = [], SINK
    while node != SOURCE and node in came:
        way.append(gaps.between(came[node], node)[1])
        node = came[node]
    return way[::-1]


def _apart(box: FloatArray, boxes: FloatArray) -> FloatArray:
    """Distance of a bounding box to others, `(n,)`."""
    dx = np.maximum(np.maximum(boxes[:, 0] - box[2], box[0] - boxes[:, 2]), 0)
    dy = np.maximum(np.maximum(boxes[:, 1] - box[3], box[1] - boxes[:, 3]), 0)
    apart: FloatArray = np.hypot(dx, dy)
    return apart
