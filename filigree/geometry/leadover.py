"""Lead over: corners of a ring are replaced by curves that leave the edge smoothly on both sides."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import XY, FloatArray

TRIES = 7  # times a curve is made shorter before a corner is left alone
SHORTER = 0.7  # times as long
APART = 0.45  # of the way to the next corner: the most that a curve takes of it
LEAST = math.radians(2)  # a curve that turns less is none
FINE = math.radians(4)  # turning of a curve from chord to chord

Curve = tuple[float, float, FloatArray]  # where it starts and ends along the ring; its points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LedOver:
    """A ring with corners led over.

    Attributes:
        ring: its points, `(n, 2)`, mm; every point away from the corners is the same.
        parts: what lies between the old edge and the new one at each corner; None where it stays.
    """

    ring: FloatArray
    parts: tuple[Polygon | None, ...]


def led_over(
    ring: FloatArray,
    corners: Sequence[int],
    *,
    reach: Sequence[float],
    fixed: Sequence[int],
) -> LedOver:
    """Replace corners that turn left by curves.

    A curve begins and ends on the edge, up to `reach` from its corner along it, in the direction of the edge there. It
    runs over no other corner and turns left alone, so that it lies on the inner side of the corner.

    Args:
        ring: closed, the last point the first, `(n + 1, 2)`, mm.
        corners: vertices to replace, in order round the ring.
        reach: of each corner's curve, mm.
        fixed: vertices over which no curve runs; corners are never run over.
    """
    line = _Ring.of(ring)
    stops = sorted(line.way[k] for k in {*corners, *fixed})
    found = [_curve(line, stops, k, most) for k, most in zip(corners, reach, strict=True)]
    kept = [made[0] for made in found if made is not None]
    return LedOver(
        ring=_joined(line, kept) if kept else ring,
        parts=tuple(None if made is None else made[1] for made in found),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ring:
    """A ring with its directions, as plain numbers: corners are looked at one by one.

    Attributes:
        points: without the last, `(n, 2)`.
        at: the same.
        unit: direction of each edge.
        way: from the first vertex to each, and round the ring, mm.
    """

    points: FloatArray
    at: list[XY]
    unit: list[XY]
    way: list[float]

    @classmethod
    def of(cls, ring: FloatArray) -> "_Ring":
        step = np.diff(ring, axis=0)
        size = np.hypot(step[:, 0], step[:, 1])
        unit = step / np.maximum(size, 1e-18)[:, None]
        way = np.concatenate([[0.0], np.cumsum(size)])
        points = ring[:-1]
        return cls(points=points, at=points.tolist(), unit=unit.tolist(), way=way.tolist())

    def place(self, way: float) -> tuple[XY, XY]:
        """Give point and direction at a place along the ring."""
        k = min(max(bisect_right(self.way, way) - 1, 0), len(self.at) - 1)
        (x, y), (u, v), on = self.at[k], self.unit[k], way - self.way[k]
        return (x + u * on, y + v * on), (u, v)

    def between(self, start: float, end: float) -> FloatArray:
        """Vertices strictly between two places, in order; past the first point where `end` comes before `start`."""
        low, high = bisect_right(self.way, start), bisect_left(self.way, end)
        if start < end:
            return self.points[low:high]
        return np.concatenate([self.points[low:], self.points[:high]])


def _curve(
    line: _Ring, stops: Sequence[float], corner: int, most: float
) -> tuple[Curve, Polygon] | None:
    """Give the longest curve that a corner has room for, and what it cuts off."""
    here, around = line.way[corner], line.way[-1]
    k = bisect_left(stops, here)
    ahead, behind = stops[(k + 1) % len(stops)] - here, here - stops[k - 1]
    apart = min(ahead if ahead > 0 else ahead + around, behind if behind > 0 else behind + around)
    reach = min(most, APART * apart)
    for _ in range(TRIES):
        ends = (here - reach) % around, (here + reach) % around
        (start, out), (end, on) = line.place(ends[0]), line.place(ends[1])
        turn = math.atan2(_left(out, on), out[0] * on[0] + out[1] * on[1])
        across = end[0] - start[0], end[1] - start[1]
        left = min(_left(out, across), _left(across, on))
        if turn > LEAST and left > 0:  # else it would have to turn both ways
            curve = ends[0], ends[1], _cubic(start, out, end, on, turn)
            part = _part(line, curve)
            if part is not None:
                return curve, part
        reach *= SHORTER
    return None


def _cubic(start: XY, out: XY, end: XY, on: XY, turn: float) -> FloatArray:
    """Points of a curve that leaves and arrives in two directions, near an arc where it can be, ends included."""
    handle = math.dist(start, end) * 2 / 3 / (1 + math.cos(turn / 2))
    held = np.array(
        [
            start,
            (start[0] + out[0] * handle, start[1] + out[1] * handle),
            (end[0] - on[0] * handle, end[1] - on[1] * handle),
            end,
        ]
    )
    t = np.linspace(0.0, 1.0, max(3, math.ceil(turn / FINE)) + 1)[:, None]
    weights = np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])
    points: FloatArray = weights @ held
    return points


def _left(one: XY, other: XY) -> float:
    """Above 0 where a direction lies to the left of another, as the turning counts."""
    return one[0] * other[1] - one[1] * other[0]


def _part(line: _Ring, curve: Curve) -> Polygon | None:
    """What lies between the edge and a curve; None when they cross."""
    start, end, points = curve
    part = Polygon(np.concatenate([points[:1], line.between(start, end), points[:0:-1]]))
    return part if part.is_valid and part.exterior.is_ccw and part.area > 0 else None


def _joined(line: _Ring, curves: Sequence[Curve]) -> FloatArray:
    """Give the closed ring with curves in place of what lies between their ends."""
    order = sorted(curves, key=lambda c: c[0])
    rows = []
    for k, (_, end, points) in enumerate(order):
        rows += [points, line.between(end, order[(k + 1) % len(order)][0])]
    ring = np.concatenate(rows)
    return np.concatenate([ring, ring[:1]])


def with_rings(shape: Polygon, rings: Sequence[FloatArray]) -> Polygon | None:
    """Give a polygon of these rings, the shell first; None when they cross or fall apart."""
    done = Polygon(rings[0], rings[1:])
    return done if shapely.is_valid(done) and done.area <= shape.area else None
