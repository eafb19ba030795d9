"""Hand marks: hatching, stipple and X marks drawn as lines inside fields (handbook 12).

They wish for background and divide nothing, so they are taken out of the lines. The limits below are common
practice, no source; veins (one end on a midrib), dashed lines and pieces of longer lines stay lines.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
import shapely.ops
from shapely import LineString

from filigree.drawing.fills import Shapes
from filigree.drawing.model import Mark, Skipped
from filigree.geometry.groups import connected
from filigree.geometry.types import Area, BoolArray, FloatArray, IntArray

STRAIGHT = 0.97  # chord over length of a stroke that counts as straight
TOUCH = 0.35  # mm: an end this near another line touches it
DOT = 1.6  # mm: longest extent of a dot
CROSS = (1.5, 30.0)  # mm: lengths of the strokes of an X
HATCH = (1.0, 80.0)  # mm: lengths of a hatching stroke
SPACING = 2.5  # mm: widest distance of hatching strokes
SPREAD = 4.0  # mm: widest distance of neighbouring dots
CLOUD = 0.12  # spread of neighbours across over along, from which dots are a cloud
MOST_COMPARED = 1000  # dots whose neighbours are looked at
LEAST_STROKES = 6
MOST_STROKES = 5000  # beyond so many short straight lines none is looked at as a mark
LEAST_DOTS = 5
DRAWN = ("hatched", "X", "stippled")  # how marks of strokes are called
PARALLEL_DEG = 12.0
OFF_MIDDLE = 0.2  # share of a stroke of an X that it may cross off its middle
UNLIKE = 1.5  # times that one stroke of an X may be longer than the other
RUNG = 1.3  # mm between the rungs of a ladder or braid border; closer strokes are hatching
SIDE = 2.5  # spacings within which the outermost hatching stroke has an edge of its field beside it
RUNG_ROW = 2.5  # times that a row of rungs is longer than a rung
RUNG_SPREAD = 0.15  # deviation of the rungs' lengths over their mean
RUNG_SLANT = 0.3  # cosine between a rung and the step to the next
HELD = 0.5  # share of strokes touching with both ends from which a group may be drawing
LEAST_SHARED, SHARED = (
    2,
    0.5,
)  # ends on a line beyond which it counts; share of the shorter stretch in common
ONE_ENDED = 0.5  # share of strokes touching with one end alone from which they are veins


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Strokes:
    """Lines as shapes, with what tells marks from drawing."""

    shapes: Shapes
    starts: FloatArray
    ends: FloatArray
    length: FloatArray
    straight: BoolArray
    tree: shapely.STRtree


def find_hand_marks(
    lines: tuple[FloatArray, ...], kinds: tuple[str, ...] = ("X", "stippled", "hatched")
) -> tuple[tuple[FloatArray, ...], tuple[Mark, ...]]:
    """Part the lines of a drawing from the marks drawn among them.

    Args:
        lines: polylines, mm, `(n, 2)` each.
        kinds: marks to look for; "loose" is hatching whose strokes touch nothing.

    Returns:
        The other lines, in order, and a mark for each X, each hatched and each stippled place.
    """
    if len(lines) < 2:
        return lines, ()
    strokes = _measure(lines)
    used = np.zeros(len(lines), dtype=bool)
    marks: list[Mark] = []
    looks = (("X", _crosses), ("stippled", _stipples), ("hatched", _hatchings), ("loose", _loose))
    for kind, look in looks:
        found = look(strokes, used) if kind in kinds else ()
        how = "hatched" if kind == "loose" else kind
        for members, area in found:
            used[members] = True
            marks.append(Mark(shape=area, says="open", how=how))
    rest = tuple(line for line, is_mark in zip(lines, used.tolist(), strict=True) if not is_mark)
    return rest, tuple(marks)


def told_as_marks(count: int, marks: tuple[Mark, ...]) -> tuple[Skipped, ...]:
    """Say how many strokes were taken out of the lines as marks, and where; nothing when there are none.

    Args:
        count: strokes taken out.
        marks: what they were read as.
    """
    drawn = [m for m in marks if m.how in DRAWN]
    if not count or not drawn:
        return ()
    kinds = ", ".join(k for k in DRAWN if any(m.how == k for m in drawn))
    where = "1 place" if len(drawn) == 1 else f"{len(drawn)} places"
    what = "one stroke" if count == 1 else f"{count} strokes"
    why = f"read as marks that say background ({kinds}; {where}); keep the field where they are drawing"
    return (Skipped(what=what, why=why),)


def _measure(lines: tuple[FloatArray, ...]) -> _Strokes:
    shapes = np.array([LineString(line) for line in lines])
    starts = np.array([line[0] for line in lines])
    ends = np.array([line[-1] for line in lines])
    length = shapely.length(shapes)
    chord = np.hypot(*(ends - starts).T)
    return _Strokes(
        shapes=shapes,
        starts=starts,
        ends=ends,
        length=length,
        straight=chord >= STRAIGHT * np.maximum(length, 1e-12),
        tree=shapely.STRtree(shapes),
    )


def _touching(strokes: _Strokes, members: IntArray) -> tuple[BoolArray, BoolArray]:
    """Whether the start and the end of each member touch a line that is no member."""
    both = []
    for points in (strokes.starts, strokes.ends):
        at, line = strokes.tree.query(
            shapely.points(points[members]), predicate="dwithin", distance=TOUCH
        )
        other = ~np.isin(line, members)
        touched = np.zeros(len(members), dtype=bool)
        touched[at[other]] = True
        both.append(touched)
    return both[0], both[1]


def _crosses(strokes: _Strokes, used: BoolArray) -> list[tuple[IntArray, shapely.Point]]:
    """Pairs of strokes that cross near their middles and touch nothing but loose lines, as a leaf's vein."""
    fit = np.flatnonzero(
        strokes.straight & (strokes.length >= CROSS[0]) & (strokes.length <= CROSS[1]) & ~used
    )
    if not 2 <= len(fit) <= MOST_STROKES:
        return []
    first, second = shapely.STRtree(strokes.shapes[fit]).query(
        strokes.shapes[fit], predicate="crosses"
    )
    first, second = fit[first], fit[second]
    pairs = first < second
    found: list[tuple[IntArray, shapely.Point]] = []
    for i, j in sorted(zip(first[pairs].tolist(), second[pairs].tolist(), strict=True)):
        pair = np.array([i, j])
        lengths = strokes.length[pair]
        along = (strokes.ends - strokes.starts)[pair]
        sine = abs(along[0, 0] * along[1, 1] - along[0, 1] * along[1, 0]) / np.prod(
            np.hypot(*along.T)
        )
        at = shapely.intersection(strokes.shapes[i], strokes.shapes[j])
        if sine < 0.7 or lengths.max() > UNLIKE * lengths.min() or at.geom_type != "Point":
            continue
        shares = shapely.line_locate_point(strokes.shapes[pair], at, normalized=True)
        near = _near(strokes, pair)
        alone = all(np.isin(_near(strokes, np.array([k])), pair).all() for k in near)
        if (alone or _by_one_end(strokes, pair, near)) and (
            np.abs(shares - 0.5) < OFF_MIDDLE
        ).all():
            found.append((pair, at))
    return found


