"""Curves of the drawing kit: splines through points, even sampling, cubic Bézier fitting. Lengths mm."""

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

STEP = 0.25  # mm between samples of a drawn curve
FIT = 0.015  # mm, the farthest a fitted cubic may lie from its samples
CORNER = math.radians(32)  # turning at one sample that makes a corner


def points(*pairs: Sequence[float]) -> Points:
    """An (n, 2) array from pairs."""
    return np.asarray(pairs, dtype=float)


def spline(through: Sequence[Sequence[float]] | Points, *, closed: bool = False) -> Points:
    """A smooth (C2) curve through points, sampled about every `STEP`; closed curves do not repeat the start."""
    knots = np.asarray(through, dtype=float)
    if closed:
        knots = np.vstack([knots, knots[:1]])
    if len(knots) == 2:
        return even(knots)
    gaps = np.sqrt(np.hypot(*np.diff(knots, axis=0).T))
    at = np.concatenate([[0.0], np.cumsum(gaps)])
    bends = _bends(knots, gaps, closed=closed)
    fine = np.linspace(0.0, at[-1], 60 * len(knots))
    return even(_cubic(fine, at, gaps, knots, bends), closed=closed)


def smooth(stations: Sequence[float], values: Sequence[float], at: Points) -> Points:
    """Values at stations 0..1, interpolated by a monotone cubic (no overshoot) at `at`."""
    x, y = np.asarray(stations, dtype=float), np.asarray(values, dtype=float)
    slope = np.diff(y) / np.diff(x)
    tangent = np.zeros_like(y)
    tangent[0], tangent[-1] = slope[0], slope[-1]
    if len(x) > 2:
        before, after = slope[:-1], slope[1:]
        same = before * after > 0
        total = np.where(same, before + after, 1.0)
        tangent[1:-1] = np.where(same, 2 * before * after / total, 0.0)
    index = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    wide = np.diff(x)[index]
    t = (at - x[index]) / wide
    low = (1 + 2 * t) * (1 - t) ** 2 * y[index] + t * (1 - t) ** 2 * wide * tangent[index]
    high = t**2 * (3 - 2 * t) * y[index + 1] + t**2 * (t - 1) * wide * tangent[index + 1]
    return low + high


def even(line: Points, *, step: float = STEP, closed: bool = False) -> Points:
    """The same line resampled at even steps of about `step`."""
    lengths = np.hypot(*np.diff(line, axis=0).T)
    keep = np.concatenate([[True], lengths > 1e-9])
    line = line[keep]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    count = max(3, round(along[-1] / step)) + 1
    fresh = np.linspace(0.0, along[-1], count)
    out = np.column_stack([np.interp(fresh, along, line[:, k]) for k in (0, 1)])
    return out[:-1] if closed else out


def normals(line: Points) -> Points:
    """Unit normals at each sample, to the right of the way along with y down."""
    way = np.gradient(line, axis=0)
    way /= np.maximum(np.hypot(*way.T), 1e-12)[:, None]
    return np.column_stack([-way[:, 1], way[:, 0]])


def spiral(
    centre: Sequence[float], radius: float, inner: float, start: float, turns: float
) -> Points:
    """A spiral from `radius` in to `inner`; `start` in degrees, positive turns go clockwise on the page."""
    t = np.linspace(0.0, 1.0, max(40, int(abs(turns) * 160)))
    size = radius * (inner / radius) ** t
    angle = math.radians(start) + 2 * math.pi * turns * t
    return np.column_stack([centre[0] + size * np.cos(angle), centre[1] + size * np.sin(angle)])


def cubics(line: Points) -> list[Points]:
    """Cubic Béziers, (4, 2) each, along a sampled line; corners of the line stay corners."""
    way = np.diff(line, axis=0)
    heading = np.arctan2(way[:, 1], way[:, 0])
    turn = np.abs((np.diff(heading) + math.pi) % (2 * math.pi) - math.pi)
    cuts = [0, *(np.flatnonzero(turn > CORNER) + 1).tolist(), len(line) - 1]
    out: list[Points] = []
    for first, last in itertools.pairwise(cuts):
        run = line[first : last + 1]
        out.extend(_fit(run, _heading(run), _heading(run[::-1])))
    return out


def _bends(knots: Points, gaps: Points, *, closed: bool) -> Points:
    """Second derivatives of the cubic spline at its knots."""
    n = len(knots)
    system, right = np.zeros((n, n)), np.zeros((n, 2))
    slope = np.diff(knots, axis=0) / gaps[:, None]
    for k in range(1, n - 1):
        system[k, k - 1 : k + 2] = gaps[k - 1], 2 * (gaps[k - 1] + gaps[k]), gaps[k]
        right[k] = 6 * (slope[k] - slope[k - 1])
    if closed:
        system[0, 0], system[0, 1], system[0, n - 2] = 2 * (gaps[0] + gaps[-1]), gaps[0], gaps[-1]
        right[0] = 6 * (slope[0] - slope[-1])
        system[n - 1, 0], system[n - 1, n - 1] = 1.0, -1.0
    else:
        system[0, 0] = system[n - 1, n - 1] = 1.0
    return np.linalg.solve(system, right)


