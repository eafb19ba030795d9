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

from filigree.geometry.parts import pieces
from filigree.geometry.types import XY, FloatArray, IntArray
from filigree.measure.pull import borders, direction
from filigree.pattern import Pattern

NEAR = 0.8  # times the mean distance of openings: gaps measured first
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
    outline, openings = _held(pattern)
    found = borders(outline, unit)
    if any(side.length == 0 for side in found.sides):
        return None
    free = [notch for notch in found.notches if notch.length > 0]
    solid = _shortest(outline, [*found.sides, *free])
    whole = sum(math.dist(a, b) for a, b in solid)
    gaps = _shortest(outline, [*found.sides, *free, *openings])
    if not gaps:
        return None
    width = sum(math.dist(a, b) for a, b in gaps)
    return Section(
        width=width,
        share=min(width / whole, 1.0) if whole > 0 else 0.0,
        line=tuple(point for gap in gaps for point in gap),
        gaps=tuple(gaps),
    )


def _held(pattern: Pattern) -> tuple[Polygon, list[Polygon]]:
    """Outline, and what a cut may cross without cutting leather that carries.

    That is openings with any loose parts inside them. Where an opening runs round the main piece of face,
    the edge of that piece is the outline.
    """
    openings = [Polygon(o.shape.exterior) for o in pattern.openings]
    main = [Polygon(piece.exterior) for piece in pieces(pattern.land)[:1]]
    if not any(
        Polygon(hole).covers(piece)
        for o in pattern.openings
        for hole in o.shape.interiors
        for piece in main
    ):
        return pattern.outline, openings
    return main[0], [o for o in openings if main[0].covers(o)]


@dataclass(slots=True)
class _Gaps:
    """Straight gaps between shapes, measured when they could matter."""

    outline: BaseGeometry  # grown by OUT, prepared
    shapes: "np.ndarray[tuple[int], np.dtype[np.object_]]"
    boxes: FloatArray
    width: dict[tuple[int, int], float]

    def measure(self, one: IntArray, two: IntArray) -> None:
        """Measure gaps; one that leaves the outline is infinitely wide."""
        pairs = [
            (a, b)
            for a, b in zip(one.tolist(), two.tolist(), strict=True)
            if a < b and (a, b) not in self.width
        ]
        if not pairs:
            return
        here, there = np.array(pairs, dtype=np.int64).T
        lines = shapely.shortest_line(self.shapes[here], self.shapes[there])
        length = shapely.length(lines)
        inside = (length <= OUT) | shapely.covers(self.outline, lines)
        self.width.update(zip(pairs, np.where(inside, length, math.inf).tolist(), strict=True))

    def line(self, a: int, b: int) -> tuple[XY, XY]:
        """Ends of a gap, on `a` first."""
        (x0, y0), (x1, y1) = shapely.get_coordinates(
            shapely.shortest_line(self.shapes[a], self.shapes[b])
        ).tolist()
        return (x0, y0), (x1, y1)

    def shorter(self, least: FloatArray, end: float) -> tuple[IntArray, IntArray]:
        """Pairs whose boxes are nearer than their ways from the first shape differ: they may shorten it."""
        one, two = [np.zeros(0, dtype=np.int64)], [np.zeros(0, dtype=np.int64)]
        for a in np.flatnonzero(least < end).tolist():
            ahead = least[a] + _apart(self.boxes[a], self.boxes)
            better = np.flatnonzero(ahead < np.minimum(least, end) - OUT)
            one.append(np.minimum(a, better))
            two.append(np.maximum(a, better))
        return np.concatenate(one), np.concatenate(two)


def _shortest(outline: Polygon, shapes: list[Shape]) -> list[tuple[XY, XY]]:
    """Gaps of the shortest way from the first shape to the second.

    Gaps to near neighbours give a first way. A farther gap can only help when it is shorter than the ways
    to its two ends differ, so those are measured too, until none is left.
    """
    held = np.array(shapes, dtype=object)
    grown = outline.buffer(OUT)
    shapely.prepare(grown)
    gaps = _Gaps(grown, held, shapely.bounds(held), {})
    reach = NEAR * math.sqrt(outline.area / len(shapes))
    gaps.measure(*shapely.STRtree(held).query(held, predicate="dwithin", distance=reach))
    gaps.measure(np.array([SOURCE]), np.array([SINK]))
    while True:
        least, came = _ways(len(shapes), gaps.width)
        one, two = gaps.shorter(least, float(least[SINK]))
        before = len(gaps.width)
        gaps.measure(one, two)
        if len(gaps.width) == before:
            break
    way, node = [], SINK
    while node != SOURCE and node in came:
        way.append(gaps.line(came[node], node))
        node = came[node]
    return way[::-1]


def _ways(count: int, width: dict[tuple[int, int], float]) -> tuple[FloatArray, dict[int, int]]:
    """Length of the shortest way from the first node to each, and the node before it."""
    links: list[list[tuple[float, int]]] = [[] for _ in range(count)]
    for (a, b), w in width.items():
        if w < math.inf:
            links[a].append((w, b))
            links[b].append((w, a))
    least = [math.inf] * count
    least[SOURCE] = 0.0
    came: dict[int, int] = {}
    queue = [(0.0, SOURCE)]
    while queue:
        cost, node = heapq.heappop(queue)
        if cost > least[node]:
            continue
        for w, other in links[node]:
            if cost + w < least[other]:
                least[other] = cost + w
                came[other] = node
                heapq.heappush(queue, (cost + w, other))
    return np.array(least), came


def _apart(box: FloatArray, boxes: FloatArray) -> FloatArray:
    """Distance of a bounding box to others, `(n,)`."""
    dx = np.maximum(np.maximum(boxes[:, 0] - box[2], box[0] - boxes[:, 2]), 0)
    dy = np.maximum(np.maximum(boxes[:, 1] - box[3], box[1] - boxes[:, 3]), 0)
    apart: FloatArray = np.hypot(dx, dy)
    return apart