def _by_one_end(strokes: _Strokes, pair: IntArray, near: IntArray) -> bool:
    """True when two strokes touch other lines with one of their four ends alone, as a hand draws over a border."""
    tips = np.empty(4, object)
    tips[:] = shapely.points(np.concatenate([strokes.starts[pair], strokes.ends[pair]]))
    others = shapely.union_all(strokes.shapes[near])
    touching = shapely.distance(tips, others) <= TOUCH
    if touching.sum() != 1:
        return False
    body = shapely.difference(
        shapely.union_all(strokes.shapes[pair]),
        shapely.union_all(shapely.buffer(tips[touching], 3 * TOUCH)),
    )
    return bool(shapely.distance(body, others) > TOUCH)


def _near(strokes: _Strokes, members: IntArray) -> IntArray:
    """Other lines that some lines touch."""
    whole = shapely.union_all(strokes.shapes[members])
    return np.setdiff1d(strokes.tree.query(whole, predicate="dwithin", distance=TOUCH), members)


def _stipples(strokes: _Strokes, used: BoolArray) -> list[tuple[IntArray, Area]]:
    """Clouds of dots that touch no line; rows of dots (dashes, pearls) are not clouds."""
    bounds = shapely.bounds(strokes.shapes)
    small = (np.hypot(bounds[:, 2] - bounds[:, 0], bounds[:, 3] - bounds[:, 1]) <= DOT) & ~used
    dots = np.flatnonzero(small)
    if len(dots) < LEAST_DOTS:
        return []
    at, line = strokes.tree.query(strokes.shapes[dots], predicate="dwithin", distance=TOUCH / 2)
    busy = np.bincount(at[~small[line]], minlength=len(dots)) > 0
    dots = dots[~busy]
    centres = shapely.centroid(strokes.shapes[dots])
    found: list[tuple[IntArray, Area]] = []
    for group in _groups(
        len(dots), *shapely.STRtree(centres).query(centres, predicate="dwithin", distance=SPREAD)
    ):
        if len(group) < LEAST_DOTS:
            continue
        spacing, flatness = _texture(shapely.get_coordinates(centres[group]))
        if flatness < CLOUD:
            continue
        cloud = shapely.buffer(
            shapely.union_all(shapely.buffer(centres[group], 1.5 * spacing)), -1.2 * spacing
        )
        if not cloud.is_empty:
            found.append((dots[group], cloud))
    return found


