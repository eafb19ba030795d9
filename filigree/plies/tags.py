"""Tags: where the numbers of findings stand on a picture, side by side, each at its place or on a leader.

A tag stands on its place where that is free. Else it moves to the cheapest of the places tried round it: away
from other tags, from the numbers of fields, which must be read to be typed, and from other findings' places.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import XY, FloatArray
from filigree.plies.drawn import Label

CLEAR = 0.35  # mm between tags
DOT = 0.55  # mm: radius of what marks a place whose tag has moved
WAYS = 24  # directions that are tried, from up-right on
RINGS = (1.6, 3.0, 4.6, 6.6, 9.0, 12.0, 16.0, 21.0)  # mm beyond the tag's radius
BEYOND = 1.5  # mm: the middle of a tag lies no farther outside the picture
AT_ALL = 0.3  # mm: what the least overlap counts for
OVER_TAG, OVER_NUMBER, OVER_PLACE = (
    40.0,
    25.0,
    6.0,
)  # cost of a mm of overlap, against one of distance


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """The number of one finding.

    Attributes:
        at: middle of the tag.
        radius: of its disc, mm.
        place: what it is about.
        end: where its leader ends: at the place, or beside the field's number that stands there; None when the
            tag stands on its place.
        dotted: True when the place itself wants a mark, since no number and no measured line shows it.
    """

    at: XY
    radius: float
    place: XY
    end: XY | None = None
    dotted: bool = False


def number_size(label: Label, *, most: float) -> float:
    """Letter height of a field's number, mm: what its field has room for, at most `most`."""
    digits = len(str(label.id))
    return min(most, max(1.1, 2 * label.room / (0.65 * digits + 0.5)))


def number_box(label: Label, *, most: float) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a field's number."""
    size = number_size(label, most=most)
    signs = len(str(label.id)) + (label.kind != "rim" and label.sure < 0.8)
    (x, y), wide, high = label.at, 0.36 * size * signs + 0.2, 0.42 * size + 0.2
    return x - wide, y - high, x + wide, y + high


def tag_radius(number: int) -> float:
    """Radius of the disc of a tag, by the digits of its number, mm."""
    return (1.5, 1.9, 2.4, 2.9)[min(len(str(number)), 4) - 1]


def place_tags(
    places: Sequence[XY],
    *,
    on_line: Sequence[bool],
    numbers: Sequence[tuple[float, float, float, float]],
    bounds: tuple[float, float, float, float],
) -> tuple[Tag, ...]:
    """Stand the tags of findings side by side, in the order of the findings: the first choose first.

    Args:
        places: of the findings, the most important first.
        on_line: for each, whether a measured line is drawn there, which its tag must not hide.
        numbers: boxes of the fields' numbers.
        bounds: left, top, right, bottom of what is shown.
    """
    if not places:
        return ()
    spots = np.array(places, dtype=float)
    radii = np.array([tag_radius(k) for k in range(1, len(places) + 1)])
    boxes = np.array(numbers, dtype=float).reshape(-1, 4)
    middles = np.zeros_like(spots)
    for k, spot in enumerate(spots):
        least = np.inf
        elsewhere = spots[np.hypot(*(spots - spot).T) > DOT]
        for tried in _tried(spot, radii[k], bounds, on_place=not on_line[k]):
            away = np.hypot(*(tried - spot).T)
            if least <= away.min():
                break  # what is farther off costs more than the best so far
            cost = away + OVER_TAG * _over_discs(tried, radii[k] + CLEAR, middles[:k], radii[:k])
            cost += OVER_NUMBER * _over_boxes(tried, radii[k], boxes)
            dots = np.full(len(elsewhere), DOT)
            cost = np.round(cost + OVER_PLACE * _over_discs(tried, radii[k], elsewhere, dots), 6)
            best = int(np.argmin(cost))
            if cost[best] < least:
                least, middles[k] = float(cost[best]), tried[best]
    return tuple(
        _tag(spots[k], middles[k], float(radii[k]), boxes, on_line=on_line[k])
        for k in range(len(spots))
    )


def _tried(
    spot: FloatArray, radius: float, bounds: tuple[float, float, float, float], *, on_place: bool
) -> Iterator[FloatArray]:
    """Places for a tag: its own, then ring after ring; none far outside the picture unless all are."""
    if on_place:
        yield spot[None]
    angles = -np.pi / 4 + np.arange(WAYS) * 2 * np.pi / WAYS
    ways = np.column_stack([np.cos(angles), np.sin(angles)])
    rings = [spot + (radius + away) * ways for away in RINGS]
    left, top, right, bottom = bounds
    low, high = (left - BEYOND, top - BEYOND), (right + BEYOND, bottom + BEYOND)
    inside = [ring[((ring >= low) & (ring <= high)).all(axis=1)] for ring in rings]
    found = inside if any(len(ring) for ring in inside) else rings
    yield from (ring for ring in found if len(ring))


def _over_discs(
    tried: FloatArray, radius: float, middles: FloatArray, radii: FloatArray
) -> FloatArray:
    """How deep a disc at each place tried lies over others, mm, all together."""
    reach = radius + radii.max(initial=0.0)
    low, high = tried.min(axis=0) - reach, tried.max(axis=0) + reach
    near = ((middles >= low) & (middles <= high)).all(axis=1)
    off = np.hypot(*(tried[:, None] - middles[near][None]).transpose(2, 0, 1))
    return _counted(np.maximum(radius + radii[near] - off, 0.0))


def _over_boxes(tried: FloatArray, radius: float, boxes: FloatArray) -> FloatArray:
    """How deep a disc at each place tried lies over boxes, mm, all together."""
    low, high = tried.min(axis=0) - radius, tried.max(axis=0) + radius
    near = ((boxes[:, 2:] >= low) & (boxes[:, :2] <= high)).all(axis=1)
    low, high = boxes[near, :2], boxes[near, 2:]
    off = np.maximum(np.maximum(low - tried[:, None], tried[:, None] - high), 0.0)
    return _counted(np.maximum(radius - np.hypot(off[..., 0], off[..., 1]), 0.0))


def _counted(over: FloatArray) -> FloatArray:
    """Add overlaps up; each weighs something however small it is."""
    total: FloatArray = (over + AT_ALL * (over > 0)).sum(axis=1)
    return total


def _tag(
    spot: FloatArray, middle: FloatArray, radius: float, boxes: FloatArray, *, on_line: bool
) -> Tag:
    at, place = _xy(middle), _xy(spot)
    if np.array_equal(spot, middle):
        return Tag(at=at, radius=radius, place=place)
    unit = (spot - middle) / np.hypot(*(spot - middle))
    hit = ((boxes[:, :2] <= spot) & (spot <= boxes[:, 2:])).all(axis=1)
    end = spot
    if hit.any():
        left, top, right, bottom = boxes[int(np.argmax(hit))]
        with np.errstate(divide="ignore"):
            ways = np.abs(np.array([(right - left) / 2, (bottom - top) / 2]) / unit)
        end = np.array([(left + right) / 2, (top + bottom) / 2]) - unit * ways.min()
    return Tag(
        at=at,
        radius=radius,
        place=place,
        end=_xy(end),
        dotted=not on_line and not bool(hit.any()),
    )


def _xy(point: FloatArray) -> XY:
    return float(point[0]), float(point[1])
