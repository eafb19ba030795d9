"""Gaps: breaks in a drawn line closed along the way its two ends point."""

from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, Point

from filigree.drawing.scan.ends import Way, way_on
from filigree.drawing.scan.junctions import between, with_vertex
from filigree.drawing.scan.strokes import Stroke
from filigree.geometry.types import FloatArray

CARRIES_ON = np.radians(22)  # most for a mere break in one line
ASTRAY = np.radians(55)  # most that an end may point away from the other
TOUCHING = 0.35  # share of the gap limit within which direction hardly counts
LOOSE = np.radians(100)
SLACK = 1.05  # blur moves both ends' edges by a part of a pixel


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """A gap closed: its middle, pixels, and the bare paper between the inks."""

    at: tuple[float, float]
    length: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Tip:
    stroke: int
    side: int
    way: Way
    lead: float


def close_gaps(
    strokes: list[Stroke], gap: float, *, read: float
) -> tuple[list[Stroke], list[Closing]]:
    """Join free ends that face each other over at most `gap` pixels of bare paper.

    Args:
        strokes: lines of one sheet.
        gap: pixels of bare paper, at most.
        read: pixels of line an end's direction is read from, at least.
    """
    if gap <= 0:
        return strokes, []
    joined, closings = _end_to_end(strokes, gap, read)
    joined, more = _end_to_line(joined, gap, read)
    return joined, closings + more


def mend_breaks(
    strokes: list[Stroke], gap: float, *, read: float
) -> tuple[list[Stroke], list[Closing]]:
    """Join only ends that carry straight on into each other, as a pen that skipped leaves them."""
    return _end_to_end(strokes, gap, read, astray=CARRIES_ON) if gap > 0 else (strokes, [])


def _end_to_end(
    strokes: list[Stroke], gap: float, read: float, *, astray: float = ASTRAY
) -> tuple[list[Stroke], list[Closing]]:
    """Join ends that face each other, the best match first."""
    tips = [t for k, s in enumerate(strokes) for t in _tips(k, s, read)]
    if len(tips) < 2:
        return strokes, []
    mates: dict[tuple[int, int], tuple[tuple[int, int], FloatArray]] = {}
    closings = []
    for _, i, j in sorted(_rated(tips, gap, astray)):
        one, other = (tips[i].stroke, tips[i].side), (tips[j].stroke, tips[j].side)
        if one in mates or other in mates:
            continue
        bridge = between(tips[i].way, tips[j].way)
        mates[one], mates[other] = (other, bridge), (one, bridge[::-1])
        x, y = (tips[i].way.at + tips[j].way.at) / 2
        closings.append(Closing(at=(float(x), float(y)), length=_bare(tips[i], tips[j])))
    return _merged(strokes, mates), closings


def _end_to_line(
    strokes: list[Stroke], gap: float, read: float
) -> tuple[list[Stroke], list[Closing]]:
    """Lead ends on to the line they point at; a stroke free at both ends is a vein and stays."""
    tips = [t for k, s in enumerate(strokes) if not all(s.free) for t in _tips(k, s, read)]
    if not tips:
        return strokes, []
    lines = [LineString(s.points) for s in strokes]
    tree = shapely.STRtree(lines)
    rays = [
        LineString(t.way.point(np.linspace(0.05, gap * SLACK + 1.6 * t.way.width, 12)))
        for t in tips
    ]
    out, closings = list(strokes), []
    first, second = tree.query(rays, predicate="intersects")
    hits: dict[int, list[int]] = {}
    for i, k in zip(first.tolist(), second.tolist(), strict=True):
        if k != tips[i].stroke:
            hits.setdefault(i, []).append(k)
    for i in sorted(hits):
        tip = tips[i]
        start = shapely.points(tip.way.at)
        met = [
            (shapely.shortest_line(start, shapely.intersection(rays[i], lines[k])), k)
            for k in hits[i]
        ]
        line, k = min(met, key=lambda m: (shapely.length(m[0]), m[1]))
        bare = float(shapely.length(line)) - tip.lead - strokes[k].width / 2
        if bare > gap * SLACK:
            continue
        goal = shapely.get_coordinates(line)[-1]
        out[k] = replace(
            out[k], points=with_vertex(out[k].points, goal), fixed=np.vstack([out[k].fixed, goal])
        )
        out[tip.stroke] = _led_on(out[tip.stroke], tip.side, goal)
        x, y = (tip.way.at + goal) / 2
        closings.append(Closing(at=(float(x), float(y)), length=max(0.0, bare)))
    return out, closings


