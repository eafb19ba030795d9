"""Middle lines: the run of disc centres between the two sides of a narrow strand.

From points along one side of a neck a disc that touches the point grows into the land until it touches
another side (the shrinking ball of Ma, Bae and Choi 2012); where it stays smaller than the wanted
width, its centre lies on the middle line of a strand that is too narrow. Points are shared by all necks of
a ring and looked at only as far as a strand is narrow.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, STRtree

from filigree.geometry.rings import Rings
from filigree.geometry.strips import TIGHT, Strips, numbered
from filigree.geometry.types import BoolArray, FloatArray, IntArray

CORNER = np.radians(100.0)  # a disc whose touches are less apart sits in a corner, no strand
FAN = np.radians(12.0)  # step of directions at a corner
LEVEL = 1e-9  # an edge leaning less than this, or rising by less mm, is level with the point
NOISE = 1e-7  # mm: edges this far outside a disc are asked too
COARSE = 4  # every so many points are looked at first; those between start from what these touch
FIRST = 24  # points looked at to each side of a neck at first
FARTHER = 3  # times as many the next time


@dataclass(frozen=True, slots=True, kw_only=True)
class MiddleLine:
    """Middle of one narrow strand.

    Attributes:
        neck: index of the neck it belongs to.
        line: disc centres in order, mm.
        side: the stretch of boundary that the centres were found from, mm.
    """

    neck: int
    line: LineString
    side: LineString


@dataclass(slots=True)
class _Points:
    """Points along whole rings with their directions into the land, and the discs known so far."""

    at: FloatArray  # (n, 2)
    normal: FloatArray  # (n, 2)
    way: FloatArray  # (n,) along the ring, mm
    first: IntArray  # first point of each ring, one more than there are rings
    radius: FloatArray  # (n,), nan where not looked at
    centre: FloatArray  # (n, 2)
    corner: BoolArray  # (n,)
    touch: IntArray  # (n,) edge that the disc touches, -1 where it touches none
    most: float  # no disc is larger, mm


class Discs:
    """Discs grown so far along the boundary of one land, for each of the steps asked for."""

    def __init__(self, rings: Rings) -> None:
        """Take the boundary of the land."""
        self.rings = rings
        self._tree: STRtree | None = None
        self._points: dict[float, _Points] = {}

    def tree(self) -> STRtree:
        """Index of the edges."""
        if self._tree is None:
            ends = np.stack([self.rings.xy, self.rings.xy[self.rings.after]], axis=1)
            self._tree = STRtree(np.asarray(shapely.linestrings(ends), dtype=object))
        return self._tree

    def points(self, step: float, most: float) -> _Points:
        """Points every `step` mm with their discs, which are cut off at no less than `most` mm of radius."""
        known = self._points.get(step)
        if known is None or known.most < most:
            known = _points(self.rings, step, most)
            self._points[step] = known
        return known


def middle_lines(
    discs: Discs,
    *,
    ring: IntArray,
    way: FloatArray,
    width: FloatArray,
    step: float,
    most: float = 0.0,
) -> tuple[MiddleLine, ...]:
    """Find the middle line of the strand round each neck, as far as it is narrower than wanted.

    Args:
        discs: of the land's boundary; those that are grown for this are kept for the next time.
        ring: ring that one side of each neck lies on, `(k,)`.
        way: place of that side along the ring, mm, `(k,)`.
        width: wanted width at each neck, mm, `(k,)`; centres with less room are kept.
        step: distance of the points along the boundary, mm.
        most: the greatest width that will be asked for on this boundary, mm, when more than these.

    Returns:
        Lines in the order of the necks; a neck has none when its strand is wide enough.
    """
    if not len(ring):
        return ()
    points = discs.points(step, max(float(width.max()), most) / 2)
    runs: dict[int, IntArray] = {}
    found = _Runs(points)
    left, span = np.arange(len(ring)), FIRST
    while len(left):
        windows = [
            _window(points, r, w, span)
            for r, w in zip(ring[left].tolist(), way[left].tolist(), strict=True)
        ]
        _look(points, np.unique(np.concatenate(windows)), discs.rings, discs.tree())
        whole = (points.first[ring[left] + 1] - points.first[ring[left]]).tolist()
        more = []
        for k, window, run, count in zip(
            left.tolist(), windows, found.of(windows, width[left]), whole, strict=True
        ):
            if run is None and len(window) < count:
                more.append(k)
            else:
                runs[k] = run if run is not None else found.round(window)
        left, span = np.array(more, dtype=np.int64), span * FARTHER
    lines = _as_lines(points, {id(run): run for run in runs.values() if len(run)}, step)
    return tuple(
        MiddleLine(neck=k, line=line, side=side)
        for k in sorted(runs)
        for line, side in lines.get(id(runs[k]), ())
    )


def _points(rings: Rings, step: float, most: float) -> _Points:
    """Lay points along the rings, with a fan of directions at each corner that bends into the land."""
    turn = rings.turn
    fan = np.where(turn < -FAN / 4, np.ceil(-turn / FAN).astype(np.int64) + 1, 0)
    count = np.maximum(np.ceil(rings.length / step).astype(np.int64), 1)
    start = (
        np.cumsum(fan + count) - fan - count
    )  # at each vertex its fan, then the points of the edge
    total = int((fan + count).sum())
    at, normal, way = np.empty((total, 2)), np.empty((total, 2)), np.empty(total)
    e, number = numbered(count)
    rest = (number + 0.5) * (rings.length / count)[e]
    place = (start + fan)[e] + number
    at[place] = rings.xy[e] + rings.unit[e] * rest[:, None]
    normal[place, 0], normal[place, 1] = -rings.unit[e, 1], rings.unit[e, 0]
    way[place] = rings.along[e] + rest
    f, number = numbered(fan)
    unit = _turned(rings.unit[rings.before[f]], turn[f] * (number / np.maximum(fan[f] - 1, 1)))
    place = start[f] + number
    at[place], way[place] = rings.xy[f], rings.along[f]
    normal[place, 0], normal[place, 1] = -unit[:, 1], unit[:, 0]
    return _Points(
        at=at,
        normal=normal,
        way=way,
        first=np.append(start[rings.first], total),
        radius=np.full(total, np.nan),
        centre=np.zeros((total, 2)),
        corner=np.zeros(total, dtype=bool),
        touch=np.full(total, -1),
        most=most,
    )


def _turned(unit: FloatArray, angle: FloatArray) -> FloatArray:
    c, s = np.cos(angle), np.sin(angle)
    turned: FloatArray = np.c_[unit[:, 0] * c - unit[:, 1] * s, unit[:, 0] * s + unit[:, 1] * c]
    return turned


def _window(points: _Points, ring: int, way: float, span: int) -> IntArray:
    """Give the points round a place of a ring, `span` to each side, each once."""
    first, last = int(points.first[ring]), int(points.first[ring + 1])
    count = last - first
    here = int(np.searchsorted(points.way[first:last], way))
    behind, ahead = (span, span) if 2 * span + 1 < count else (count // 2, (count - 1) // 2)
    return first + np.arange(here - behind, here + ahead + 1) % count


def _look(points: _Points, window: IntArray, rings: Rings, tree: STRtree) -> None:
    """Grow the largest disc at each point that has none yet.

    A few points are looked at from nothing; those between start from what their neighbours touch.
    """
    new = window[np.isnan(points.radius[window])]
    if not len(new):
        return
    number = np.arange(len(new))
    coarse = new[number % COARSE == 0]
    _grow(points, coarse, np.zeros((len(coarse), 0), dtype=np.int64), rings, tree)
    between = number[number % COARSE > 0]
    if len(between):
        ahead = np.minimum(between // COARSE + 1, len(coarse) - 1)
        beside = np.c_[coarse[between // COARSE], coarse[ahead]]
        _grow(points, new[between], points.touch[beside], rings, tree)


def _grow(points: _Points, new: IntArray, hints: IntArray, rings: Rings, tree: STRtree) -> None:
    """Grow discs at points; the edges of `hints`, `(n, h)`, -1 for none, say how far there is to look.

    Every edge that comes into the disc so bounded is asked, so that the disc does not hang on the hints.
    """
    at, normal, most = points.at[new], points.normal[new], points.most
    bound = np.full(len(new), most)
    row, hint = np.nonzero(hints >= 0)
    size, _ = _touching(rings, hints[row, hint], at[row], normal[row])
    np.minimum.at(bound, row, size)
    middles = shapely.points(at + normal * bound[:, None])
    row, edge = tree.query(middles, predicate="dwithin", distance=bound + NOISE)
    size, where = _touching(rings, edge, at[row], normal[row])
    order = np.lexsort((edge, size, row))
    first = order[np.diff(row[order], prepend=-1) != 0]
    first = first[size[first] < most]
    radius, touch = np.full(len(new), most), np.full(len(new), -1)
    foot = at + 2 * normal * most
    which = row[first]
    radius[which], touch[which], foot[which] = size[first], edge[first], where[first]
    centre = at + normal * radius[:, None]
    cosine = ((at - centre) * (foot - centre)).sum(axis=1) / np.maximum(radius**2, 1e-18)
    points.radius[new], points.centre[new], points.touch[new] = radius, centre, touch
    points.corner[new] = np.arccos(np.clip(cosine, -1, 1)) < CORNER


def _touching(
    rings: Rings, edge: IntArray, at: FloatArray, normal: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give the radius at which each disc no more than touches an edge, and where it touches.

    A disc that touches a point and the line of an edge has the radius h / (1 - cos), h the point's height over
    the line and cos that of the angle between their normals; one that touches two points p and q,
    (q - p)^2 / 2 (q - p) . normal (Ma, Bae and Choi 2012, equation 1). The edges that the point itself belongs to
    bound nothing.
    """
    start, unit, length = rings.xy[edge], rings.unit[edge], rings.length[edge]
    apart = at - start
    height = apart[:, 1] * unit[:, 0] - apart[:, 0] * unit[:, 1]
    lean = normal[:, 1] * unit[:, 0] - normal[:, 0] * unit[:, 1]
    lean = 1.0 - np.where(height < -LEVEL, -lean, lean)
    tilted = lean > LEVEL
    size = np.where(tilted, np.abs(height) / np.where(tilted, lean, 1.0), np.inf)
    place = ((apart + normal * np.where(tilted, size, 0.0)[:, None]) * unit).sum(axis=1)
    size[(place < TIGHT) | (place > length - TIGHT)] = np.inf
    where = start + unit * place[:, None]
    for vertex, inward in ((start, unit), (start + unit * length[:, None], -unit)):
        chord = vertex - at
        square, rise = (chord**2).sum(axis=1), (chord * normal).sum(axis=1)
        held = rise > LEVEL
        other = np.where(held, square / (2 * np.where(held, rise, 1.0)), np.inf)
        into = (inward * normal).sum(axis=1)
        contact = (square < TIGHT**2) & (into > TIGHT)  # an edge runs into the disc from the point
        other[contact] = TIGHT
        end = np.where(contact[:, None], at + 2 * TIGHT * into[:, None] * inward, vertex)
        nearer = other < size
        size[nearer], where[nearer] = other[nearer], end[nearer]
    return size, where


