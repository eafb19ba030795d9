"""Junctions: where strokes truly meet, worked out from the clean line on every side.

A skeleton is drawn aside wherever strokes meet, at corners too. Each branch is therefore read where it is
clean and carried on: two branches that carry on into each other are one stroke running through; the others end
on it, or, when none runs through, all meet in the point nearest to all of them.
"""

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from shapely import LineString, Point

from filigree.drawing.scan.ends import Way
from filigree.drawing.scan.light import Grey32
from filigree.drawing.scan.tips import within_ink
from filigree.geometry.types import FloatArray

THROUGH_ANGLE = np.radians(28)  # most that two branches of one stroke may differ in direction
THROUGH_ASIDE = 0.4  # widths by which they may miss each other
SAME_PLACE = 0.5  # widths: junctions nearer than this are one
STEPS = 8  # points of a carried-on piece
HOLD = 0.02  # weight of the skeleton's own place when branches are nearly parallel
FARTHEST = 3.0  # widths a meeting point may lie from the skeleton's
BACK = 4.0  # widths of clean line that a branch may end on, beside the carried-on piece
ONWARD = 5.0  # widths beyond the skeleton's place that a branch may run on to reach a stroke


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meeting:
    """What becomes of the branches of one junction.

    Attributes:
        through: pairs of branches that are one stroke, with the points between them, from the first
            branch's last clean point to the second's.
        stop: for each other branch, its points from its last clean point to where it ends.
        on: for each of those, the pair it ends on, or -1.
    """

    through: tuple[tuple[int, int, FloatArray], ...]
    stop: dict[int, FloatArray]
    on: dict[int, int]


def meet(ways: list[Way], place: FloatArray, clean: list[FloatArray], calm: Grey32) -> Meeting:
    """Work out one junction.

    Args:
        ways: how each branch runs on.
        place: where the skeleton has the junction.
        clean: clean points of each branch, the outermost first.
        calm: smoothed darkness.
    """
    pairs = _pairs(ways)
    width = float(np.median([w.width for w in ways]))
    bridges = [between(ways[i], ways[j]) for i, j in pairs]
    singles = [k for k in range(len(ways)) if all(k not in p for p in pairs)]
    bridges = _through_one_point(bridges) if len(pairs) == 2 and not singles else bridges
    stop: dict[int, FloatArray] = {}
    on: dict[int, int] = {}
    if pairs:
        lines = [
            _with_clean(b, clean[i], clean[j], BACK * width)
            for b, (i, j) in zip(bridges, pairs, strict=True)
        ]
        goals = {k: _end_on(ways[k], lines, place) for k in singles}
        goals = _merged(goals, width * SAME_PLACE)
        for k, (goal, pair) in goals.items():
            stop[k], on[k] = ways[k].towards(goal, STEPS), pair
    else:
        goal = within_ink(common_point([ways[k] for k in singles], place), place, width, calm)
        for k in singles:
            stop[k], on[k] = ways[k].towards(goal, STEPS), -1
    through = tuple((i, j, b) for (i, j), b in zip(pairs, bridges, strict=True))
    return Meeting(through=through, stop=stop, on=on)


def _pairs(ways: list[Way]) -> list[tuple[int, int]]:
    """Branches that carry on into each other, the best match first."""
    rated = []
    for i, j in combinations(range(len(ways)), 2):
        cost = mismatch(ways[i], ways[j])
        if cost < 1:
            rated.append((cost, i, j))
    taken: set[int] = set()
    pairs = []
    for _, i, j in sorted(rated):
        if i not in taken and j not in taken:
            taken |= {i, j}
            pairs.append((i, j))
    return sorted(pairs)


def mismatch(one: Way, other: Way) -> float:
    """How badly two branches carry on into each other; under 1 they are one stroke."""
    (x0, y0), (x1, y1) = one.at.tolist(), other.at.tolist()
    (u0, v0), (u1, v1) = one.ahead.tolist(), other.ahead.tolist()
    (a0, b0), (a1, b1) = one.bend.tolist(), other.bend.tolist()
    half = math.hypot(x1 - x0, y1 - y0) / 2
    if (x1 - x0) * u0 + (y1 - y0) * v0 < -0.2 * one.width:
        return math.inf
    s0, t0, s1, t1 = u0 + a0 * half, v0 + b0 * half, u1 + a1 * half, v1 + b1 * half
    size = max(math.hypot(s0, t0) * math.hypot(s1, t1), 1e-12)
    turn = math.acos(min(1.0, max(-1.0, -(s0 * s1 + t0 * t1) / size)))
    square = half * half / 2
    aside = math.hypot(
        x1 - x0 + (u1 - u0) * half + (a1 - a0) * square,
        y1 - y0 + (v1 - v0) * half + (b1 - b0) * square,
    )
    width = (one.width + other.width) / 2
    off = aside / (THROUGH_ASIDE * width + 0.06 * half)
    return float(turn / THROUGH_ANGLE * 0.5 + off * 0.5)


