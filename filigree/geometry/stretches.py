"""Stretches: a polyline told apart into corners, straight edges and smooth stretches.

A polyline that was flattened from a smooth curve turns little at each vertex for the length of its edges:
an arc whose chords turn by `a` has chords of length L with a sagitta of L a / 8. A vertex that would need
more sagitta than the tolerance was drawn as a corner; an edge that would, or that is far longer than its
neighbours, as a straight line.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray

SAME = 1e-9  # mm: points this close are one point
LONG = 4.0  # times as long as its neighbours: no chord of one bend, flattening halves them at most
STRAIGHT = 1e-5  # radians: less turning than this is a straight run


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretches:
    """Polylines end to end, each begun at a break where it has one; a closed one repeats its first point.

    Attributes:
        points: every vertex, shape `(n, 2)`.
        run: polyline of each vertex, shape `(n,)`.
        first: index of the first vertex of each polyline, `(r,)`.
        last: index of the last vertex of each polyline, `(r,)`.
        breaks: True at vertices where a piece must end: ends, corners, ends of straight edges.
        corners: True at vertices that were drawn as corners.
        straight: True at the start of an edge that was drawn as a straight line.
        seamless: True for a closed polyline that is smooth at its first vertex, `(r,)`.
    """

    points: FloatArray
    run: IntArray
    first: IntArray
    last: IntArray
    breaks: BoolArray
    corners: BoolArray
    straight: BoolArray
    seamless: BoolArray


def stretches(
    lines: Sequence[FloatArray], closed: Sequence[bool], *, sagitta: float, corner: float
) -> Stretches:
    """Tell polylines apart into corners, straight edges and smooth stretches.

    Args:
        lines: polylines, each `(n, 2)`; a closed one may repeat its first point.
        closed: whether each one is closed.
        sagitta: mm; a smooth stretch leaves its edges by no more than this.
        corner: radians; more turning at one vertex is a corner whatever its edges.

    Raises:
        ValueError: a polyline has fewer than two points that differ.
    """
    chain = _Chain.of(lines, closed).without_straight_vertices()
    turn, length = chain.turning(), chain.lengths()
    shorter = np.minimum(length[chain.before], length)
    sharp = (turn > corner) | (shorter * turn / 8 > sagitta)
    sharp |= chain.ends
    bend = np.where(sharp, 0.0, turn)
    straight = length * np.maximum(bend, bend[chain.after]) / 8 > sagitta
    around = np.maximum(
        np.where(sharp, 0.0, length[chain.before]),
        np.where(sharp[chain.after], 0.0, length[chain.after]),
    )
    straight |= length > LONG * np.maximum(around, sagitta)
    straight &= ~chain.is_last()
    straight |= sharp & sharp[chain.after] & ~chain.is_last()
    breaks = sharp | straight | (straight[chain.before] & ~chain.is_first_open())
    return chain.unrolled(breaks=breaks, corners=sharp & ~chain.ends, straight=straight)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Chain:
    """Vertices of every polyline with their neighbours; open ends are their own neighbours."""

    points: FloatArray
    first: IntArray
    size: IntArray
    closed: BoolArray
    before: IntArray
    after: IntArray
    ends: BoolArray

    @classmethod
    def of(cls, lines: Sequence[FloatArray], closed: Sequence[bool]) -> "_Chain":
        rows = [_distinct(line, shut) for line, shut in zip(lines, closed, strict=True)]
        size = np.array([len(row) for row in rows], dtype=np.int64)
        return cls._linked(np.concatenate(rows), size, np.array(closed, dtype=bool))

    @classmethod
    def _linked(cls, points: FloatArray, size: IntArray, closed: BoolArray) -> "_Chain":
        last = np.cumsum(size) - 1
        first = last - size + 1
        index = np.arange(len(points))
        before, after = index - 1, index + 1
        before[first] = np.where(closed, last, first)
        after[last] = np.where(closed, first, last)
        ends = np.zeros(len(points), dtype=bool)
        ends[first[~closed]] = ends[last[~closed]] = True
        return cls(
            points=points,
            first=first,
            size=size,
            closed=closed,
            before=before,
            after=after,
            ends=ends,
        )

    def lengths(self) -> FloatArray:
        """Length of the edge that starts at each vertex; 0 at the last one of an open polyline."""
        step = self.points[self.after] - self.points
        return np.hypot(step[:, 0], step[:, 1])

    def turning(self) -> FloatArray:
        """Turning at each vertex, radians, 0 to pi; 0 at open ends."""
        here = self.points[self.after] - self.points
        there = here[self.before]
        cross = there[:, 0] * here[:, 1] - there[:, 1] * here[:, 0]
        onward = there[:, 0] * here[:, 0] + there[:, 1] * here[:, 1]
        turn = np.abs(np.arctan2(cross, onward))
        return np.where(self.ends, 0.0, turn)

    def without_straight_vertices(self) -> "_Chain":
        """Merge edges that run straight on."""
        run = np.repeat(np.arange(len(self.size)), self.size)
        keep = (self.turning() > STRAIGHT) | self.ends
        left = np.bincount(run, weights=keep, minlength=len(self.size))
        keep |= (left < 3)[run] & self.closed[run]
        size = np.bincount(run, weights=keep, minlength=len(self.size)).astype(np.int64)
        return self._linked(self.points[keep], size, self.closed)

    def is_last(self) -> BoolArray:
        """True at the last vertex of an open polyline, which starts no edge."""
        flat: BoolArray = self.after == np.arange(len(self.points))
        return flat

    def is_first_open(self) -> BoolArray:
        """True at the first vertex of an open polyline, which ends no edge."""
        flat: BoolArray = self.before == np.arange(len(self.points))
        return flat

    def unrolled(self, *, breaks: BoolArray, corners: BoolArray, straight: BoolArray) -> Stretches:
        """Begin closed polylines at a break and repeat that vertex at their end."""
        run = np.repeat(np.arange(len(self.size)), self.size)
        spots = np.flatnonzero(breaks)
        start = self.first.copy()
        owners, at = np.unique(run[spots], return_index=True)
        start[owners] = spots[at]
        seamless = np.ones(len(self.size), dtype=bool)
        seamless[owners] = False
        grown = self.size + self.closed
        last = np.cumsum(grown) - 1
        first = last - grown + 1
        owner = np.repeat(np.arange(len(grown)), grown)
        within = np.arange(len(owner)) - first[owner]
        order = self.first[owner] + (start[owner] - self.first[owner] + within) % self.size[owner]
        ended = np.zeros(len(order), dtype=bool)
        ended[first] = ended[last] = True
        run_on = straight[order]
        run_on[last] = False
        return Stretches(
            points=self.points[order],
            run=owner,
            first=first,
            last=last,
            breaks=breaks[order] | ended,
            corners=corners[order],
            straight=run_on,
            seamless=seamless,
        )


def _distinct(line: FloatArray, shut: bool) -> FloatArray:  # noqa: FBT001
    """Drop points that repeat the one before them, and the closing one."""
    step = np.diff(line, axis=0)
    keep = np.append(True, np.hypot(step[:, 0], step[:, 1]) > SAME)
    line = line[keep]
    if shut and len(line) > 1 and np.hypot(*(line[0] - line[-1])) <= SAME:
        line = line[:-1]
    if len(line) < 2:
        raise ValueError("a line needs two points that differ")
    return line
