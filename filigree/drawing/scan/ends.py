"""Ends of strands: where a strand is clean of its neighbours' ink, and how it would run on."""

from collections.abc import Sequence
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
    """Read the way on from the clean points of one strand; see `ways_on`."""
    return ways_on([points], [width], read=read)[0]


def ways_on(lines: Sequence[FloatArray], widths: Sequence[float], *, read: float) -> list[Way]:
    """Read the ways on from the clean points of many strands, the outermost point of each first.

    Args:
        lines: clean points, `(n, 2)` each, outermost first.
        widths: widths of the strokes.
        read: pixels of line to read at least, when there are so many.
    """
    if not lines:
        return []
    width = np.array(widths, float)
    wanted = np.maximum(READ * width, read)
    many = np.minimum([len(line) for line in lines], (4 * wanted).astype(np.int64) + 8)
    flat = np.concatenate([line[:m] for line, m in zip(lines, many.tolist(), strict=True)])
    at = np.arange(many.max())
    points = flat[(np.cumsum(many) - many)[:, None] + np.minimum(at, many[:, None] - 1)]
    step = np.diff(points, axis=1)
    away = np.zeros(points.shape[:2])
    np.cumsum(np.hypot(step[..., 0], step[..., 1]), axis=1, out=away[:, 1:])
    near = ((away < wanted[:, None]) & (at < many[:, None])).sum(1)
    n = np.minimum(np.maximum(3, near + 1), many)
    length = away[np.arange(n.size), n - 1]
    unit = np.maximum(length, 1e-9)
    s = -away / unit[:, None]
    weights = np.where(at < n[:, None], (1 + 0.7 * s) ** 2, 0)
    first = points[:, :1]
    bent = (length > 1.6 * width) & (n > 6)
    solved = np.zeros((n.size, 3, 2))
    for own, order in ((np.flatnonzero(bent), 2), (np.flatnonzero(~bent), 1)):
        terms = s[own, :, None] ** np.arange(order + 1)
        under = (terms * weights[own, :, None]).transpose(0, 2, 1)
        left = under @ terms + HOLD * np.eye(order + 1)
        solved[own, : order + 1] = np.linalg.solve(left, under @ (points[own] - first[own]))
    solved /= unit[:, None, None] ** np.arange(3)[:, None]
    solved[:, 0] += first[:, 0]
    speed = np.maximum(np.hypot(solved[:, 1, 0], solved[:, 1, 1]), 1e-9)[:, None]
    ahead, bend = solved[:, 1] / speed, 2 * solved[:, 2] / speed**2
    return [
        Way(at=solved[k, 0], ahead=ahead[k], bend=bend[k], width=w)
        for k, w in enumerate(width.tolist())
    ]
