"""Ruled: straight stretches written as straight lines that meet where they cross.

Close to a corner the ink of one side pulls at the other, so nothing is read there: the corner is where the lines
fitted to its sides cross, and a line that ends on a straight one ends where it crosses it.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from filigree.drawing.scan.straight import LEAST, PITCH, Run, between, find_runs, normal, walk
from filigree.geometry.types import XY, FloatArray, IntArray

CLEAR = 1.0  # mm of a straight stretch left as drawn where it runs on as a curve
REACH = 1.6  # mm between a straight stretch and an end of its line that is still on it
BESIDE = 0.2  # mm by which the line may be drawn aside there
FARTHEST = 0.4  # mm that a meeting point is moved at most
SQUARE = np.radians(75)  # from a right angle: lines that cross flatter do not tell a point alone
ALONG = 1.0  # mm to each side over which a bent line's direction at a meeting point is read
KEPT = 0.4  # of a short line's reach that must be left when its ends are moved
ON = 0.01  # mm from the line that an end on it may lie; a worse one is reached by a bend
FADE = 2.0  # mm over which a line follows its moved end
HOLD = 0.003  # weight of an end's old place against the lines through it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ruled:
    """Lines with their straight stretches written as single edges.

    Attributes:
        lines: polylines, mm; closed ones repeat their first point.
        edges: for each line the vertices at which a straight edge starts.
        ends_on: for each line the points at which lines end on it.
    """

    lines: tuple[FloatArray, ...]
    edges: tuple[IntArray, ...]
    ends_on: tuple[FloatArray, ...]


def with_straights(lines: Sequence[FloatArray], ends_on: Sequence[FloatArray]) -> Ruled:
    """Write straight stretches as straight edges, and move the points where lines meet onto them.

    Args:
        lines: polylines, mm; closed ones repeat their first point.
        ends_on: for each line the points at which lines end on it, its own ends among them, `(k, 2)`.
    """
    walks = [walk(line) for line in lines]
    lines, walks, ends_on = _unseamed(lines, walks, ends_on)
    runs: dict[int, list[Run]] = defaultdict(list)
    for run in find_runs(lines, walks):
        runs[run.line].append(run)
    if not runs:
        none = tuple(np.zeros(0, np.int64) for _ in lines)
        return Ruled(lines=tuple(lines), edges=none, ends_on=tuple(ends_on))
    moved = _moved(lines, walks, ends_on, runs)
    written = [
        _written(line, walked, runs.get(k, []), moved)
        for k, (line, walked) in enumerate(zip(lines, walks, strict=True))
    ]
    return Ruled(
        lines=tuple(line for line, _ in written),
        edges=tuple(edges for _, edges in written),
        ends_on=tuple(
            np.array([moved.get(_key(p), p) for p in points]).reshape(-1, 2) for points in ends_on
        ),
    )


def _unseamed(
    lines: Sequence[FloatArray], walks: Sequence[FloatArray], ends_on: Sequence[FloatArray]
) -> tuple[list[FloatArray], list[FloatArray], list[FloatArray]]:
    """Closed lines begun where they bend most, so that no straight stretch is parted by the seam."""
    lines, walks, ends_on = list(lines), list(walks), list(ends_on)
    shared = {_key(line[side]) for line in lines if not _shut(line) for side in (0, -1)}
    for k, line in enumerate(lines):
        seam = _key(line[0])
        if walks[k][-1] < LEAST or not _shut(line) or seam in shared:
            continue
        n = int(walks[k][-1] / PITCH)
        even = between(line, walks[k], np.arange(n) * (walks[k][-1] / n))
        near = min(round(2.0 / PITCH), n // 3)
        bend = np.roll(even, near, 0) + np.roll(even, -near, 0) - 2 * even
        most = int(np.argmax(np.hypot(bend[:, 0], bend[:, 1]))) * (walks[k][-1] / n)
        first = int(np.searchsorted(walks[k][:-1], most)) % (len(line) - 1)
        lines[k] = np.vstack([line[first:-1], line[: first + 1]])
        walks[k] = walk(lines[k])
        ends_on[k] = ends_on[k][[_key(p) != seam for p in ends_on[k]]]
    return lines, walks, ends_on


def _shut(line: FloatArray) -> bool:
    return len(line) > 3 and bool((line[0] == line[-1]).all())


def _moved(
    lines: Sequence[FloatArray],
    walks: Sequence[FloatArray],
    ends_on: Sequence[FloatArray],
    runs: dict[int, list[Run]],
) -> dict[XY, FloatArray]:
    """Where ends and meeting points on straight stretches come to lie."""
    through: dict[XY, list[tuple[FloatArray, float]]] = defaultdict(list)
    known: set[XY] = set()
    nodes = _nodes(lines, ends_on, runs)
    for k, point, i in nodes:
        there = [r for r in runs.get(k, []) if _reaches(r, lines[k], walks[k], i)]
        here = np.array(point)
        if there:
            known.add(point)
            through[point] += [(normal(r.along), float(r.off(here))) for r in there]
        else:
            spot = walks[k][i] + np.array([-ALONG, ALONG])
            ahead = np.diff(between(lines[k], walks[k], spot), axis=0)[0]
            through[point].append((normal(ahead / max(np.hypot(*ahead), 1e-9)), 0.0))
    moved = {}
    for point in known:
        by = _meeting(
            np.array([n for n, _ in through[point]]), np.array([d for _, d in through[point]])
        )
        if np.hypot(*by) <= FARTHEST:
            moved[point] = np.array(point) + by
    for line, walked in zip(lines, walks, strict=True):
        if walked[-1] < 3 * FARTHEST:
            ends = [_key(line[0]), _key(line[-1])]
            left = moved.get(ends[0], line[0]) - moved.get(ends[1], line[-1])
            if np.hypot(*left) < KEPT * np.hypot(*(line[0] - line[-1])):
                for end in ends:
                    moved.pop(end, None)
    return moved


def _meeting(across: FloatArray, off: FloatArray) -> FloatArray:
    """Way from a point to where the lines through it meet; of lines that miss each other the squarest two count.

    Args:
        across: unit normals of the lines, `(n, 2)`.
        off: signed distances of the point from them.
    """
    by = -np.linalg.solve(across.T @ across + HOLD * np.eye(2), across.T @ off)
    if len(off) < 3 or np.abs(across @ by + off).max() < ON:
        return np.asarray(by)
    square = np.abs(
        np.subtract.outer(np.arctan2(*across.T), np.arctan2(*across.T)) % np.pi - np.pi / 2
    )
    if square.min() > SQUARE:
        return np.asarray(by)
    two = sorted(np.unravel_index(int(np.argmin(square)), square.shape))
    return np.asarray(-np.linalg.solve(across[two], off[two]))


def _nodes(
    lines: Sequence[FloatArray], ends_on: Sequence[FloatArray], runs: dict[int, list[Run]]
) -> list[tuple[int, XY, int]]:
    """Ends and meeting points of lines that straight stretches may reach: line, point, vertex."""
    touched = {_key(p) for k in runs for p in (*ends_on[k], lines[k][0], lines[k][-1])}
    out = []
    for k, (line, points) in enumerate(zip(lines, ends_on, strict=True)):
        ends = [_key(line[0]), _key(line[-1])]
        own = dict.fromkeys([*ends, *(_key(p) for p in points)])
        for point in own:
            if point not in touched:
                continue
            at = np.flatnonzero((line == point).all(1)).tolist()
            out += [(k, point, i) for i in at]
    return out


def _reaches(run: Run, line: FloatArray, walked: FloatArray, i: int) -> bool:
    """Whether vertex `i` lies on the stretch, or is the line's end, near enough and aside by little."""
    here = float(walked[i])
    reach = REACH if i in (0, len(line) - 1) else 0.0
    low, high = run.span
    if not low - reach <= here <= high + reach:
        return False
    left = line[(walked >= min(here, high)) & (walked <= max(here, low))]
    return bool(np.abs(run.off(np.vstack([left, line[i]]))).max() <= BESIDE)


