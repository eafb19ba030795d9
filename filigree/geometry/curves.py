"""Curves kept: rings of a drawing turned back into the curves they were drawn with.

Runs that nothing moved are written as the source's own cubics, whole or cut out of them; straight runs stay
straight; only what was moved is fitted anew.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely

from filigree.geometry.bezier import parts_of
from filigree.geometry.chords import NO_CURVES, ChordSearch, CurveTable
from filigree.geometry.fit import TOLERANCE, fit_all
from filigree.geometry.path import Path
from filigree.geometry.types import Area, BoolArray, FloatArray, IntArray, Shapes

__all__ = ["NO_CURVES", "CurveTable", "Source", "restore"]

SAME = 1e-9  # mm: points this close are one point
JOINED = 1e-6  # parameter: two parts of one curve this close run on
SPECK = 1e-3  # mm: a moved edge this short between longer ones is noise of noding


@dataclass(frozen=True, eq=False)
class Source:
    """A curve table made ready to be looked up in, for all rings of a drawing."""

    table: CurveTable

    def paths(self, shape: Area, *, tolerance: float = TOLERANCE) -> tuple[Path, ...]:
        """Rings of an area as paths: of each part the shell, then its holes; none for an empty area.

        Shells run one way round (positive `signed_area`), holes the other.
        """
        rings, _ = rings_each([shape])
        return tuple(self.restore([_coordinates(r) for r in rings], tolerance=tolerance))

    def paths_each(self, shapes: Sequence[Area]) -> list[tuple[Path, ...]]:
        """Rings of each of many areas as paths, as `paths` gives them; all are worked out at once."""
        rings, owner = rings_each(shapes)
        found = self.restore([_coordinates(r) for r in rings])
        ends = np.searchsorted(owner, np.arange(len(shapes)), side="right").tolist()
        return [tuple(found[a:b]) for a, b in pairwise([0, *ends])]

    def restore(self, rings: Sequence[FloatArray], *, tolerance: float = TOLERANCE) -> list[Path]:
        """Turn closed rings back into paths; see the function `restore`."""
        if not len(rings):
            return []
        edges = _without_specks(_edges(rings, self._search))
        return _paths(edges, self.table.cubics, tolerance)

    @cached_property
    def _search(self) -> ChordSearch:
        return ChordSearch(self.table)


def rings_each(shapes: Sequence[Area]) -> tuple[Shapes, IntArray]:
    """Rings of many areas, of each part the shell, then its holes, and the area that each belongs to.

    Shells run one way round, holes the other.
    """
    turned = shapely.orient_polygons(np.array([*shapes, None], dtype=object)[:-1])
    parts, owner = shapely.get_parts(turned, return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    return rings, owner[part]


def restore(ring: FloatArray, table: CurveTable, *, tolerance: float = TOLERANCE) -> Path:
    """Turn a closed ring back into a path.

    Runs that lie on source curves become the source's cubics, whole or cut out of them; straight runs become
    straight; what was moved off the source is fitted anew. Corners stay corners.

    Args:
        ring: shape `(n, 2)`, mm; the first point may be repeated at the end.
        table: source curves. For many rings make one `Source` of it.
        tolerance: mm, for what is fitted.
    """
    return Source(table).restore([ring], tolerance=tolerance)[0]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edges:
    """Edges of all rings: start, ring, next edge, source curve or -1, parameters on it."""

    points: FloatArray
    ring: IntArray
    rings: int
    curve: IntArray
    spans: FloatArray

    def heads(self) -> tuple[IntArray, IntArray]:
        """First edge and number of edges of each ring."""
        size = np.bincount(self.ring, minlength=self.rings)
        return np.cumsum(size) - size, size

    def following(self) -> IntArray:
        """Edge after each one round its ring."""
        first, size = self.heads()
        after = np.arange(len(self.points)) + 1
        after[first + size - 1] = first
        return after


def _edges(rings: Sequence[FloatArray], search: ChordSearch) -> _Edges:
    points = np.concatenate(rings)
    owner = np.repeat(np.arange(len(rings)), [len(r) for r in rings])
    last = np.append(owner[1:] != owner[:-1], True)
    first = np.flatnonzero(np.roll(last, 1))
    after = np.arange(len(points)) + 1
    after[last] = first
    step = points[after] - points
    keep = np.hypot(step[:, 0], step[:, 1]) > SAME  # drops repeats and the closing point
    points, owner = points[keep], owner[keep]
    size = np.bincount(owner, minlength=len(rings))
    if (size < 2).any():
        raise ValueError("a ring needs two points that differ")
    after = np.arange(len(points)) + 1
    after[np.cumsum(size) - 1] = np.cumsum(size) - size
    curve, spans = search.match(points, points[after])
    return _Edges(points=points, ring=owner, rings=len(rings), curve=curve, spans=spans)


def _without_specks(edges: _Edges) -> _Edges:
    """Drop single tiny edges that lie on no source curve; their neighbours meet at one end of them."""
    after = edges.following()
    step = edges.points[after] - edges.points
    tiny = (np.hypot(step[:, 0], step[:, 1]) < SPECK) & (edges.curve < 0)
    drop = tiny & ~tiny[after]
    drop[after] &= ~tiny
    drop &= (np.bincount(edges.ring, minlength=edges.rings) > 4)[edges.ring]
    keep = ~drop
    return _Edges(
        points=edges.points[keep],
        ring=edges.ring[keep],
        rings=edges.rings,
        curve=edges.curve[keep],
        spans=edges.spans[keep],
    )


def _paths(edges: _Edges, cubics: FloatArray, tolerance: float) -> list[Path]:
    """Group edges into runs, cut the source runs out of their curves, fit the others."""
    order, head, ring_of = _runs(edges)
    size = np.diff(np.append(head, len(order)))
    first = order[head]
    last = order[head + size - 1]
    ends = edges.points[edges.following()[last]]
    known = edges.curve[first] >= 0
    parts = parts_of(
        cubics[edges.curve[first[known]]],
        edges.spans[first[known], 0],
        edges.spans[last[known], 1],
    )
    parts = _pinned(parts, edges.points[first[known]], ends[known])
    moved = np.flatnonzero(~known)
    closed = _alone(edges, ring_of)[moved]
    lines = [
        np.vstack([edges.points[order[head[k] : head[k] + size[k]]], ends[k]])
        for k in moved.tolist()
    ]
    fitted = fit_all(lines, closed.tolist(), tolerance=tolerance)
    return _assembled(edges.rings, ring_of, known, parts, fitted)


def _runs(edges: _Edges) -> tuple[IntArray, IntArray, IntArray]:
    """Edges in order, each ring begun at a break; where each run starts in that order; ring of each run."""
    after = edges.following()
    before = np.empty_like(after)
    before[after] = np.arange(len(after))
    same = edges.curve == edges.curve[before]
    on = edges.curve >= 0
    joined = np.abs(edges.spans[before, 1] - edges.spans[:, 0]) < JOINED
    way = np.sign(edges.spans[:, 1] - edges.spans[:, 0])
    breaks = ~same | (on & ~(joined & (way == way[before])))
    first, size = edges.heads()
    start = first.copy()
    owners, at = np.unique(edges.ring[breaks], return_index=True)
    start[owners] = np.flatnonzero(breaks)[at]
    breaks[start] = True
    within = np.arange(len(after)) - first[edges.ring]
    place = start[edges.ring] - first[edges.ring] + within
    place -= np.where(place >= size[edges.ring], size[edges.ring], 0)
    order = first[edges.ring] + place
    head: IntArray = np.flatnonzero(breaks[order])
    return order, head, edges.ring[order[head]]


def _alone(edges: _Edges, ring_of: IntArray) -> BoolArray:
    """True for runs that are a whole ring by themselves."""
    flat: BoolArray = (np.bincount(ring_of, minlength=edges.rings) == 1)[ring_of]
    return flat


def _pinned(parts: FloatArray, starts: FloatArray, ends: FloatArray) -> FloatArray:
    """Let each part start and end at the ring's own vertices; its handles move along."""
    pinned = parts.copy()
    head, tail = starts - parts[:, 0], ends - parts[:, 3]
    pinned[:, 1] += head
    pinned[:, 2] += tail
    pinned[:, 0], pinned[:, 3] = starts, ends
    return pinned


