"""Along: many polylines evened out at once, and their normals."""

from collections.abc import Sequence
from functools import cache

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray


def even_all(
    points: FloatArray, starts: IntArray, closed: BoolArray, half: float, *, order: int
) -> FloatArray:
    """Even out polylines by a local fit of the given order over `half` points to each side.

    Open ends are continued by point reflection, so that they stay where they are.

    Args:
        points: all polylines one behind the other, `(n, 2)`.
        starts: first point of each and one past the last, `(k + 1,)`.
        closed: which of them are closed.
        half: points to each side; a short polyline takes fewer.
        order: of the fit.
    """
    size = np.diff(starts)
    reach = np.minimum(round(half), (size - 1) // 2)
    reach[size < 4] = 0
    out = points.copy()
    for h in np.unique(reach[reach > 0]).tolist():
        own = np.flatnonzero(reach == h)
        n, first = size[own], starts[own]
        wide = n + 2 * h
        of = np.repeat(np.arange(own.size), wide)
        at = np.arange(of.size) - np.repeat(np.cumsum(wide) - wide, wide) - h
        last = n[of] - 1
        before, after = at < 0, at > last
        loop = closed[own][of]
        inner = np.where(before, -at, np.where(after, 2 * last - at, at))
        seen = points[first[of] + np.where(loop, at % n[of], inner)]
        turned = (before | after) & ~loop
        end = first[of] + np.where(before, 0, last)
        seen[turned] = 2 * points[end[turned]] - seen[turned]
        weights = kernel(h, order)
        goal = (first[of] + at)[~(before | after)]
        middle = np.flatnonzero(~(before | after)) - h
        for c in (0, 1):
            out[goal, c] = np.convolve(seen[:, c], weights, "valid")[middle]
    return out


def even_each(
    lines: Sequence[FloatArray], closed: Sequence[bool], half: float, *, order: int
) -> list[FloatArray]:
    """The same for polylines held apart."""
    if not lines:
        return []
    starts = np.append(0, np.cumsum([len(line) for line in lines]))
    flat = even_all(np.concatenate(lines), starts, np.array(closed, bool), half, order=order)
    return np.split(flat, starts[1:-1])


def normals(points: FloatArray, starts: IntArray, closed: BoolArray) -> FloatArray:
    """Unit normals of polylines laid one behind the other, `(n, 2)`."""
    size = np.diff(starts)
    of = np.repeat(np.arange(size.size), size)
    first, n = starts[:-1][of], size[of]
    at = np.arange(len(points)) - first
    ends = [
        first + np.where(closed[of], (at + step) % np.maximum(n, 1), np.clip(at + step, 0, n - 1))
        for step in (2, -2)
    ]
    ahead = points[ends[0]] - points[ends[1]]
    length = np.hypot(ahead[:, 0], ahead[:, 1])
    ahead /= np.where(length > 1e-9, length, 1)[:, None]
    ahead[n < 2] = (0.0, -1.0)
    return np.column_stack([-ahead[:, 1], ahead[:, 0]])


@cache
def kernel(half: int, order: int) -> FloatArray:
    """Weights of a local polynomial fit under a bell of weights, at its middle."""
    at = np.arange(-half, half + 1) / (half + 1)
    bell = (1 - at * at) ** 2
    terms = np.vander(at, order + 1, increasing=True)
    solved = np.linalg.solve((terms * bell[:, None]).T @ terms, (terms * bell[:, None]).T)
    return np.asarray(solved[0])