def _texture(xy: FloatArray) -> tuple[float, float]:
    """Usual distance of neighbours, mm, and how far they spread two ways: 0 for a row, 1 for a cloud."""
    some = xy[:: max(1, len(xy) // MOST_COMPARED)]
    apart = np.hypot(*(some[:, None] - xy[None]).transpose(2, 0, 1))
    nearest = np.argsort(apart, axis=1)[:, :9]
    spacing = float(np.median(np.take_along_axis(apart, nearest[:, 1:2], axis=1)))
    local = xy[nearest] - xy[nearest].mean(axis=1, keepdims=True)
    spread = np.linalg.eigvalsh(local.transpose(0, 2, 1) @ local)
    return max(spacing, 0.3), float(np.median(spread[:, 0] / np.maximum(spread[:, 1], 1e-12)))


def _hatchings(strokes: _Strokes, used: BoolArray) -> list[tuple[IntArray, Area]]:
    """Groups of parallel strokes side by side, free at both ends or touching with both."""
    fit = np.flatnonzero(
        strokes.straight & (strokes.length >= HATCH[0]) & (strokes.length <= HATCH[1]) & ~used
    )
    if not LEAST_STROKES <= len(fit) <= MOST_STROKES:
        return []
    first, second = _near_parallel(strokes, fit)
    beside, distance = _beside(strokes, fit[first], fit[second])
    first, second, distance = first[beside], second[beside], distance[beside]
    found: list[tuple[IntArray, Area]] = []
    held: list[IntArray] = []
    for group in _groups(len(fit), first, second):
        members = fit[group]
        if len(members) < LEAST_STROKES:
            continue
        start, end = _touching(strokes, members)
        crossed = _crossed(strokes, members)
        if np.mean(start ^ end) >= ONE_ENDED or crossed.mean() > 0.2:
            continue
        inside = np.isin(first, group)
        nearest = np.full(len(fit), np.inf)
        np.minimum.at(nearest, first[inside], distance[inside])
        gaps = nearest[group]
        spacing = float(np.median(gaps))
        even = np.mean((gaps > 0.4 * spacing) & (gaps < 2.2 * spacing))
        if even < 0.8 or np.median(strokes.length[members]) < 1.5 * spacing:
            continue
        if np.mean(start & end) >= 0.8 and (
            _rungs(strokes, members, first[inside], second[inside], spacing)
            or not _reaches_a_side(strokes, members, spacing)
        ):
            continue
        area = shapely.buffer(
            shapely.union_all(strokes.shapes[members]), 0.6 * spacing, cap_style="flat"
        )
        found.append((members, area))
        held.append(members if np.mean(start & end) >= HELD else members[:0])
    shared = _sharing(strokes, held)
    return [f for k, f in enumerate(found) if k not in shared]


def _near_parallel(strokes: _Strokes, fit: IntArray) -> tuple[IntArray, IntArray]:
    """Pairs of `fit` near each other and of about one direction: strokes of a second set cross every one of the first."""
    way = (strokes.ends - strokes.starts)[fit]
    count = int(180 // PARALLEL_DEG)
    fan = (np.arctan2(way[:, 1], way[:, 0]) % np.pi * count / np.pi).astype(np.int64) % count
    pairs: list[FloatArray] = []
    for k in np.unique(fan).tolist():
        own = np.flatnonzero(fan == k)
        near = np.flatnonzero((fan - k + 1) % count <= 2)
        i, j = shapely.STRtree(strokes.shapes[fit[near]]).query(
            strokes.shapes[fit[own]], predicate="dwithin", distance=SPACING
        )
        pairs.append(np.stack([own[i], near[j]]))
    first, second = np.concatenate(pairs, axis=1)
    order = np.lexsort([second, first])
    return first[order], second[order]


def _loose(strokes: _Strokes, used: BoolArray) -> list[tuple[IntArray, Area]]:
    """Hatching whose strokes touch nothing."""
    found = _hatchings(strokes, used)
    return [f for f in found if not np.any(_touching(strokes, f[0]))]


def _sharing(strokes: _Strokes, held: list[IntArray]) -> set[int]:
    """Groups on both sides of one stretch of line, as barbs of a feather: between two openings lies leather."""
    spans: dict[int, list[tuple[float, float, int]]] = {}
    for k, members in enumerate(held):
        tips = np.empty(2 * len(members), object)
        tips[:] = shapely.points(np.concatenate([strokes.starts[members], strokes.ends[members]]))
        at, line = strokes.tree.query(tips, predicate="dwithin", distance=TOUCH)
        for host in np.setdiff1d(line, members).tolist():
            own = tips[np.unique(at[line == host])]
            along = np.asarray(shapely.line_locate_point(strokes.shapes[host], own))
            if len(along) > LEAST_SHARED:
                spans.setdefault(host, []).append((float(along.min()), float(along.max()), k))
    out: set[int] = set()
    for there in spans.values():
        for (a, b, i), (c, d, j) in combinations(there, 2):
            if min(b, d) - max(a, c) > SHARED * min(b - a, d - c):
                out |= {i, j}
    return out


def _beside(strokes: _Strokes, first: IntArray, second: IntArray) -> tuple[BoolArray, FloatArray]:
    """Which pairs run parallel beside each other, and their distances across, mm."""
    a, b = strokes.starts[first], strokes.ends[first]
    c, d = strokes.starts[second], strokes.ends[second]
    along = (b - a) / np.maximum(np.hypot(*(b - a).T), 1e-12)[:, None]
    other = (d - c) / np.maximum(np.hypot(*(d - c).T), 1e-12)[:, None]
    parallel = np.abs((along * other).sum(axis=1)) >= np.cos(np.radians(PARALLEL_DEG))
    middle = (c + d) / 2 - a
    across = np.abs(along[:, 0] * middle[:, 1] - along[:, 1] * middle[:, 0])
    low = np.minimum(((c - a) * along).sum(axis=1), ((d - a) * along).sum(axis=1))
    high = np.maximum(((c - a) * along).sum(axis=1), ((d - a) * along).sum(axis=1))
    shared = np.minimum(high, strokes.length[first]) - np.maximum(low, 0.0)
    shorter = np.minimum(strokes.length[first], strokes.length[second])
    fits = parallel & (across > 0.1) & (across <= SPACING) & (shared >= 0.4 * shorter)
    return fits & (first != second), across


def _rungs(
    strokes: _Strokes, members: IntArray, first: IntArray, second: IntArray, spacing: float
) -> bool:
    """Say whether strokes that touch at both ends are the rungs of a border, which divide it into cells.

    Rungs are alike in length, stand square to the row they make, and the row is long.
    """
    length = strokes.length[members]
    middles = (strokes.starts + strokes.ends) / 2
    step = middles[second] - middles[first]
    along = strokes.ends[first] - strokes.starts[first]
    size = np.hypot(*step.T) * np.hypot(*along.T)
    slant = np.abs((step * along).sum(axis=1)) / np.maximum(size, 1e-12)
    alike = length.std() < RUNG_SPREAD * length.mean()
    row = len(members) * spacing >= RUNG_ROW * length.mean()
    return bool(spacing >= RUNG and alike and row and np.median(slant) < RUNG_SLANT)


def _reaches_a_side(strokes: _Strokes, members: IntArray, spacing: float) -> bool:
    """Say whether the outermost strokes have an edge of their field beside them.

    Strokes from edge to edge with open field on both sides (pleats, bars) divide it and mark nothing.
    """
    along = (strokes.ends - strokes.starts)[members]
    along *= np.where((along * along[0]).sum(axis=1) < 0, -1.0, 1.0)[:, None]
    mean = along.sum(axis=0)
    across = np.array([-mean[1], mean[0]]) / max(float(np.hypot(*mean)), 1e-12)
    place = (strokes.starts + strokes.ends)[members] @ across
    for outer, sign in ((place.argmin(), -1.0), (place.argmax(), 1.0)):
        points = shapely.line_interpolate_point(
            strokes.shapes[members[outer]], np.linspace(0.1, 0.9, 9), normalized=True
        )
        near = shapely.get_coordinates(points)
        rays = shapely.linestrings(np.stack([near, near + sign * SIDE * spacing * across], axis=1))
        _, line = strokes.tree.query(rays, predicate="intersects")
        if not np.isin(line, members).all():
            return True
    return False


def _crossed(strokes: _Strokes, members: IntArray) -> BoolArray:
    """Which members cross, away from their ends, a line longer than themselves that is no hatching stroke."""
    trimmed = np.array(
        [
            shapely.ops.substring(shape, 0.15, 0.85, normalized=True)
            for shape in strokes.shapes[members]
        ]
    )
    at, line = strokes.tree.query(trimmed, predicate="intersects")
    other = ~np.isin(line, members) & ~strokes.straight[line]
    crossed = np.zeros(len(members), dtype=bool)
    crossed[at[other]] = True
    return crossed


def _groups(count: int, first: IntArray, second: IntArray) -> list[IntArray]:
    """Connected groups of `count` things, each in order, from pairs that belong together."""
    label = connected(count, first, second)
    order = np.argsort(label, kind="stable")
    return np.split(order, np.cumsum(np.bincount(label))[:-1])
