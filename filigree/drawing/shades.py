"""Shades: where on the page a gradient is ink and where it is paper.

A gradient that crosses from dark to light has an edge there as the eye sees it, sharpest where two stops
share one offset. The stretches of its length in one tone become bands: strips of a linear gradient,
rings of a radial one.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import Polygon

from filigree.drawing.boxes import box_matrix
from filigree.drawing.document import Item
from filigree.drawing.fills import EMPTY, only_areas
from filigree.drawing.flat import Flat
from filigree.drawing.gradients import Gradient
from filigree.drawing.numbers import length
from filigree.drawing.paints import Paint
from filigree.drawing.trace import curve_box, moved
from filigree.drawing.transform import Matrix, compose, inverse, read_transform
from filigree.geometry.types import Area, FloatArray

SAMPLES = 32  # between two stops, to find where the tone changes
HALVINGS = 30
MOST_BANDS = 2_000  # of one gradient; with more it is taken by its mean
MOST_CORNERS = 2_000  # of a ring
FOCUS = 0.999  # of the radius: a focus farther out is brought in (SVG 1.1, 13.2.3)
LINE = {"x1": "0%", "y1": "0%", "x2": "100%", "y2": "0%"}
CIRCLE = {"cx": "50%", "cy": "50%", "r": "50%", "fr": "0%"}
Spans = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Shade:
    """The stretches of a gradient's length that are in one tone, offsets from 0 to 1 in rising order."""

    gradient: Gradient
    spans: Spans

    @property
    def share(self) -> float:
        """Part of the length."""
        return sum(end - start for start, end in self.spans)


def spans_by_tone(gradient: Gradient, tone: Callable[[Paint], str]) -> dict[str, Spans]:
    """Split a gradient's length by the tone of its colour.

    Args:
        gradient: between two stops colour and opacity change evenly.
        tone: of one paint.
    """
    found: dict[str, list[tuple[float, float]]] = {}

    def put(kind: str, start: float, end: float) -> None:
        spans = found.setdefault(kind, [])
        if spans and spans[-1][1] == start:
            spans[-1] = (spans[-1][0], end)
        else:
            spans.append((start, end))

    for k, (left, right) in enumerate(pairwise(gradient.places)):
        if right <= left:
            continue
        first, last = gradient.paints[k : k + 2]
        steps = SAMPLES if first != last else 1
        start, kind = 0.0, tone(first)
        for i in range(1, steps + 1):
            after = tone(first.towards(last, i / steps))
            if after == kind:
                continue
            low, high = (i - 1) / steps, i / steps
            for _ in range(HALVINGS):
                middle = (low + high) / 2
                same = tone(first.towards(last, middle)) == kind
                low, high = (middle, high) if same else (low, middle)
            put(kind, left + start * (right - left), left + high * (right - left))
            start, kind = high, after
        if start < 1:
            put(kind, left + start * (right - left), right)
    return {kind: tuple(spans) for kind, spans in found.items()}


def shaded(area: Area, shade: Shade, item: Item, flat: Flat, tolerance: float) -> Area:
    """Part of an item's painted area, mm, that is in the tone of a shade.

    Args:
        area: of the item's fill or stroke.
        shade: stretches of its gradient.
        item: whose box and user space the gradient may refer to.
        flat: with the pieces of the item.
        tolerance: most that a chord leaves a ring, mm.
    """
    if area.is_empty:
        return area
    place = _placed(shade.gradient, item, flat)
    if place is None:
        return EMPTY
    bands = place.bands(shade, area, tolerance)
    if bands is None:
        return area if shade.share >= 0.5 else EMPTY
    return only_areas(shapely.intersection(area, shapely.union_all(bands)))


def ends_at_once(gradient: Gradient) -> bool:
    """Say whether a gradient has no length, so that its last colour fills everything (SVG 2, 14.2.2 and 14.2.3)."""
    get = gradient.attributes.get
    if gradient.kind == "radialGradient":
        return get("r", "50%").strip().rstrip("%") in {"0", "0.0"}
    ends = [get(name, usual).strip() for name, usual in LINE.items()]
    return ends[:2] == ends[2:]


