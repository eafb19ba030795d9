"""Fitting: few cubics along a polyline, within a tolerance, corners kept.

Each smooth stretch is fitted by least squares with its end tangents held (Schneider 1990, "An algorithm for
automatically fitting digitized curves"); a piece that misses is halved by length and fitted again. All
stretches of all lines are fitted at once, so that a thousand openings cost a few passes of numpy.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from filigree.geometry.best import Pieces, best_cubics
from filigree.geometry.bezier import lines_as_cubics
from filigree.geometry.path import Path
from filigree.geometry.stretches import Stretches, stretches
from filigree.geometry.types import FloatArray, IntArray

CORNER = 35.0  # degrees: more turning at one vertex is a corner
TOLERANCE = 0.02  # mm: written curves


def fit(points: FloatArray, tolerance: float = TOLERANCE, corner: float = CORNER) -> Path:
    """Fit one polyline; it is closed when its last point repeats its first.

    Args:
        points: shape `(n, 2)`, mm.
        tolerance: mm; no point of the polyline is farther from the path, nor the path from it.
        corner: degrees; a vertex that turns more stays a corner.

    Raises:
        ValueError: `tolerance` is not above 0, or fewer than two points differ.
    """
    shut = len(points) > 3 and bool((points[0] == points[-1]).all())
    return fit_all([points], [shut], tolerance=tolerance, corner=corner)[0]


def fit_all(
    lines: Sequence[FloatArray],
    closed: Sequence[bool],
    *,
    tolerance: float = TOLERANCE,
    corner: float = CORNER,
) -> list[Path]:
    """Fit many polylines at once; see `fit`. Open paths start and end where their lines do."""
    if not tolerance > 0:
        raise ValueError("tolerance must be above 0")
    if not len(lines):
        return []
    half = tolerance / 2  # one half for the chords, one for the fit
    lain = stretches(lines, closed, sagitta=half, corner=math.radians(corner))
    edges = np.flatnonzero(lain.straight)
    lines_there = lines_as_cubics(lain.points[edges], lain.points[edges + 1])
    bends = _fitted(lain, half)
    starts = np.concatenate([edges, bends.start])
    cubics = np.concatenate([lines_there, bends.cubics])
    straight = np.arange(len(starts)) < len(edges)
    order = np.argsort(starts, kind="stable")
    starts, cubics, straight = starts[order], cubics[order], straight[order]
    cut = np.searchsorted(starts, lain.first)
    end = np.append(cut[1:], len(starts))
    return [
        Path(cubics=cubics[a:b], straight=straight[a:b], closed=bool(shut))
        for a, b, shut in zip(cut.tolist(), end.tolist(), closed, strict=True)
    ]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fitted:
    """Cubics and the vertex each starts at."""

    start: IntArray
    cubics: FloatArray


def _fitted(lain: Stretches, tolerance: float) -> _Fitted:
    """Fit the smooth stretches, halving what misses, then join neighbours that fit as one."""
    pieces = _smooth_pieces(lain)
    done, cubics = [pieces.some(np.zeros(len(pieces.start), dtype=bool))], [np.empty((0, 4, 2))]
    while len(pieces.start):
        fitted, miss = best_cubics(lain.points, pieces, tolerance)
        single = pieces.end - pieces.start < 2
        wild = single & (miss > tolerance)  # one edge that its tangents would bend too far
        fitted[wild] = lines_as_cubics(fitted[wild, 0], fitted[wild, 3])
        good = (miss <= tolerance) | single
        done.append(pieces.some(good))
        cubics.append(fitted[good])
        pieces = _halved(lain.points, pieces.some(~good))
    pieces, fitted = Pieces.joined(done), np.concatenate(cubics)
    order = np.argsort(pieces.start, kind="stable")
    pieces, fitted = pieces.some(order), fitted[order]
    for turn in (0, 1):  # pairs of neighbours, then the pairs between them
        pieces, fitted = _fewer(lain, pieces, fitted, tolerance, turn)
    return _Fitted(start=pieces.start, cubics=fitted)


def _fewer(
    lain: Stretches, pieces: Pieces, fitted: FloatArray, tolerance: float, turn: int
) -> tuple[Pieces, FloatArray]:
    """Join every other pair of neighbours in a stretch where one cubic does for both."""
    run = lain.run[pieces.start]
    number = np.arange(len(run)) - np.searchsorted(run, run)  # within its polyline
    one = np.flatnonzero(number[:-1] % 2 == turn)
    two = one + 1
    run_on = (pieces.end[one] == pieces.start[two]) & ~lain.breaks[pieces.end[one]]
    one, two = one[run_on], two[run_on]
    if not len(one):
        return pieces, fitted
    pairs = Pieces(
        start=pieces.start[one],
        end=pieces.end[two],
        into=pieces.into[one],
        back=pieces.back[two],
    )
    tried, miss = best_cubics(lain.points, pairs, tolerance)
    good = miss <= tolerance
    one, two = one[good], two[good]
    fitted[one] = tried[good]
    pieces.end[one], pieces.back[one] = pieces.end[two], pieces.back[two]
    keep = np.ones(len(pieces.start), dtype=bool)
    keep[two] = False
    return pieces.some(keep), fitted[keep]


def _smooth_pieces(lain: Stretches) -> Pieces:
    """Stretches between breaks that are no straight edge, with their end tangents."""
    spots = np.flatnonzero(lain.breaks)
    start, end = spots[:-1], spots[1:]
    bent = (lain.run[start] == lain.run[end]) & ~lain.straight[start]
    start, end = start[bent], end[bent]
    into = _end_tangent(lain.points, start, 1, end - start)
    back = _end_tangent(lain.points, end, -1, end - start)
    _run_on(lain, start, end, into, back)
    return Pieces(start=start, end=end, into=into, back=back)


def _run_on(
    lain: Stretches, start: IntArray, end: IntArray, into: FloatArray, back: FloatArray
) -> None:
    """Take the direction of a straight edge that runs smoothly into a stretch, and join seams smoothly."""
    first, last = lain.first[lain.run[start]], lain.last[lain.run[start]]
    size = last - first
    before = np.where(start == first, last - 1, start - 1)
    closed = (lain.points[first] == lain.points[last]).all(axis=1) & (size > 1)
    here = lain.straight[before] & ~lain.corners[start] & ((start != first) | closed)
    into[here] = _unit(lain.points[start[here]], lain.points[before[here]])
    after = np.where(end == last, first, end)
    there = lain.straight[after] & ~lain.corners[end] & ((end != last) | closed)
    back[there] = _unit(lain.points[end[there]], lain.points[after[there] + 1])
    seam = lain.seamless[lain.run[start]] & closed
    joined = _middle_tangent(lain.points, last[seam] - 1, start[seam], start[seam] + 1)
    into[seam], back[seam] = joined, -joined


def _halved(points: FloatArray, pieces: Pieces) -> Pieces:
    """Halve pieces at the vertex nearest to the middle of their length, with one tangent for both halves."""
    step = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    middle = (step[pieces.start] + step[pieces.end]) / 2
    cut = np.searchsorted(step, middle)
    cut -= (middle - step[cut - 1]) < (step[cut] - middle)
    cut = np.clip(cut, pieces.start + 1, pieces.end - 1)
    tangent = _middle_tangent(points, cut - 1, cut, cut + 1)
    return Pieces(
        start=np.concatenate([pieces.start, cut]),
        end=np.concatenate([cut, pieces.end]),
        into=np.concatenate([pieces.into, tangent]),
        back=np.concatenate([-tangent, pieces.back]),
    )


def _end_tangent(points: FloatArray, at: IntArray, way: int, edges: IntArray) -> FloatArray:
    """Tangent into a stretch at its end, from the parabola through its first three vertices."""
    one = points[at + way] - points[at]
    h1 = np.hypot(one[:, 0], one[:, 1])
    far = np.where(edges > 1, at + 2 * way, at + way)
    two = points[far] - points[at + way]
    h2 = np.hypot(two[:, 0], two[:, 1])
    d1 = one / h1[:, None]
    d2 = np.divide(two, h2[:, None], out=d1.copy(), where=h2[:, None] > 0)
    tangent: FloatArray = d1 + (d1 - d2) * (h1 / (h1 + h2))[:, None]
    return tangent / np.hypot(tangent[:, 0], tangent[:, 1])[:, None]


def _middle_tangent(
    points: FloatArray, before: IntArray, at: IntArray, after: IntArray
) -> FloatArray:
    """Tangent at a vertex, from the parabola through it and its neighbours."""
    one, two = points[at] - points[before], points[after] - points[at]
    h1, h2 = np.hypot(one[:, 0], one[:, 1]), np.hypot(two[:, 0], two[:, 1])
    tangent: FloatArray = one * (h2 / h1)[:, None] + two * (h1 / h2)[:, None]
    size = np.hypot(tangent[:, 0], tangent[:, 1])
    return tangent / size[:, None]


def _unit(to: FloatArray, start: FloatArray) -> FloatArray:
    """Unit vectors from `start` to `to`."""
    step = to - start
    flat: FloatArray = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    return flat
