"""Renewed: what a boundary has in common with an earlier one, and which of its runs lie near a change."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.rings import Rings
from filigree.geometry.runs import Runs, diagonals
from filigree.geometry.shortest import Lines
from filigree.geometry.types import FloatArray, IntArray

NEAR = 1e-5  # mm: runs this much farther from a change are looked at too
TOGETHER = 8  # edges in one box
KEYS = (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9)  # odd, of 64 bits


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Renewed:
    """A boundary beside an earlier one.

    Attributes:
        rings: the boundary now.
        before: the boundary before.
        was: for each edge now the same edge before, -1 for none, `(n,)`.
        now: for each edge before the same edge now, -1 for none, `(m,)`.
    """

    rings: Rings
    before: Rings
    was: IntArray
    now: IntArray

    @classmethod
    def of(cls, rings: Rings, before: Rings) -> "Renewed":
        """Tell which edges are the same: those with both ends just where they were."""
        keys, others = _keys(rings), _keys(before)
        order = np.argsort(others, kind="stable")
        was = np.full(len(keys), -1)
        now = np.full(len(others), -1)
        if len(others) and len(keys):
            place = np.minimum(np.searchsorted(others[order], keys), len(others) - 1)
            edge = np.flatnonzero(others[order[place]] == keys)
            now[order[place[edge]]] = edge
            same = np.flatnonzero(now >= 0)
            was[now[same]] = same
        return cls(rings=rings, before=before, was=was, now=now)

    def carried(self, lines: Lines) -> Lines:
        """Give the earlier lines whose ends lie on edges that are the same, and at vertices between such edges."""
        edge, ahead = self.now[lines.edge], self.now[self.before.before[lines.edge]]
        held = (edge >= 0) & (
            (lines.rest > 0) | ((ahead >= 0) & (ahead == self.rings.before[edge]))
        )
        rows = np.flatnonzero(held.all(axis=1))
        return Lines(edge[rows], lines.rest[rows], lines.width[rows], rows)

    def runs_near(self, runs: Runs, under: float) -> IntArray:
        """Give the runs nearer to a change than `under` mm.

        A line whose disc meets no edge that is new or gone was found before: its ends lie on edges that are the
        same, and no boundary comes into its disc now or then. Both ends of any other lie this near to a change.
        """
        low, high = (
            np.concatenate(both)
            for both in zip(
                _boxes(self.rings, np.flatnonzero(self.was < 0)),
                _boxes(self.before, np.flatnonzero(self.now < 0)),
                strict=True,
            )
        )
        if not len(low):
            return np.zeros(0, dtype=np.int64)
        by = under + NEAR
        near, _ = shapely.STRtree(diagonals(low, high)).query(
            diagonals(runs.low - by, runs.high + by)
        )
        return np.unique(near)


def _keys(rings: Rings) -> IntArray:
    """Give one number for each edge, of the bits of its ends."""
    bits = np.ascontiguousarray(rings.xy + 0.0).view(np.uint64)
    spot = bits[:, 0] * np.uint64(KEYS[0]) ^ bits[:, 1] * np.uint64(KEYS[1])
    spot ^= spot >> np.uint64(29)
    keys: IntArray = (spot * np.uint64(KEYS[2]) + spot[rings.after]).view(np.int64)
    return keys


def _boxes(rings: Rings, edge: IntArray) -> tuple[FloatArray, FloatArray]:
    """Corners of the boxes round edges, those that follow each other together."""
    if not len(edge):
        return np.zeros((0, 2)), np.zeros((0, 2))
    start, end = rings.xy[edge], rings.xy[rings.after[edge]]
    apart = np.diff(edge, prepend=edge[0] - 2) != 1
    apart |= np.diff(rings.ring[edge], prepend=-1) != 0
    run = np.flatnonzero(apart)
    within = np.arange(len(edge)) - np.repeat(run, np.diff(np.append(run, len(edge))))
    first = np.flatnonzero(within % TOGETHER == 0)
    return (
        np.minimum.reduceat(np.minimum(start, end), first),
        np.maximum.reduceat(np.maximum(start, end), first),
    )
