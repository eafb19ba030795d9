"""Straight: the stretches of traced lines that were drawn straight.

A line read from a scan trembles with the grain of pencil and paper. Where a long stretch is straight but for
that trembling, one line fitted to its middle lies far nearer to what was drawn than its single points do; the
outermost of them would make the drawing too large.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import FloatArray

LEAST = 8.0  # mm of line that is looked at for straightness
PITCH = 0.25  # mm between the points looked at
ASIDE = 0.06  # mm by which a trembling line may leave the chord of a stretch just long enough
CLEAR = 1.0  # mm at each end that are left out of the fit
TREMBLE = 0.09  # mm by which a single point may leave the line
SLOW = 0.025  # mm by which the mean over `OVER` may leave it: more was drawn, not trembled
OVER = 3.0  # mm
BOW = 0.015  # mm of sagitta, likewise
EDGE = 0.02  # mm by which the mean over 1 mm may leave it at the stretch's ends
FIRM = 2.5  # mm over which it must not, there
SHORT = 2.6  # mm of line that is looked at as a whole
SHORT_CLEAR = 0.8  # mm at each end of such a line that are left out of the fit
SHORT_ENDS = 0.4  # mm there whose bow is not looked at
ROUNDS = 4  # times at most that a stretch is fitted and what lies aside at its ends is left out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """A straight stretch of one line, mm.

    Attributes:
        line: number of the line.
        span: distances along that line between which it lies.
        at: a point of the straight line.
        along: its unit direction, onwards.
    """

    line: int
    span: tuple[float, float]
    at: FloatArray
    along: FloatArray

    def nearest(self, points: FloatArray) -> FloatArray:
        """Points of the straight line nearest to others, of the same shape."""
        return np.asarray(self.at + ((points - self.at) @ self.along)[..., None] * self.along)

    def off(self, points: FloatArray) -> FloatArray:
        """Signed distances of points from the straight line."""
        x, y = self.along.tolist()
        return np.asarray((points - self.at) @ np.array([-y, x]))


def find_runs(lines: Sequence[FloatArray], walks: Sequence[FloatArray]) -> list[Run]:
    """Straight stretches of at least `LEAST` mm, and shorter lines straight as a whole, in their order.

    Args:
        lines: polylines, mm.
        walks: distances along each of them.
    """
    out = []
    for k, walked in enumerate(walks):
        if walked[-1] < LEAST:
            short = _short(lines[k], walked) if walked[-1] > SHORT else None
            if short is not None:
                span = (SHORT_CLEAR, float(walked[-1]) - SHORT_CLEAR)
                out.append(Run(line=k, span=span, at=short[0], along=short[1]))
            continue
        n = int(walks[k][-1] / PITCH)
        start = (walks[k][-1] - n * PITCH) / 2
        even = between(lines[k], walks[k], start + PITCH * np.arange(n + 1))
        for first, last, at, along in _straights(even):
            span = (start + first * PITCH, start + last * PITCH)
            out.append(Run(line=k, span=span, at=at, along=along))
    return out


def _short(line: FloatArray, walked: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """The straight line through the middle of a short line; None for a curve."""
    whole = float(walked[-1])
    points = between(line, walked, np.arange(SHORT_ENDS, whole - SHORT_ENDS, PITCH))
    k = round((SHORT_CLEAR - SHORT_ENDS) / PITCH)
    at, along = _through(points[k:-k])
    off = (points - at) @ normal(along)
    bow = _sagitta(off) * (whole / (whole - 2 * SHORT_ENDS)) ** 2
    return (at, along) if np.abs(off).max() < TREMBLE and abs(bow) < BOW else None


def _straights(even: FloatArray) -> list[tuple[int, int, FloatArray, FloatArray]]:
    """Straight stretches of one line: first and last point, a point of the straight line and its direction."""
    found = []
    parts = _likely(even, round(LEAST / PITCH))
    while parts:
        together = [k for k in range(1, len(parts)) if parts[k][0] < parts[k - 1][1]]
        many = next((k for k in range(1, len(parts)) if k not in together), len(parts))
        run = _fitted(even, parts[0][0], parts[many - 1][1])
        runs = [run] if run is not None or many == 1 else [_fitted(even, *p) for p in parts[:many]]
        found += [r for r in runs if r is not None]
        parts = parts[many:]
    return found


def _likely(even: FloatArray, wide: int) -> list[tuple[int, int]]:
    """First and last points of the stretches in which every window leaves its chord by little."""
    n = len(even) - wide
    if n < 1:
        return []
    chord = even[wide:] - even[:-wide]
    size = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-9)
    good = size > 0.95 * wide * PITCH
    for part in (0.25, 0.5, 0.75):
        k = round(part * wide)
        away = even[k : k + n] - even[:n]
        good &= np.abs(chord[:, 0] * away[:, 1] - chord[:, 1] * away[:, 0]) < ASIDE * size
    turns = np.flatnonzero(np.diff(np.concatenate([[0], good.view(np.int8), [0]])))
    return [
        (a, b - 1 + wide) for a, b in zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True)
    ]


def _fitted(
    even: FloatArray, first: int, last: int
) -> tuple[int, int, FloatArray, FloatArray] | None:
    """The straight line through a stretch, and the points between which it holds; None for a curve."""
    clear, near, firm = (round(v / PITCH) for v in (CLEAR, 1.0, FIRM))
    for _ in range(ROUNDS):
        points = even[first : last + 1]
        at, along = _through(points[clear:-clear])
        off = (points - at) @ normal(along)
        held = _mean((np.abs(_mean(off, near)) < EDGE).astype(float), firm) > 1 - 1e-9
        if not held.any():
            return None
        low = int(held.argmax())
        high = len(off) - 1 - int(held[::-1].argmax())
        if high - low < LEAST / PITCH:
            return None
        if high - low == len(off) - 1:
            break
        first, last = first + low, first + high
    else:
        return None
    inner = off[near:-near]
    if np.abs(inner).max() > TREMBLE or np.abs(_mean(inner, round(OVER / PITCH))).max() > SLOW:
        return None
    whole = _sagitta(inner) * (len(off) / len(inner)) ** 2
    return None if abs(whole) > BOW else (first, last, at, along)


def _through(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Line of least squares across itself: a point, and the unit direction onwards."""
    middle = points.mean(0)
    x, y = (points - middle).T
    half = 0.5 * np.arctan2(2 * (x @ y), x @ x - y @ y)
    along = np.array([np.cos(half), np.sin(half)])
    return middle, along if along @ (points[-1] - points[0]) >= 0 else -along


def _mean(values: FloatArray, count: int) -> FloatArray:
    """Means of `count` values in a row."""
    count = min(count, len(values))
    whole = np.append(0.0, np.cumsum(values))
    return np.asarray((whole[count:] - whole[:-count]) / count)


def _sagitta(off: FloatArray) -> float:
    """Sagitta of the parabola nearest to distances from a line, mm."""
    x = np.linspace(-1, 1, len(off))
    bow = 1.5 * x * x - 0.5
    bow -= bow.mean()
    return float(1.5 * (bow @ off) / (bow @ bow))


def walk(line: FloatArray) -> FloatArray:
    """Distances along a polyline at its points, `(n,)`."""
    step = np.diff(line, axis=0)
    return np.append(0.0, np.cumsum(np.hypot(step[:, 0], step[:, 1])))


def between(line: FloatArray, walked: FloatArray, at: FloatArray) -> FloatArray:
    """Points of a polyline at distances along it, `(k, 2)`."""
    return np.column_stack([np.interp(at, walked, line[:, 0]), np.interp(at, walked, line[:, 1])])


def normal(along: FloatArray) -> FloatArray:
    """Unit normal of a unit direction."""
    return np.array([-along[1], along[0]])