def between(one: Way, other: Way) -> FloatArray:
    """A smooth piece from one branch's last clean point to the other's, `(n, 2)`."""
    d = float(np.hypot(*(other.at - one.at)))
    t = np.linspace(0, 1, STEPS + 1)[:, None]
    m0, m1 = one.ahead * d, -other.ahead * d
    h00, h10 = 2 * t**3 - 3 * t**2 + 1, t**3 - 2 * t**2 + t
    h01, h11 = -2 * t**3 + 3 * t**2, t**3 - t**2
    return np.asarray(h00 * one.at + h10 * m0 + h01 * other.at + h11 * m1)


def common_point(ways: list[Way], place: FloatArray) -> FloatArray:
    """The point nearest to all branches carried on."""
    width = float(np.median([w.width for w in ways]))
    lines = [(*w.at.tolist(), *w.ahead.tolist(), *w.bend.tolist()) for w in ways]
    px, py = place.tolist()
    gx, gy = px, py
    for _ in range(4):  # in plain numbers: arrays of two cost ten times as much
        a, b, c, u, v = HOLD, 0.0, HOLD, px * HOLD, py * HOLD
        for x, y, dx, dy, bx, by in lines:
            d = max(0.0, (gx - x) * dx + (gy - y) * dy)
            tx, ty = dx + bx * d, dy + by * d
            size = math.hypot(tx, ty)
            nx, ny = -ty / size, tx / size
            off = nx * (x + dx * d + 0.5 * bx * d * d) + ny * (y + dy * d + 0.5 * by * d * d)
            a, b, c = a + nx * nx, b + nx * ny, c + ny * ny
            u, v = u + nx * off, v + ny * off
        under = a * c - b * b
        gx, gy = (c * u - b * v) / under, (a * v - b * u) / under
    goal = np.array([gx, gy])
    away = float(np.hypot(*(goal - place)))
    return goal if away < FARTHEST * width else place


def _with_clean(bridge: FloatArray, one: FloatArray, other: FloatArray, reach: float) -> LineString:
    n = max(2, int(reach))
    return LineString(np.vstack([one[1:n][::-1], bridge, other[1:n]]))


def _end_on(way: Way, lines: list[LineString], place: FloatArray) -> tuple[FloatArray, int]:
    """Where a branch first reaches one of the strokes running through, and which one."""
    reach = float(np.hypot(*(place - way.at))) + ONWARD * way.width
    ray = LineString(way.point(np.linspace(-0.3 * way.width, reach, 24)))
    start = Point(way.at)
    hits = []
    for k, line in enumerate(lines):
        shared = ray.intersection(line)
        for part in getattr(shared, "geoms", [shared]):
            if not part.is_empty:
                point = Point(part.coords[0])
                hits.append((start.distance(point), k, point))
    if hits:
        _, k, point = min(hits, key=lambda h: h[:2])
    else:
        k = min(range(len(lines)), key=lambda n: ray.distance(lines[n]))
        nearest = lines[k].project(Point(way.point(reach / 2)))
        point = lines[k].interpolate(nearest)
    return np.array(point.coords[0]), k


def _merged(
    goals: dict[int, tuple[FloatArray, int]], apart: float
) -> dict[int, tuple[FloatArray, int]]:
    """Ends on one stroke that lie together become one point."""
    out = dict(goals)
    for i, j in combinations(sorted(out), 2):
        (p, a), (q, b) = out[i], out[j]
        if a == b and float(np.hypot(*(p - q))) < apart:
            middle = (p + q) / 2
            out[i], out[j] = (middle, a), (middle, b)
    return out


def _through_one_point(bridges: list[FloatArray]) -> list[FloatArray]:
    """Two strokes that cross share the crossing as a vertex."""
    crossing = LineString(bridges[0]).intersection(LineString(bridges[1]))
    if crossing.geom_type != "Point":
        return bridges
    point = np.array(crossing.coords[0])
    return [with_vertex(b, point) for b in bridges]


def with_vertex(line: FloatArray, point: FloatArray) -> FloatArray:
    """The polyline with `point` as a vertex, put into its nearest segment."""
    a, b = line[:-1], line[1:]
    way = b - a
    size = np.maximum((way * way).sum(1), 1e-18)
    t = np.clip(((point - a) * way).sum(1) / size, 0, 1)
    foot = a + t[:, None] * way
    k = int(np.argmin(((foot - point) ** 2).sum(1)))
    if t[k] < 1e-6 or t[k] > 1 - 1e-6:
        out = line.copy()
        out[k if t[k] < 0.5 else k + 1] = point
        return out
    return np.insert(line, k + 1, point, axis=0)
