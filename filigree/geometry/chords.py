"""Curve table: source curves beside the chords they were flattened to, and the search for an edge in it.

Noding and overlay keep vertices that nothing moved as exact floats. So an edge is looked up among the chords
by its two ends; only edges that are no whole chord (cut at a crossing) are searched by place.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray

NEAR = 1e-5  # mm: an edge this near a chord lies on it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurveTable:
    """Curved source pieces and the chords they were flattened to; straight pieces are not held.

    Attributes:
        cubics: control points of the source curves, mm, shape `(m, 4, 2)`.
        starts: start of each chord, shape `(k, 2)`; the exact floats that went into the lines.
        ends: end of each chord, shape `(k, 2)`.
        curve: index into `cubics` of each chord, shape `(k,)`.
        spans: parameters `(t0, t1)` of each chord on its cubic, shape `(k, 2)`.
    """

    cubics: FloatArray
    starts: FloatArray
    ends: FloatArray
    curve: IntArray
    spans: FloatArray


NO_CURVES = CurveTable(
    cubics=np.empty((0, 4, 2)),
    starts=np.empty((0, 2)),
    ends=np.empty((0, 2)),
    curve=np.empty(0, dtype=np.int64),
    spans=np.empty((0, 2)),
)


@dataclass(frozen=True, eq=False)
class ChordSearch:
    """A curve table made ready to be looked up in."""

    table: CurveTable

    def match(self, starts: FloatArray, ends: FloatArray) -> tuple[IntArray, FloatArray]:
        """Find the source curve that each edge lies on, and its parameters there.

        Returns:
            Index of the curve, `(n,)`, -1 where there is none; parameters at start and end, `(n, 2)`.
        """
        curve = np.full(len(starts), -1, dtype=np.int64)
        spans = np.zeros((len(starts), 2))
        if not len(self.table.curve):
            return curve, spans
        chord, backwards = self._whole(starts, ends)
        found = chord >= 0
        curve[found] = self.table.curve[chord[found]]
        spans[found] = self.table.spans[chord[found]]
        spans[backwards] = spans[backwards, ::-1]
        rest = np.flatnonzero(~found)
        if len(rest):
            curve[rest], spans[rest] = self._parts(starts[rest], ends[rest])
        return curve, spans

    @cached_property
    def _points(self) -> "np.ndarray[tuple[int], np.dtype[np.complex128]]":
        return np.unique(_complex(np.concatenate([self.table.starts, self.table.ends])))

    @cached_property
    def _keys(self) -> tuple[IntArray, IntArray]:
        """Chords as pairs of point numbers, sorted, and which chord each is."""
        one = np.searchsorted(self._points, _complex(self.table.starts))
        two = np.searchsorted(self._points, _complex(self.table.ends))
        keys = one * len(self._points) + two
        order = np.argsort(keys, kind="stable")
        return keys[order], order

    @cached_property
    def _tree(self) -> shapely.STRtree:
        ends = np.stack([self.table.starts, self.table.ends], axis=1).reshape(-1, 2)
        chord = np.repeat(np.arange(len(self.table.curve)), 2)
        return shapely.STRtree(shapely.get_parts(shapely.linestrings(ends, indices=chord)))

    def _whole(self, starts: FloatArray, ends: FloatArray) -> tuple[IntArray, BoolArray]:
        """Chord that each edge is, -1 for none, and whether it runs against it."""
        one, known_one = _looked_up(self._points, _complex(starts))
        two, known_two = _looked_up(self._points, _complex(ends))
        known = known_one & known_two
        keys, order = self._keys
        size = len(self._points)
        ahead, is_ahead = _looked_up(keys, one * size + two)
        behind, is_behind = _looked_up(keys, two * size + one)
        is_ahead &= known
        is_behind &= known & ~is_ahead
        chord = np.where(is_ahead, order[ahead], np.where(is_behind, order[behind], -1))
        return chord, is_behind

    def _parts(self, starts: FloatArray, ends: FloatArray) -> tuple[IntArray, FloatArray]:
        """Curve and parameters of edges that are part of a chord, -1 for none."""
        middles = shapely.points((starts + ends) / 2)
        edge, chord = self._tree.query(middles, predicate="dwithin", distance=NEAR)
        a, b = self.table.starts[chord], self.table.ends[chord]
        first, off_first = _along(a, b, starts[edge])
        last, off_last = _along(a, b, ends[edge])
        off = np.maximum(off_first, off_last)
        near = off <= NEAR
        order = np.lexsort((chord, off, edge))
        order = order[near[order]]
        edges, at = np.unique(edge[order], return_index=True)
        pick = order[at]
        curve = np.full(len(starts), -1, dtype=np.int64)
        spans = np.zeros((len(starts), 2))
        curve[edges] = self.table.curve[chord[pick]]
        t0, t1 = self.table.spans[chord[pick]].T
        shares = np.column_stack([first[pick], last[pick]])
        spans[edges] = np.clip(t0[:, None] + (t1 - t0)[:, None] * shares, 0.0, 1.0)
        return curve, spans


def _along(a: FloatArray, b: FloatArray, p: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Share of the way from a to b at which p lies, and how far off the chord it is, mm."""
    chord = b - a
    share = ((p - a) * chord).sum(axis=1) / np.maximum((chord * chord).sum(axis=1), 1e-300)
    share = np.clip(share, 0.0, 1.0)
    off = p - (a + share[:, None] * chord)
    return share, np.hypot(off[:, 0], off[:, 1])


def _looked_up(
    table: "np.ndarray[tuple[int], np.dtype[np.generic]]",
    wanted: "np.ndarray[tuple[int], np.dtype[np.generic]]",
) -> tuple[IntArray, BoolArray]:
    """Place of each wanted value in a sorted table, and whether it is there."""
    at = np.minimum(np.searchsorted(table, wanted), len(table) - 1)
    return at, table[at] == wanted


def _complex(points: FloatArray) -> "np.ndarray[tuple[int], np.dtype[np.complex128]]":
    return points[:, 0] + 1j * points[:, 1]
