"""Ends of strands: where a strand is clean of its neighbours' ink, and how it would run on."""

import math
from dataclasses import dataclass

import numpy as np

from filigree.drawing.scan.centre import Strand
from filigree.geometry.types import BoolArray, FloatArray

CLEAN = 1.18  # times its usual width: wider ink belongs to a junction
SETTLED = 4  # points in a row that must be clean
SPREAD = 2  # points by which averaging along the line carries a junction's ink
CLEAR_OF_NODE = 0.55  # widths from a junction that are never trusted
CLEAR_OF_TIP = 0.5  # widths from a free end that are never trusted
STUB = 0.9  # widths: a free strand that reaches out less is a burr of the thinning
LINK = 1.3  # widths: junctions farther apart than this stay two
LINK_WIDTH = 1.3  # times the usual width, of the ink between them
HOLD = 1e-12  # keeps the fit solvable when all points are one
READ = 2.6  # widths of clean line that its way on is read from


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Way:
    """How a strand runs on past its last clean point, as a parabola in the distance `d` beyond it.

    Attributes:
        at: last clean point.
        ahead: unit direction at that point, outwards.
        bend: second derivative there.
        width: width of the stroke.
    """

    at: FloatArray
    ahead: FloatArray
    bend: FloatArray
    width: float

    def point(self, d: float | FloatArray) -> FloatArray:
        """Where it is at distance `d`, `(2,)` or `(n, 2)`."""
        s = np.asarray(d, float)[..., None]
        return np.asarray(self.at + self.ahead * s + 0.5 * self.bend * s * s)

    def direction(self, d: float) -> FloatArray:
        """Unit direction at distance `d`."""
        way = self.ahead + self.bend * d
        return np.asarray(way / np.hypot(*way))

    def towards(self, goal: FloatArray, steps: int) -> FloatArray:
        """Points from the last clean point to `goal`, both ends included, `(steps + 1, 2)`."""
        d = float(np.hypot(*(goal - self.at)))
        u = np.linspace(0, 1, steps + 1)
        points = self.point(u * d) + (goal - self.point(d)) * (u * u)[:, None]
        points[-1] = goal
        return np.asarray(points)


def usual_width(strand: Strand, sheet: float) -> float:
    """The stroke's own width, pixels: its median, or the sheet's for a short one."""
    known = strand.width[np.isfinite(strand.width)]
    if known.size == 0:
        return sheet
    if strand.closed or len(strand.points) > 5 * sheet:
        return _ranked(known, 0.5)
    return min(max(_ranked(known, 0.3), 0.5 * sheet), 1.3 * sheet)


def _ranked(values: FloatArray, share: float) -> float:
    """The value above a share of all; numpy's own quantiles cost ten times as much on a short strand."""
    at = share * (len(values) - 1)
    k = int(at)
    low, high = np.sort(values)[[k, min(k + 1, len(values) - 1)]].tolist()
    return float(low + (high - low) * (at - k))


def clean_span(strand: Strand, width: float, free: tuple[bool, bool]) -> tuple[int, int] | None:
    """First and last index of the clean part of an open strand; None when all of it is disturbed.

    A short strand that ends free is a stub left by a break beside a junction: its outer part counts.
    """
    n = len(strand.points)
    good = strand.width < CLEAN * width
    first = _first_clean(strand.points, good, width, free=free[0])
    last = n - 1 - _first_clean(strand.points[::-1], good[::-1], width, free=free[1])
    if last - first >= 2:
        return (first, last)
    if free[0] != free[1]:
        return _stub(strand.points, width, free)
    return None if free[0] else _link(strand, width)


def _link(strand: Strand, width: float) -> tuple[int, int] | None:
    """Middle of a strand between near junctions; None when strokes run into one another there."""
    n = len(strand.points)
    first, last = round(0.35 * n), round(0.65 * n)
    reach = float(np.hypot(*(strand.points[-1] - strand.points[0])))
    if reach < LINK * width or last - first < 2:
        return None
    middle = strand.width[first : last + 1]
    return (first, last) if float(np.median(middle)) < LINK_WIDTH * width else None


def _stub(points: FloatArray, width: float, free: tuple[bool, bool]) -> tuple[int, int] | None:
    """Outer part of a short strand with one free end; None when it hardly leaves its junction."""
    n = len(points)
    outward = points if free[1] else points[::-1]
    away = np.hypot(*(outward - outward[0]).T)
    if away[-1] < STUB * width:
        return None
    first = int(np.argmax(away >= 0.5 * away[-1]))
    last = max(first + 2, int(np.argmax(away >= away[-1] - 0.2 * width)))
    if last > n - 1:
        return None
    return (first, last) if free[1] else (n - 1 - last, n - 1 - first)


def _first_clean(points: FloatArray, good: BoolArray, width: float, *, free: bool) -> int:
    away = np.hypot(*(points - points[0]).T)
    far = (
        int(np.argmax(away >= (CLEAR_OF_TIP if free else CLEAR_OF_NODE) * width))
        if len(points)
        else 0
    )
    if away.max() < CLEAR_OF_NODE * width:
        return len(points)
    if free:
        return far
    run = np.convolve(good[far:].astype(int), np.ones(SETTLED, int), "valid") == SETTLED
    return far + int(np.argmax(run)) + SPREAD if run.any() else len(points)


def way_on(points: FloatArray, width: float, *, read: float) -> Way:
    """Read the way on from the clean points of one strand, the outermost point first.

    Args:
        points: clean points, `(n, 2)`, outermost first.
        width: width of the stroke.
        read: pixels of line to read at least, when there are so many.
    """
    wanted = max(READ * width, read)
    points = points[: int(4 * wanted) + 8]
    way = points[1:] - points[:-1]
    away = np.zeros(len(points))
    np.cumsum(np.hypot(way[:, 0], way[:, 1]), out=away[1:])
    n = max(3, int(np.searchsorted(away, wanted)) + 1)
    s, p = -away[:n], points[:n]
    length = -s[-1]
    order = 2 if length > 1.6 * width and len(s) > 6 else 1
    unit = max(float(length), 1e-9)
    s, p = s / unit, p - points[0]
    weights = (1 + 0.7 * s) ** 2
    terms = np.column_stack([np.ones(len(s)), s, s * s][: order + 1])
    under = terms.T * weights
    solved = np.linalg.solve(under @ terms + HOLD * np.eye(order + 1), under @ p)
    solved /= unit ** np.arange(order + 1)[:, None]
    solved[0] += points[0]
    ahead = solved[1]
    speed = max(math.hypot(*ahead.tolist()), 1e-9)
    bend = 2 * solved[2] / speed**2 if order == 2 else np.zeros(2)
    return Way(at=solved[0], ahead=ahead / speed, bend=bend, width=width)
