"""Flat: every subpath of a drawing as points in mm, with the curves they were flattened from."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from filigree.drawing.document import Item
from filigree.drawing.trace import Trace, moved
from filigree.errors import FiligreeError
from filigree.geometry.curves import CurveTable
from filigree.geometry.flatten import Chords, flatten
from filigree.geometry.types import FloatArray, IntArray

MOST_CHORDS = 2_000_000  # about 0.3 GB while reading


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flat:
    """Subpaths as points on the page.

    Attributes:
        trace: the subpaths in user units.
        cubics: the pieces in mm, shape `(m, 4, 2)`.
        chords: chords of all pieces, mm.
        bounds: index of the first chord of each subpath and, last, their number; shape `(s + 1,)`.
        points: points of each subpath, `(n, 2)`; a subpath without pieces has none.
    """

    trace: Trace
    cubics: FloatArray
    chords: Chords
    bounds: IntArray
    points: tuple[FloatArray, ...]

    def of(self, item: Item) -> tuple[FloatArray, ...]:
        """Points of the subpaths of one item."""
        return self.points[item.runs[0] : item.runs[1]]


def flat_of(trace: Trace, items: Sequence[Item], tolerance: float, name: str) -> Flat:
    """Flatten every item on the page.

    Raises:
        FiligreeError: more than two million chords are needed, or a number is not finite.
    """
    matrices = np.repeat(
        np.array([item.matrix for item in items], dtype=np.float64).reshape(-1, 6),
        [item.pieces[1] - item.pieces[0] for item in items],
        axis=0,
    )
    order = _order(items, len(trace.straight))
    cubics = np.empty_like(trace.cubics)
    cubics[order] = moved(trace.cubics[order], matrices)
    if not np.isfinite(cubics).all() or (cubics.size and np.abs(cubics).max() > 1e9):
        raise FiligreeError(
            "a coordinate is not finite or beyond all measure",
            remedy="draw it again in usual units",
            where=name,
        )
    chords = flatten(cubics, trace.straight, tolerance)
    if len(chords.piece) > MOST_CHORDS:
        raise FiligreeError(
            f"the drawing has more than {MOST_CHORDS:,} segments once its curves are flattened",
            remedy="leave out what is not needed, or set a smaller size",
            where=name,
        )
    bounds = np.searchsorted(chords.piece, trace.firsts)
    points = []
    for low, high in zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True):
        points.append(
            np.concatenate([chords.starts[low:high], chords.ends[high - 1 : high]])
            if high > low
            else np.empty((0, 2))
        )
    return Flat(trace=trace, cubics=cubics, chords=chords, bounds=bounds, points=tuple(points))


def _order(items: Sequence[Item], count: int) -> IntArray:
    """Pieces in the order of the items; every piece belongs to one item."""
    spans = [np.arange(*item.pieces) for item in items]
    order = np.concatenate([*spans, np.empty(0, dtype=np.int64)])
    if len(order) != count:
        raise ValueError("each piece must belong to one item")
    return order.astype(np.int64)


def curve_table(flat: Flat, runs: Iterable[int]) -> CurveTable:
    """Curved pieces of some subpaths, with the chords that they were flattened to."""
    used = np.zeros(len(flat.bounds) - 1, dtype=bool)
    used[list(runs)] = True
    chords, straight = flat.chords, flat.trace.straight
    chosen = np.repeat(used, np.diff(flat.bounds))
    chosen &= ~straight[chords.piece] & (chords.starts != chords.ends).any(axis=1)
    pieces, curve = np.unique(chords.piece[chosen], return_inverse=True)
    return CurveTable(
        cubics=flat.cubics[pieces],
        starts=chords.starts[chosen],
        ends=chords.ends[chosen],
        curve=curve.astype(np.int64),
        spans=chords.spans[chosen],
    )


def without_repeats(points: FloatArray) -> FloatArray:
    """Drop points that equal the one before."""
    if len(points) < 2:
        return points
    moved_on = np.append(True, (points[1:] != points[:-1]).any(axis=1))
    return points if moved_on.all() else points[moved_on]
