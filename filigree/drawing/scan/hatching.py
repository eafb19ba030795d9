"""Hatching read from a scan: even parallel strokes inside one field, a second set across them too.

A stroke of hatching lies beside others of about its length with nothing drawn between them, no drawn line ends on
it, and its ends are both free or both on the border. Limits are common practice, no source.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray

STRAIGHT = 0.96  # chord over length
LENGTH = (0.8, 90.0)  # mm
APART = (0.3, 2.8)  # mm between neighbours
PARALLEL = np.cos(np.radians(14))
OVERLAP = 0.35  # share of the shorter stroke that lies beside the longer
RATIO = 3.0  # longer over shorter of two neighbours
LONGER = 2.2  # times the longest stroke of a place: longer straight lines are drawn ones
TOUCH = 0.35  # mm
FEW, ENOUGH = 3, 5  # strokes: so few must be free at all ends and fill their field
FILLED = 0.35  # share of its field that a group of few strokes covers
EVEN = 0.7  # share of the strokes at about the usual distance
VEINS = 0.5  # share of strokes with one end on a line from which they are veins
BUSY = 0.2  # share of strokes that other lines may cross or end on


Shapes = npt.NDArray[np.object_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hatched:
    """One hatched place: indices of its strokes and the area they cover."""

    members: IntArray
    area: shapely.Geometry


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lines:
    shapes: Shapes
    starts: FloatArray
    ends: FloatArray
    length: FloatArray
    tree: shapely.STRtree


def find_hatching(lines: list[FloatArray]) -> list[Hatched]:
    """Find hatched places among polylines, mm; a second look finds the strokes across those of the first."""
    if len(lines) < FEW:
        return []
    shapes = np.array([shapely.linestrings(line) for line in lines])
    starts, ends = np.array([line[0] for line in lines]), np.array([line[-1] for line in lines])
    length = shapely.length(shapes)
    all_lines = _Lines(
        shapes=shapes, starts=starts, ends=ends, length=length, tree=shapely.STRtree(shapes)
    )
    chord = np.hypot(*(ends - starts).T)
    fit = (chord >= STRAIGHT * length) & (length >= LENGTH[0]) & (length <= LENGTH[1])
    gone = np.zeros(len(lines), bool)
    found: list[Hatched] = []
    for _ in range(2):
        new = _groups(all_lines, fit & ~gone, fit, gone)
        for hatched in new:
            gone[hatched.members] = True
        found += new
    return found


def _groups(lines: _Lines, fit: BoolArray, short: BoolArray, gone: BoolArray) -> list[Hatched]:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    of = np.flatnonzero(fit)
    if len(of) < FEW:
        return []
    first, second = shapely.STRtree(lines.shapes[of]).query(
        lines.shapes[of], predicate="dwithin", distance=APART[1]
    )
    first, second = of[first], of[second]
    beside, across, bridges = _beside(lines, first, second)
    first, second, across, bridges = first[beside], second[beside], across[beside], bridges[beside]
    clear = _clear(lines, first, second, bridges, short, gone)
    first, second, across = first[clear], second[clear], across[clear]
    count = len(lines.length)
    links = coo_array((np.ones(len(first), np.int8), (first, second)), shape=(count, count))
    _, name = connected_components(links, directed=False)
    nearest = np.full(count, np.inf)
    np.minimum.at(nearest, first, across)
    out = []
    linked = np.isfinite(nearest)
    for group in np.unique(name[linked]):
        members = _without_borders(lines, np.flatnonzero((name == group) & linked), gone)
        if len(members) >= FEW and _is_hatching(lines, members, nearest[members], gone, short):
            spacing = float(np.median(nearest[members]))
            area = shapely.union_all(
                shapely.buffer(lines.shapes[members], 0.62 * spacing, cap_style="flat")
            )
            out.append(Hatched(members=_with_crumbs(lines, members, area), area=area))
    return out


def _without_borders(lines: _Lines, members: IntArray, gone: BoolArray) -> IntArray:
    """Leave out strokes that reach a line with both ends where most reach none: they part fields."""
    inside = gone.copy()
    inside[members] = True
    start, end = (_touches(lines, points[members], inside) for points in (lines.starts, lines.ends))
    free = float(np.mean(~start & ~end))
    return members[~(start & end)] if free >= 0.5 else members


def _with_crumbs(lines: _Lines, members: IntArray, area: shapely.Geometry) -> IntArray:
    """Also the shorter strokes that lie wholly in the hatched place."""
    within = lines.tree.query(area, predicate="contains")
    small = within[lines.length[within] <= 1.2 * lines.length[members].max()]
    return np.union1d(members, small)


def _beside(
    lines: _Lines, first: IntArray, second: IntArray
) -> tuple[BoolArray, FloatArray, FloatArray]:
    """Which pairs lie beside each other, how far apart, and a bridge between them, `(n, 2, 2)`."""
    a, b = lines.starts[first], lines.ends[first]
    c, d = lines.starts[second], lines.ends[second]
    size = np.maximum(np.hypot(*(b - a).T), 1e-9)
    along = (b - a) / size[:, None]
    other = (d - c) / np.maximum(np.hypot(*(d - c).T), 1e-9)[:, None]
    parallel = np.abs((along * other).sum(1)) >= PARALLEL
    at_c, at_d = ((c - a) * along).sum(1), ((d - a) * along).sum(1)
    low, high = np.maximum(np.minimum(at_c, at_d), 0), np.minimum(np.maximum(at_c, at_d), size)
    shorter = np.minimum(lines.length[first], lines.length[second])
    longer = np.maximum(lines.length[first], lines.length[second])
    middle = (low + high) / 2
    share = np.clip((middle - at_c) / np.where(np.abs(at_d - at_c) > 1e-9, at_d - at_c, 1), 0, 1)
    here, there = a + along * middle[:, None], c + (d - c) * share[:, None]
    across = np.abs(along[:, 0] * (there - a)[:, 1] - along[:, 1] * (there - a)[:, 0])
    good = (
        parallel & (across >= APART[0]) & (across <= APART[1]) & (high - low >= OVERLAP * shorter)
    )
    good &= (longer <= RATIO * shorter) & (first != second)
    return good, across, np.stack([here, there], axis=1)


def _clear(
    lines: _Lines,
    first: IntArray,
    second: IntArray,
    bridges: FloatArray,
    short: BoolArray,
    gone: BoolArray,
) -> BoolArray:
    """Which bridges between neighbours meet no drawn line but other short straight strokes."""
    clear = np.ones(len(first), bool)
    if not len(first):
        return clear
    at, line = lines.tree.query(shapely.linestrings(bridges), predicate="intersects")
    longest = RATIO * np.maximum(lines.length[first], lines.length[second])[at]
    harmless = gone[line] | (short[line] & (lines.length[line] <= longest))
    own = (line == first[at]) | (line == second[at])
    clear[at[~own & ~harmless]] = False
    return clear


def _is_hatching(
    lines: _Lines, members: IntArray, nearest: FloatArray, gone: BoolArray, short: BoolArray
) -> bool:
    spacing = float(np.median(nearest))
    even = float(np.mean((nearest > 0.4 * spacing) & (nearest < 2.2 * spacing)))
    if even < EVEN or float(np.median(lines.length[members])) < spacing:
        return False
    inside = np.zeros(len(lines.length), bool)
    inside[members] = True
    longest = float(lines.length[members].max())
    harmless = inside | gone | (short & (lines.length <= LONGER * longest))
    start, end = (
        _touches(lines, points[members], harmless) for points in (lines.starts, lines.ends)
    )
    if float(np.mean(start ^ end)) >= VEINS or _busy(lines, members, inside, harmless) > BUSY:
        return False
    if len(members) >= ENOUGH:
        return True
    return not (start | end).any() and _fills(lines, members, spacing, harmless)


def _touches(lines: _Lines, points: FloatArray, harmless: BoolArray) -> BoolArray:
    at, line = lines.tree.query(shapely.points(points), predicate="dwithin", distance=TOUCH)
    touched = np.zeros(len(points), bool)
    touched[at[~harmless[line]]] = True
    return touched


def _busy(lines: _Lines, members: IntArray, inside: BoolArray, harmless: BoolArray) -> float:
    """Share of the members that a drawn line crosses or ends on, away from their ends."""
    a, b = lines.starts[members], lines.ends[members]
    inner = shapely.linestrings(np.stack([a + 0.15 * (b - a), b - 0.15 * (b - a)], axis=1))
    at, line = lines.tree.query(inner, predicate="intersects")
    busy = np.zeros(len(members), bool)
    busy[at[~harmless[line]]] = True
    others = np.flatnonzero(~inside & ~harmless)
    if len(others):
        tips = [
            shapely.Point(p) for p in np.concatenate([lines.starts[others], lines.ends[others]])
        ]
        hit, _ = shapely.STRtree(tips).query(inner, predicate="dwithin", distance=0.1)
        busy[hit] = True
    return float(busy.mean())


def _fills(lines: _Lines, members: IntArray, spacing: float, harmless: BoolArray) -> bool:
    """True when the few strokes cover a good part of the field they lie in."""
    area = shapely.union_all(
        shapely.buffer(lines.shapes[members], 0.62 * spacing, cap_style="flat")
    )
    middle = shapely.line_interpolate_point(
        lines.shapes[members[len(members) // 2]], 0.5, normalized=True
    )
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines.shapes[~harmless])]))
    around = [f for f in faces if f.contains(middle)]
    return bool(around) and area.area >= FILLED * min(f.area for f in around)