def _written(
    line: FloatArray, walked: FloatArray, runs: Sequence[Run], moved: dict[XY, FloatArray]
) -> tuple[FloatArray, IntArray]:
    """One line with its stretches as edges and its ends where they were moved; also where edges start."""
    whole = float(walked[-1])
    known = [moved.get(_key(line[side])) for side in (0, -1)]
    if not runs and known[0] is None and known[1] is None:
        return line, np.zeros(0, np.int64)
    ends = [line[-side] if at is None else at for side, at in enumerate(known)]
    cuts: list[tuple[float, FloatArray]] = [(0.0, ends[0])]
    edges: list[int] = []
    for run in runs:
        low, high = run.span[0] + CLEAR, run.span[1] - CLEAR
        spot = between(line, walked, np.array([low, high]))
        start, end = run.nearest(spot)
        if abs(run.off(ends[0])) < ON and _reaches(run, line, walked, 0):
            low, start = 0.0, ends[0]
        if abs(run.off(ends[1])) < ON and _reaches(run, line, walked, len(line) - 1):
            high, end = whole, ends[1]
        if low < cuts[-1][0]:
            continue
        if low > 0:
            cuts.append((low, start))
        edges.append(len(cuts) - 1)
        cuts.append((high, end))
    if cuts[-1][0] < whole:
        cuts.append((whole, ends[1]))
    points, at = [cuts[0][1][None]], []
    count = 1
    for k, ((a, start), (b, end)) in enumerate(pairwise(cuts)):
        if k in edges:
            at.append(count - 1)
        else:
            points.append(_carried(line, walked, (a, b), start, end))
            count += len(points[-1])
        points.append(end[None])
        count += 1
    return np.vstack(points), np.array(at, np.int64)


def _carried(
    line: FloatArray,
    walked: FloatArray,
    span: tuple[float, float],
    start: FloatArray,
    end: FloatArray,
) -> FloatArray:
    """Points of a line between two distances along it, following its ends to where they were moved."""
    a, b = span
    inner = (walked > a + 1e-6) & (walked < b - 1e-6)
    here = walked[inner, None]
    fade = min(FADE, b - a)
    old = between(line, walked, np.array([a, b]))
    from_start = np.clip(1 - (here - a) / fade, 0, 1) * (start - old[0])
    from_end = np.clip(1 - (b - here) / fade, 0, 1) * (end - old[1])
    return np.asarray(line[inner] + from_start + from_end)


def _key(point: FloatArray) -> XY:
    return (float(point[0]), float(point[1]))