def _led_on(stroke: Stroke, side: int, goal: FloatArray) -> Stroke:
    """The stroke with one free end led on to a point of another line."""
    ends = [stroke.points, goal[None]] if side else [goal[None], stroke.points]
    free = (stroke.free[0], False) if side else (False, stroke.free[1])
    return replace(stroke, points=np.vstack(ends), free=free, fixed=np.vstack([stroke.fixed, goal]))


def _tips(k: int, stroke: Stroke, read: float) -> list[_Tip]:
    out = []
    for side in (0, 1):
        if stroke.free[side]:
            points = stroke.points if side == 0 else stroke.points[::-1]
            way = way_on(points, stroke.width, read=read)
            at_end = Way(at=points[0], ahead=way.ahead, bend=way.bend, width=way.width)
            out.append(_Tip(stroke=k, side=side, way=at_end, lead=stroke.lead[side]))
    return out


def _bare(one: _Tip, other: _Tip) -> float:
    """Paper between the inks of two tips."""
    return max(0.0, float(np.hypot(*(one.way.at - other.way.at))) - one.lead - other.lead)


def _rated(tips: list[_Tip], gap: float, astray: float) -> list[tuple[float, int, int]]:
    """Pairs of tips that may be joined, with a cost: the lower the better."""
    at = np.array([t.way.at for t in tips])
    widest = max(t.way.width for t in tips)
    points = [Point(p) for p in at]
    first, second = shapely.STRtree(points).query(
        points, predicate="dwithin", distance=gap * SLACK + widest
    )
    rated = []
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i >= j or (tips[i].stroke == tips[j].stroke and tips[i].side == tips[j].side):
            continue
        bare = _bare(tips[i], tips[j])
        if bare > gap * SLACK:
            continue
        chord = at[j] - at[i]
        size = float(np.hypot(*chord))
        if size < 1e-6:
            rated.append((0.0, i, j))
            continue
        off_i = _angle(tips[i].way.ahead, chord / size)
        off_j = _angle(tips[j].way.ahead, -chord / size)
        most = LOOSE if bare < TOUCHING * gap and astray == ASTRAY else astray
        if max(off_i, off_j) < most:
            rated.append((bare / gap + off_i + off_j, i, j))
    return rated


def _angle(one: FloatArray, other: FloatArray) -> float:
    return float(np.arccos(np.clip(one @ other, -1, 1)))


def _merged(
    strokes: list[Stroke], mates: dict[tuple[int, int], tuple[tuple[int, int], FloatArray]]
) -> list[Stroke]:
    """Strokes joined over their closed gaps."""
    done = [False] * len(strokes)
    out: list[Stroke] = []
    order = [(k, s) for k in range(len(strokes)) for s in (0, 1) if (k, s) not in mates]
    for start in [*order, *((k, 0) for k in range(len(strokes)))]:
        if done[start[0]]:
            continue
        held, parts, now, closed = [], [], start, False
        while True:
            k, side = now
            done[k] = True
            held.append(k)
            parts.append(strokes[k].points if side == 0 else strokes[k].points[::-1])
            far = (k, 1 - side)
            if far not in mates:
                break
            now, bridge = mates[far]
            parts.append(bridge[1:-1])
            if done[now[0]]:
                closed = True
                break
        ends = (start, far)
        free = (strokes[ends[0][0]].free[ends[0][1]], strokes[ends[1][0]].free[ends[1][1]])
        lead = (strokes[ends[0][0]].lead[ends[0][1]], strokes[ends[1][0]].lead[ends[1][1]])
        out.append(_one(strokes, held, parts, free=free, lead=lead, closed=closed))
    return out


def _one(
    strokes: list[Stroke],
    held: list[int],
    parts: list[FloatArray],
    *,
    free: tuple[bool, bool],
    lead: tuple[float, float],
    closed: bool,
) -> Stroke:
    if len(held) == 1 and not closed:
        return strokes[held[0]]
    points = np.vstack(parts)
    if closed:
        points = np.vstack([points, points[:1]])
    lengths = [float(np.hypot(*np.diff(strokes[k].points, axis=0).T).sum()) for k in held]
    width = float(np.average([strokes[k].width for k in held], weights=np.maximum(lengths, 1e-9)))
    return Stroke(
        points=points,
        width=width,
        free=(False, False) if closed else free,
        fixed=np.vstack([strokes[k].fixed for k in held]),
        lead=(0.0, 0.0) if closed else lead,
    )