def _cubic(fine: Points, at: Points, gaps: Points, knots: Points, bends: Points) -> Points:
    """The spline's points at parameters `fine`."""
    k = np.clip(np.searchsorted(at, fine, side="right") - 1, 0, len(gaps) - 1)
    h = gaps[k][:, None]
    a = ((at[k + 1] - fine) / gaps[k])[:, None]
    b = 1 - a
    bend = ((a**3 - a) * bends[k] + (b**3 - b) * bends[k + 1]) * h**2 / 6
    return a * knots[k] + b * knots[k + 1] + bend


def _heading(run: Points) -> Points:
    """Unit direction in which a run sets out, from its first half millimetre."""
    far = np.hypot(*(run - run[0]).T)
    index = int(np.argmax(far > 0.4)) or min(len(run) - 1, 2)
    index = min(index, 3)
    if index >= 2 and len(run) > 2:  # second-order: lean back against the bend
        first, second = run[1] - run[0], run[index] - run[0]
        d1, d2 = np.hypot(*first), np.hypot(*second)
        way = first / d1 * d2 - second / d2 * d1
    else:
        way = run[min(index, len(run) - 1)] - run[0]
    way = way if np.hypot(*way) > 1e-9 else run[-1] - run[0]
    return way / max(float(np.hypot(*way)), 1e-12)


def _fit(run: Points, leave: Points, arrive: Points) -> list[Points]:
    """Fit one run without corners, splitting where one cubic is not enough."""
    span = float(np.hypot(*(run[-1] - run[0])))
    if len(run) <= 2:
        third = span / 3
        return [np.array([run[0], run[0] + leave * third, run[-1] + arrive * third, run[-1]])]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
    t = along / along[-1]
    for _ in range(4):
        curve = _least_squares(run, t, leave, arrive, along[-1])
        miss = np.hypot(*(_bezier(curve, t) - run).T)
        worst = int(np.argmax(miss))
        if miss[worst] <= FIT:
            return [curve]
        t = _nearer(curve, run, t)
    worst = min(max(worst, 1), len(run) - 2)
    way = run[worst - 1] - run[worst + 1]
    way = way / max(float(np.hypot(*way)), 1e-12)
    return [*_fit(run[: worst + 1], leave, way), *_fit(run[worst:], -way, arrive)]


def _least_squares(run: Points, t: Points, leave: Points, arrive: Points, length: float) -> Points:
    """The cubic with given ends and end directions nearest the samples."""
    b0, b1, b2, b3 = _weights(t)
    rest = run - np.outer(b0 + b1, run[0]) - np.outer(b2 + b3, run[-1])
    one, two = np.outer(b1, leave), np.outer(b2, arrive)
    c = np.array([[np.sum(one * one), np.sum(one * two)], [0.0, np.sum(two * two)]])
    c[1, 0] = c[0, 1]
    x = np.array([np.sum(one * rest), np.sum(two * rest)])
    det = c[0, 0] * c[1, 1] - c[0, 1] ** 2
    arms = np.linalg.solve(c, x) if abs(det) > 1e-12 else np.zeros(2)
    if min(arms) < 0.02 * length or max(arms) > 2 * length:
        arms = np.full(2, length / 3)
    return np.array([run[0], run[0] + leave * arms[0], run[-1] + arrive * arms[1], run[-1]])


def _weights(t: Points) -> tuple[Points, Points, Points, Points]:
    s = 1 - t
    return s**3, 3 * t * s**2, 3 * t**2 * s, t**3


def _bezier(curve: Points, t: Points) -> Points:
    return np.column_stack(_weights(t)) @ curve


def _nearer(curve: Points, run: Points, t: Points) -> Points:
    """One Newton step of each sample's parameter, kept in order."""
    first = 3 * np.diff(curve, axis=0)
    second = 2 * np.diff(first, axis=0)
    s = 1 - t
    d = np.column_stack([s**2, 2 * s * t, t**2]) @ first
    dd = np.column_stack([s, t]) @ second
    away = _bezier(curve, t) - run
    top = np.sum(away * d, axis=1)
    under = np.sum(d * d, axis=1) + np.sum(away * dd, axis=1)
    fresh = np.clip(
        np.where(np.abs(under) > 1e-12, t - top / np.where(under == 0, 1, under), t), 0, 1
    )
    fresh[0], fresh[-1] = 0.0, 1.0
    return np.maximum.accumulate(fresh)
