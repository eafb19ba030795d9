"""Straight: the stretches of traced lines that were drawn straight, written as straight lines.

A line read from a scan trembles with the grain of pencil and paper. Where a long stretch is straight but for
that trembling, one line fitted to its middle lies far nearer to what was drawn than its single points do; the
outermost of them would make the drawing too large. Where such lines meet, the corner is where they cross: close
to a corner the ink of one side pulls at the other, so nothing is read there.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from filigree.geometry.types import XY, FloatArray, IntArray

LEAST = 8.0  # mm of line that is looked at for straightness
PITCH = 0.25  # mm between the points looked at
ASIDE = 0.06  # mm by which a trembling line may leave the chord of a stretch just long enough
TREMBLE = 0.09  # mm by which a single point may leave the line
SLOW, OVER = (
    0.025,
    3.0,
)  # mm that the mean over so many mm may leave it: more was drawn, not trembled
BOW = 0.015  # mm of sagitta, likewise
EDGE, FIRM = (
    0.02,
    2.5,
)  # mm that the mean over 1 mm may leave it, over so many mm at the stretch's ends
CLEAR = (
    1.0  # mm left out at each end: of the fit, and of the straight line where it runs on as a curve
)
REACH = 1.6  # mm between a straight stretch and an end of its line that is still on it
BESIDE = 0.2  # mm by which the line may be drawn aside there
FARTHEST = 0.4  # mm that a meeting point is moved at most
SQUARE = np.radians(75)  # from a right angle: lines that cross flatter do not tell a point alone
ALONG = 1.0  # mm to each side over which a bent line's direction at a meeting point is read
ON = 0.01  # mm from the line that an end on it may lie; a worse one is reached by a bend
FADE = 2.0  # mm over which a line follows its moved end
ROUNDS = 4  # times at most that a stretch is fitted and what lies aside at its ends is left out
HOLD = 0.003  # weight of an end's old place against the lines through it


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
    walks = [_walked(line) for line in lines]
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


def find_runs(lines: Sequence[FloatArray], walks: Sequence[FloatArray]) -> list[Run]:
    """Straight stretches of at least `LEAST` mm, line by line, in their order along it.

    Args:
        lines: polylines, mm.
        walks: distances along each of them.
    """
    long = [k for k, walked in enumerate(walks) if walked[-1] >= LEAST]
    out = []
    for k in long:
        n = int(walks[k][-1] / PITCH)
        start = (walks[k][-1] - n * PITCH) / 2
        even = _between(lines[k], walks[k], start + PITCH * np.arange(n + 1))
        for first, last, at, along in _straights(even):
            span = (start + first * PITCH, start + last * PITCH)
            out.append(Run(line=k, span=span, at=at, along=along))
    return out


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
        even = _between(line, walks[k], np.arange(n) * (walks[k][-1] / n))
        near = min(round(2.0 / PITCH), n // 3)
        bend = np.roll(even, near, 0) + np.roll(even, -near, 0) - 2 * even
        most = int(np.argmax(np.hypot(bend[:, 0], bend[:, 1]))) * (walks[k][-1] / n)
        first = int(np.searchsorted(walks[k][:-1], most)) % (len(line) - 1)
        lines[k] = np.vstack([line[first:-1], line[: first + 1]])
        walks[k] = _walked(lines[k])
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
            through[point] += [(_normal(r.along), float(r.off(here))) for r in there]
        else:
            spot = walks[k][i] + np.array([-ALONG, ALONG])
            ahead = np.diff(_between(lines[k], walks[k], spot), axis=0)[0]
            through[point].append((_normal(ahead / max(np.hypot(*ahead), 1e-9)), 0.0))
    moved = {}
    for point in known:
        by = _meeting(
            np.array([n for n, _ in through[point]]), np.array([d for _, d in through[point]])
        )
        if np.hypot(*by) <= FARTHEST:
            moved[point] = np.array(point) + by
    return moved


def _meeting(normal: FloatArray, off: FloatArray) -> FloatArray:
    """Way from a point to where the lines through it meet; of lines that miss each other the squarest two count.

    Args:
        normal: unit normals of the lines, `(n, 2)`.
        off: signed distances of the point from them.
    """
    by = -np.linalg.solve(normal.T @ normal + HOLD * np.eye(2), normal.T @ off)
    if len(off) < 3 or np.abs(normal @ by + off).max() < ON:
        return np.asarray(by)
    square = np.abs(
        np.subtract.outer(np.arctan2(*normal.T), np.arctan2(*normal.T)) % np.pi - np.pi / 2
    )
    if square.min() > SQUARE:
        return np.asarray(by)
    two = sorted(np.unravel_index(int(np.argmin(square)), square.shape))
    return np.asarray(-np.linalg.solve(normal[two], off[two]))


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


def _normal(along: FloatArray) -> FloatArray:
    return np.array([-along[1], along[0]])


def _reaches(run: Run, line: FloatArray, walked: FloatArray, i: int) -> bool:
    """Whether vertex `i` lies on the stretch, or is the line's end, near enough and aside by little."""
    here = float(walked[i])
    reach = REACH if i in (0, len(line) - 1) else 0.0
    low, high = run.span
    if not low - reach <= here <= high + reach:
        return False
    between = line[(walked >= min(here, high)) & (walked <= max(here, low))]
    return bool(np.abs(run.off(np.vstack([between, line[i]]))).max() <= BESIDE)


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
        spot = _between(line, walked, np.array([low, high]))
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
    old = _between(line, walked, np.array([a, b]))
    from_start = np.clip(1 - (here - a) / fade, 0, 1) * (start - old[0])
    from_end = np.clip(1 - (b - here) / fade, 0, 1) * (end - old[1])
    return np.asarray(line[inner] + from_start + from_end)


def _walked(line: FloatArray) -> FloatArray:
    step = np.diff(line, axis=0)
    return np.append(0.0, np.cumsum(np.hypot(step[:, 0], step[:, 1])))


def _between(line: FloatArray, walked: FloatArray, at: FloatArray) -> FloatArray:
    return np.column_stack([np.interp(at, walked, line[:, 0]), np.interp(at, walked, line[:, 1])])


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
        off = (points - at) @ _normal(along)
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


def _key(point: FloatArray) -> XY:
    return (float(point[0]), float(point[1]))
