"""Strips: how far a strand is narrow to either side of each of many necks, all worked out at once."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray

TIGHT = 1e-6  # mm: a disc may be cut by this much
BESIDE = 3  # points to each side among which a strand goes on narrowing
FALL = 0.015  # mm of radius by which a strand narrows past its widest point; less is chords


@dataclass(frozen=True, slots=True, eq=False)
class Strips:
    """Windows of points side by side, the shorter ones filled up with points that count for nothing.

    Attributes:
        at: the points, mm, `(k, m, 2)`.
        radius: of narrow points, mm, else 0, `(k, m)`.
        clear: where there is room enough, `(k, m)`.
        width: wanted, mm, `(k,)`.
        middle: place of the neck in each window, `(k,)`.
    """

    at: FloatArray
    radius: FloatArray
    clear: BoolArray
    width: FloatArray
    middle: IntArray

    @classmethod
    def of(
        cls,
        at: FloatArray,
        radius: FloatArray,
        corner: BoolArray,
        windows: Sequence[IntArray],
        width: FloatArray,
    ) -> "Strips":
        """Lay windows of points side by side.

        Args:
            at: points along rings, mm, `(n, 2)`.
            radius: of the largest disc that touches each of them, mm, `(n,)`.
            corner: True where that disc sits in a corner, `(n,)`.
            windows: rows of the points round each neck, which lies in their middle.
            width: wanted at each neck, mm, `(k,)`.
        """
        size = np.array([len(w) for w in windows])
        owner, number = numbered(size)
        rows = np.repeat([w[-1] for w in windows], size.max()).reshape(len(windows), -1)
        rows[owner, number] = np.concatenate(windows)
        real = np.arange(size.max()) < size[:, None]
        clear = real & (radius[rows] >= width[:, None] / 2 - TIGHT)
        narrow = real & ~clear & ~corner[rows]
        return cls(
            at[rows],
            np.where(narrow, radius[rows], 0.0),
            clear,
            width,
            size // 2,
        )

    def runs(self) -> tuple[IntArray, IntArray, IntArray]:
        """Give the narrow point nearest to each neck, and the first and last point of its run; -1 for none.

        One clear point at each end is taken along, so that the strand ends where it is wide enough. Points in
        corners, of radius 0, are passed over, at most as many mm of them as the strand is wanted wide.
        """
        row = np.arange(len(self.at))
        narrow = self.radius > 0
        off = np.hypot(*np.moveaxis(self.at - self.at[row, self.middle][:, None], 2, 0))
        off = np.where(narrow, np.round(off, 9), np.inf)
        nearest = off == off.min(axis=1, keepdims=True)
        start = np.where(nearest & narrow, self.radius, np.inf).argmin(axis=1)
        here = self._lowest(start)
        last = self._outward(here, 1)
        first = self._outward(here, -1)
        return np.where(narrow.any(axis=1), start, -1), first, last

    def _lowest(self, here: IntArray) -> IntArray:
        """Go down to the narrowest place beside each place; points of radius 0 are passed over."""
        size = self.radius.shape[1]
        row = np.arange(len(here))[:, None]
        low = np.where(self.radius > 0, self.radius, np.inf)
        while True:
            near = here[:, None] + np.arange(-BESIDE, BESIDE + 1)
            radius = np.where(
                (near >= 0) & (near < size), low[row, np.clip(near, 0, size - 1)], np.inf
            )
            best = near[row[:, 0], radius.argmin(axis=1)]
            lower = radius.min(axis=1) < low[row[:, 0], here]
            if not lower.any():
                return here
            here = np.where(lower, best, here)

    def _outward(self, here: IntArray, way: int) -> IntArray:
        """Give the end of each strand one way: its first clear point, its widest, or the corner it ends in.

        Past its widest point either another neck comes, which has a run of its own, or the strand runs out in
        a tip. -1 where no end is in the window.
        """
        size = self.radius.shape[1]
        row = np.arange(len(here))[:, None]
        place = here[:, None] + way * np.arange(size)
        inside = (place >= 0) & (place < size)
        place = np.clip(place, 0, size - 1)
        radius, clear = self.radius[row, place], self.clear[row, place]
        by = np.diff(self.at[row, place], axis=1)
        step = np.zeros(radius.shape)
        np.cumsum(np.hypot(by[:, :, 0], by[:, :, 1]), axis=1, out=step[:, 1:])
        narrow = radius > 0
        last = np.maximum.accumulate(np.where(narrow, step, 0.0), axis=1)
        falls = narrow & (radius < np.maximum.accumulate(radius, axis=1) - FALL)
        ends = inside & (clear | (step - last > self.width[:, None]) | falls)
        end = ends.argmax(axis=1)
        widest = np.where(np.arange(size) <= end[:, None], radius, -1.0).argmax(axis=1)
        steps = np.where(falls[row[:, 0], end], widest, end)
        return np.where(ends.any(axis=1), here + way * steps, -1)


def numbered(count: IntArray) -> tuple[IntArray, IntArray]:
    """Give owner and number within its owner of each of `count` items."""
    owner = np.repeat(np.arange(len(count)), count)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