class _Runs:
    """Narrow runs of points found so far: necks of one strand share theirs."""

    def __init__(self, points: _Points) -> None:
        self.points = points
        self._runs: list[IntArray] = []
        self._at: dict[float, IntArray] = {}  # by width: number of the run that each point is in
        self._rings: dict[int, IntArray] = {}

    def of(self, windows: Sequence[IntArray], width: FloatArray) -> list[IntArray | None]:
        """Give the run of narrow points round the middle of each window; None when an end is not in it."""
        points = self.points
        strips = Strips.of(points.at, points.radius, points.corner, windows, width)
        start, first, last = strips.runs()
        found: list[IntArray | None] = []
        rows = zip(start.tolist(), first.tolist(), last.tolist(), width.tolist(), strict=True)
        for k, (near, low, high, wide) in enumerate(rows):
            window = windows[k]
            owner = self._at.setdefault(wide, np.full(len(points.way), -1))
            known = int(owner[window[near]]) if near >= 0 else -1
            if near < 0:
                found.append(np.zeros(0, dtype=np.int64))
            elif known >= 0:
                found.append(self._runs[known])
            elif low < 0 or high < 0:
                found.append(None)
            else:
                narrow = strips.radius[k, low : high + 1] > 0
                kept = narrow | strips.clear[k, low : high + 1]
                run = window[low : high + 1]
                owner[run[narrow]] = len(self._runs)
                self._runs.append(run[kept])
                found.append(self._runs[-1])
        return found

    def round(self, window: IntArray) -> IntArray:
        """Give all points of a ring along which nothing ends a strand."""
        return self._rings.setdefault(int(window.min()), np.sort(window))