def _placed(gradient: Gradient, item: Item, flat: Flat) -> "_Strips | _Rings | None":
    """Put a gradient on the page; None where its box has no area or its numbers cannot be read."""
    get = gradient.attributes.get
    by_box = get("gradientUnits", "objectBoundingBox").strip() != "userSpaceOnUse"
    wide, high = (1.0, 1.0) if by_box else item.context.viewport
    sizes = {"x": wide, "y": high, "r": math.hypot(wide, high) / math.sqrt(2)}
    radial = gradient.kind == "radialGradient"
    font = float(item.style.get("font-size", "16") or 16)

    def read(name: str, usual: str) -> float:
        axis = "r" if name in {"r", "fr"} else "x" if "x" in name else "y"
        return length(get(name, usual), whole=sizes[axis], font=font)

    try:
        values = [read(name, usual) for name, usual in (CIRCLE if radial else LINE).items()]
        focus = [read(f"f{axis}", get(f"c{axis}", "50%")) for axis in "xy"] if radial else None
        matrix = read_transform(get("gradientTransform", ""))
    except ValueError:
        return None
    if by_box:
        box = curve_box(flat.trace.cubics[slice(*item.pieces)])
        if box is None or box[2] <= 0 or box[3] <= 0:
            return None
        matrix = compose(box_matrix(box), matrix)
    matrix = compose(item.matrix, matrix)
    back = inverse(matrix)
    if back is None:
        return None
    spread = get("spreadMethod", "pad").strip()
    if focus is None:
        start, end = np.array(values[:2]), np.array(values[2:])
        return _Strips(matrix, back, spread, start, end) if (start != end).any() else None
    centre, radius = np.array(values[:2]), values[2]
    if radius <= 0:
        return None
    off = np.array(focus) - centre
    far = float(np.hypot(*off))
    if far > FOCUS * radius:
        off *= FOCUS * radius / far
    return _Rings(
        matrix, back, spread, centre, radius, centre + off, min(values[3], radius * FOCUS)
    )


def _turns(spans: Spans, spread: str, low: float, high: float) -> list[tuple[float, float]] | None:
    """Spans over all of a range of offsets, repeated as the gradient spreads; None when there are too many."""
    if spread not in {"repeat", "reflect"}:
        return [
            (low if start <= 0 else start, high if end >= 1 else end)
            for start, end in spans
            if start > 0 or end > 0
        ]
    first, last = math.floor(low), math.ceil(high)
    if (last - first) * len(spans) > MOST_BANDS:
        return None
    return [
        (k + 1 - end, k + 1 - start) if spread == "reflect" and k % 2 else (k + start, k + end)
        for k in range(first, last)
        for start, end in spans
    ]


def _corners(area: Area, back: Matrix) -> FloatArray:
    """Corners of the box of an area, in the space of a gradient."""
    left, top, right, low = area.bounds
    corners = np.array([[[left, top], [right, top], [right, low], [left, low]]])
    return np.asarray(moved(corners, np.array(back))[0])


@dataclass(frozen=True, slots=True, eq=False)
class _Strips:
    """A linear gradient on the page."""

    matrix: Matrix
    back: Matrix
    spread: str
    start: FloatArray
    end: FloatArray

    def bands(self, shade: Shade, area: Area, _tolerance: float) -> list[Polygon] | None:
        along = self.end - self.start
        size = float(along @ along)
        across = np.array([-along[1], along[0]])
        corners = _corners(area, self.back) - self.start
        place, side = corners @ along / size, corners @ across / size
        low, high = float(place.min()) - 1, float(place.max()) + 1
        spans = _turns(shade.spans, self.spread, low, high)
        if spans is None:
            return None
        left, right = float(side.min()) - 1, float(side.max()) + 1
        quads = np.array(
            [
                [
                    self.start + t * along + s * across
                    for t, s in ((a, left), (b, left), (b, right), (a, right))
                ]
                for a, b in spans
                if b > a
            ]
        ).reshape(-1, 4, 2)
        return [Polygon(quad) for quad in moved(quads, np.array(self.matrix))]


@dataclass(frozen=True, slots=True, eq=False)
class _Rings:
    """A radial gradient on the page; offset t lies on a circle between focus and outer circle."""

    matrix: Matrix
    back: Matrix
    spread: str
    centre: FloatArray
    radius: float
    focus: FloatArray
    inner: float

    def bands(self, shade: Shade, area: Area, tolerance: float) -> list[Polygon] | None:
        corners = _corners(area, self.back)
        least = max(
            self.radius - self.inner - float(np.hypot(*(self.centre - self.focus))),
            1e-6 * self.radius,
        )
        far = float(np.hypot(*(corners - self.focus).T).max())
        high = max(1.0, (far - self.inner) / least) + 1
        spans = _turns(shade.spans, self.spread, 0.0, high)
        if spans is None:
            return None
        return [
            band
            for start, end in spans
            if end > start
            for band in shapely.get_parts(
                shapely.difference(self._disc(end, tolerance), self._disc(start, tolerance))
            ).tolist()
        ]

    def _disc(self, offset: float, tolerance: float) -> Polygon:
        """Disc up to an offset, on the page."""
        radius = self.inner + offset * (self.radius - self.inner)
        if radius <= 0 or offset < 0:
            return Polygon()
        centre = self.focus + offset * (self.centre - self.focus)
        a, b, c, d = self.matrix[:4]
        size = radius * math.sqrt((a * a + b * b + c * c + d * d) / 2)
        corner = math.acos(max(0.0, 1 - min(1.0, tolerance / max(size, 1e-9))))
        count = int(min(MOST_CORNERS, max(16, math.ceil(math.pi / max(corner, 1e-3)))))
        turn = np.linspace(0, 2 * math.pi, count, endpoint=False)
        ring = centre + radius * np.column_stack([np.cos(turn), np.sin(turn)])
        return Polygon(moved(ring[None], np.array(self.matrix))[0])
