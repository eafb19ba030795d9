"""Best cubics: one cubic along each of many stretches of vertices, by least squares.

End tangents are held, so two handle lengths are to be found a piece (Schneider 1990, "An algorithm for
automatically fitting digitized curves"); each vertex's parameter then moves to the nearest point of its cubic,
and again, as long as that can still bring the piece within the tolerance.

Points stand here with x and y in the first axis, `(2, n)`: numpy is slow along a last axis of two.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray

LEAST = 3  # times the parameters are improved at least
ROUNDS = 10  # and at most
CHORD = 0.65  # of what a cubic is from the edges counts: their own sagitta is part of it
BATCH = 20_000  # vertices worked on at once, so that they stay near the processor
HOPE = 6.0  # tolerances: a piece that misses by more after a round is not improved further


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """Pieces to fit: first vertex, last vertex, unit tangents into the piece at both ends."""

    start: IntArray
    end: IntArray
    into: FloatArray
    back: FloatArray

    @classmethod
    def joined(cls, rows: "Sequence[Pieces]") -> "Pieces":
        """Put pieces behind each other."""
        return cls(
            start=np.concatenate([r.start for r in rows]),
            end=np.concatenate([r.end for r in rows]),
            into=np.concatenate([r.into for r in rows]),
            back=np.concatenate([r.back for r in rows]),
        )

    def some(self, which: BoolArray | IntArray) -> "Pieces":
        """Pick some pieces, by mask or index."""
        return Pieces(
            start=self.start[which],
            end=self.end[which],
            into=self.into[which],
            back=self.back[which],
        )


def best_cubics(
    points: FloatArray, pieces: Pieces, tolerance: float
) -> tuple[FloatArray, FloatArray]:
    """Fit a cubic to each piece.

    Args:
        points: vertices, shape `(n, 2)`.
        pieces: stretches of them.
        tolerance: mm; a piece within it is not improved further.

    Returns:
        Control points, `(k, 4, 2)`, and how far each piece is off, mm, `(k,)`: the farthest that a vertex is
        from its cubic, or a share of what the cubic is from the edges between them, which are chords.
    """
    batch = np.cumsum(pieces.end - pieces.start + 1) // BATCH
    starts = np.flatnonzero(np.diff(batch, prepend=-1)).tolist()
    found = [
        _best_of(points, pieces.some(np.arange(a, b)), tolerance)
        for a, b in pairwise([*starts, len(batch)])
    ]
    if not found:
        return np.empty((0, 4, 2)), np.empty(0)
    cubics, miss = zip(*found, strict=True)
    return np.concatenate(cubics), np.concatenate(miss)


def _best_of(points: FloatArray, pieces: Pieces, tolerance: float) -> tuple[FloatArray, FloatArray]:
    """Fit the pieces of one batch."""
    cubics, miss = np.empty((len(pieces.start), 4, 2)), np.empty(len(pieces.start))
    left = np.arange(len(pieces.start))
    laid = _Laid.along(points, pieces)
    for turn in range(ROUNDS + 1):
        found = _solved(laid, pieces)
        far = np.maximum(laid.missed(found), CHORD * laid.strayed(found))
        cubics[left], miss[left] = found.T, far
        going = (far > tolerance) & (far < HOPE * tolerance)
        if turn < LEAST:
            going = far < 10 * HOPE * tolerance
        if turn == ROUNDS or not going.any():
            break
        left, pieces = left[going], pieces.some(going)
        laid = laid.some(going, found)
    return cubics, miss


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Laid:
    """Vertices of pieces laid end to end, `(2, n)`, with their parameters; a shared vertex stands twice."""

    at: FloatArray
    u: FloatArray
    count: IntArray
    head: IntArray
    total: FloatArray

    @classmethod
    def along(cls, points: FloatArray, pieces: Pieces) -> "_Laid":
        count = pieces.end - pieces.start + 1
        head = np.cumsum(count) - count
        within = np.arange(count.sum()) - np.repeat(head, count)
        at = np.ascontiguousarray(points[np.repeat(pieces.start, count) + within].T)
        step = at[:, 1:] - at[:, :-1]
        walked = np.append(0.0, np.cumsum(np.hypot(step[0], step[1])))
        walked -= np.repeat(walked[head], count)
        total = walked[head + count - 1]
        return cls(at=at, u=walked / np.repeat(total, count), count=count, head=head, total=total)

    def missed(self, cubics: FloatArray) -> FloatArray:
        """Farthest that a vertex of each piece is from its cubic, mm."""
        off = _points(np.repeat(cubics, self.count, axis=2), self.u) - self.at
        flat: FloatArray = np.maximum.reduceat(np.hypot(off[0], off[1]), self.head)
        return flat

    def strayed(self, cubics: FloatArray) -> FloatArray:
        """Farthest that each cubic is from the edges, taken at two places between vertices, mm."""
        own = np.repeat(cubics, self.count, axis=2)[..., :-1]
        step = self.at[:, 1:] - self.at[:, :-1]
        square = np.maximum(_dot(step, step), 1e-300)
        far = np.zeros(len(square))
        for part in (1 / 3, 2 / 3):
            to = _points(own, (1 - part) * self.u[:-1] + part * self.u[1:]) - self.at[:, :-1]
            off = to - np.clip(_dot(to, step) / square, 0.0, 1.0) * step
            far = np.maximum(far, np.hypot(off[0], off[1]))
        far[self.head[1:] - 1] = 0.0  # from one piece to the next
        flat: FloatArray = np.maximum.reduceat(far, self.head)
        return flat

    def some(self, which: BoolArray, cubics: FloatArray) -> "_Laid":
        """Keep some pieces, their parameters moved toward the nearest points of their cubics."""
        keep = np.repeat(which, self.count)
        count = self.count[which]
        head = np.cumsum(count) - count
        at = self.at[:, keep]
        u = _improved(at, self.u[keep], np.repeat(cubics[..., which], count, axis=2))
        u[head], u[head + count - 1] = 0.0, 1.0
        return _Laid(at=at, u=u, count=count, head=head, total=self.total[which])


def _solved(laid: _Laid, pieces: Pieces) -> FloatArray:
    """Solve the two handle lengths of each piece (the normal equations of Schneider's fit); `(2, 4, k)`."""
    count, head, total = laid.count, laid.head, laid.total
    p0, p3 = laid.at[:, head], laid.at[:, head + count - 1]
    into, back = pieces.into.T, pieces.back.T
    u, v = laid.u, 1 - laid.u
    b0, b1, b2, b3 = v * v * v, 3 * u * v * v, 3 * u * u * v, u * u * u
    left = np.repeat(into, count, axis=1) * b1
    right = np.repeat(back, count, axis=1) * b2
    rest = laid.at - np.repeat(p0, count, axis=1) * (b0 + b1)
    rest -= np.repeat(p3, count, axis=1) * (b2 + b3)

    def summed(a: FloatArray, b: FloatArray) -> FloatArray:
        flat: FloatArray = np.add.reduceat(_dot(a, b), head)
        return flat

    c11, c12, c22 = summed(left, left), summed(left, right), summed(right, right)
    x1, x2 = summed(left, rest), summed(right, rest)
    det = c11 * c22 - c12 * c12
    safe = np.abs(det) > 1e-12 * np.maximum(c11 * c22, 1e-300)
    det = np.where(safe, det, 1.0)
    alpha = np.where(safe, (x1 * c22 - x2 * c12) / det, 0.0)
    beta = np.where(safe, (x2 * c11 - x1 * c12) / det, 0.0)
    wild = (np.minimum(alpha, beta) < 0.05 * total) | (np.maximum(alpha, beta) > total)
    third = total / 3
    alpha, beta = np.where(wild, third, alpha), np.where(wild, third, beta)
    return np.stack([p0, p0 + into * alpha, p3 + back * beta, p3], axis=1)


def _improved(at: FloatArray, u: FloatArray, own: FloatArray) -> FloatArray:
    """One Newton step of each vertex's parameter toward the nearest point of its own cubic, `(2, 4, n)`."""
    v = 1 - u
    slope = 3 * (own[:, 1:] - own[:, :-1])
    bend = 2 * (slope[:, 1:] - slope[:, :-1])
    first = v * v * slope[:, 0] + 2 * u * v * slope[:, 1] + u * u * slope[:, 2]
    second = v * bend[:, 0] + u * bend[:, 1]
    off = _points(own, u) - at
    down = _dot(first, first) + _dot(off, second)
    up = _dot(off, first)
    move = np.divide(up, down, out=np.zeros_like(up), where=down > 1e-12)
    moved: FloatArray = np.clip(u - np.clip(move, -0.1, 0.1), 0.0, 1.0)
    return moved


def _points(own: FloatArray, t: FloatArray) -> FloatArray:
    """Point of each cubic, `(2, 4, n)`, at its own parameter, `(2, n)`."""
    u = 1 - t
    flat: FloatArray = u * u * u * own[:, 0]
    flat += 3 * u * u * t * own[:, 1]
    flat += 3 * u * t * t * own[:, 2]
    flat += t * t * t * own[:, 3]
    return flat


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    flat: FloatArray = a[0] * b[0] + a[1] * b[1]
    return flat