def _assembled(
    rings: int, ring_of: IntArray, known: BoolArray, parts: FloatArray, fitted: list[Path]
) -> list[Path]:
    """Put source parts and fitted paths of each ring behind each other."""
    number = np.where(known, 1, 0)
    number[~known] = [len(path.cubics) for path in fitted]
    starts = np.cumsum(number) - number
    total = int(number.sum())
    cubics, straight = np.empty((total, 4, 2)), np.zeros(total, dtype=bool)
    cubics[starts[known]] = parts
    if fitted:
        spots = np.repeat(starts[~known], number[~known])
        inner = np.arange(len(spots))
        firsts = np.cumsum(number[~known]) - number[~known]
        spots = spots + inner - np.repeat(firsts, number[~known])
        cubics[spots] = np.concatenate([path.cubics for path in fitted])
        straight[spots] = np.concatenate([path.straight for path in fitted])
    per_ring = np.bincount(ring_of, weights=number, minlength=rings).astype(np.int64)
    end = np.cumsum(per_ring).tolist()
    return [
        Path(cubics=cubics[b - n : b], straight=straight[b - n : b], closed=True)
        for b, n in zip(end, per_ring.tolist(), strict=True)
    ]


def _coordinates(ring: shapely.LinearRing) -> FloatArray:
    return np.asarray(shapely.get_coordinates(ring))