def _as_lines(
    points: _Points, runs: Mapping[int, IntArray], step: float
) -> dict[int, list[tuple[LineString, LineString]]]:
    """Join the centres of each run into lines, parted where they jump from one branch to another, with their sides."""
    if not runs:
        return {}
    size = np.array([len(run) for run in runs.values()])
    every = np.concatenate(list(runs.values()))
    centre, at = points.centre[every], points.at[every]
    apart = np.hypot(*np.diff(centre, axis=0).T)
    along = np.hypot(*np.diff(at, axis=0).T)
    new = np.ones(len(every), dtype=bool)
    new[1:] = apart > 4 * np.maximum(along, step)
    new[np.cumsum(size)[:-1]] = True
    part = np.cumsum(new) - 1
    alone = np.bincount(part)[part] == 1  # one point is a line of two
    twice = np.repeat(np.arange(len(every)), 1 + alone)
    middles, sides = (
        shapely.linestrings(xy[twice], indices=part[twice]).tolist() for xy in (centre, at)
    )
    lines: dict[int, list[tuple[LineString, LineString]]] = {run: [] for run in runs}
    owner = np.repeat(np.array(list(runs)), size)[new]
    for run, middle, side in zip(owner.tolist(), middles, sides, strict=True):
        lines[run].append((middle, side))
    return lines
