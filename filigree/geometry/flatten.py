"""Flattening: cubic Béziers to chords within a stated tolerance, many curves at once.

A cubic cut evenly in its parameter into n chords leaves its curve by at most 3/4 M / n^2, where M is the
longest second difference of its control points (Wang 1984; the second derivative is at most 6 M, and a
chord over a step h is off by at most h^2/8 of it). Curves that need many chords are halved first, so that
an even bend gets few chords and a tight one many.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray

DEEPEST = 20  # halvings of one curve
FEW = 4  # chords that a piece is cut evenly into without halving it again


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chords:
    """Chords of flattened pieces, in the order of the pieces and along each.

    Attributes:
        starts: first point of each chord, shape `(k, 2)`; equal as floats to the end before it.
        ends: last point of each chord, shape `(k, 2)`; the last of a piece is its own last point.
        piece: index of the piece each chord belongs to, shape `(k,)`.
        spans: parameters `(t0, t1)` of each chord on its piece, shape `(k, 2)`.
    """

    starts: FloatArray
    ends: FloatArray
    piece: IntArray
    spans: FloatArray


def flatten(cubics: FloatArray, straight: BoolArray, tolerance: float) -> Chords:
    """Flatten pieces so that no chord is farther than `tolerance` from its curve.

    Args:
        cubics: control points, shape `(m, 4, 2)`.
        straight: shape `(m,)`; a straight piece becomes one chord.
        tolerance: in the unit of `cubics`, above 0.

    Raises:
        ValueError: `tolerance` is not above 0.
    """
    if not tolerance > 0:
        raise ValueError("tolerance must be above 0")
    piece, low, step, parts = _divide(cubics, straight, tolerance)
    owner = np.repeat(np.arange(len(piece)), parts)
    within = np.arange(len(owner)) - np.repeat(np.cumsum(parts) - parts, parts)
    share = step / parts
    t0 = low[owner] + within * share[owner]
    last = within == parts[owner] - 1
    t1 = np.where(last, low[owner] + step[owner], low[owner] + (within + 1) * share[owner])
    index = piece[owner]
    ends = _points(cubics[index], t1)
    final = np.append(index[1:] != index[:-1], True) if len(index) else np.empty(0, bool)
    ends[final] = cubics[index[final], 3]
    first = np.roll(final, 1)
    starts = np.roll(ends, 1, axis=0)
    starts[first] = cubics[index[first], 0]
    return Chords(starts=starts, ends=ends, piece=index, spans=np.column_stack([t0, t1]))


def chord_counts(cubics: FloatArray, tolerance: float) -> IntArray:
    """Chords that each cubic needs when cut evenly in its parameter, shape `(m,)`."""
    bend = cubics[:, :2] - 2 * cubics[:, 1:3] + cubics[:, 2:]
    most = np.sqrt((bend**2).sum(axis=2).max(axis=1, initial=0))
    counts: IntArray = np.maximum(1, np.ceil(np.sqrt(0.75 * most / tolerance))).astype(np.int64)
    return counts


def _divide(
    cubics: FloatArray, straight: BoolArray, tolerance: float
) -> tuple[IntArray, FloatArray, FloatArray, IntArray]:
    """Halve the curves that need many chords; piece, first parameter, step and chords of each part."""
    parts = np.ones(len(cubics), dtype=np.int64)
    curved = ~straight
    parts[curved] = chord_counts(cubics[curved], tolerance)
    piece = np.arange(len(cubics))
    low, step = np.zeros(len(cubics)), np.ones(len(cubics))
    done = [(piece[parts <= FEW], low[parts <= FEW], step[parts <= FEW], parts[parts <= FEW])]
    rest = parts > FEW
    piece, low, step, shape = piece[rest], low[rest], step[rest], cubics[rest]
    for depth in range(DEEPEST):
        if not len(piece):
            break
        left, right = _halves(shape)
        shape = np.concatenate([left, right])
        piece, step = np.tile(piece, 2), np.tile(step / 2, 2)
        low = np.concatenate([low, low + step[: len(low)]])
        parts = chord_counts(shape, tolerance)
        ready = parts <= FEW if depth < DEEPEST - 1 else np.ones(len(parts), bool)
        done.append((piece[ready], low[ready], step[ready], parts[ready]))
        piece, low, step, shape = piece[~ready], low[~ready], step[~ready], shape[~ready]
    columns = [np.concatenate(column) for column in zip(*done, strict=True)]
    order = np.lexsort((columns[1], columns[0]))
    piece, low, step, parts = (column[order] for column in columns)
    return piece, low, step, parts


def _halves(cubics: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Both halves of each cubic (de Casteljau)."""
    p0, p1, p2, p3 = np.moveaxis(cubics, 1, 0)
    a, b, c = (p0 + p1) / 2, (p1 + p2) / 2, (p2 + p3) / 2
    d, e = (a + b) / 2, (b + c) / 2
    middle = (d + e) / 2
    return np.stack([p0, a, d, middle], axis=1), np.stack([middle, e, c, p3], axis=1)


def _points(cubics: FloatArray, t: FloatArray) -> FloatArray:
    """Point of each cubic at its own parameter."""
    u, t = (1 - t)[:, None], t[:, None]
    p0, p1, p2, p3 = np.moveaxis(cubics, 1, 0)
    points: FloatArray = u**3 * p0 + 3 * u * u * t * p1 + 3 * u * t * t * p2 + t**3 * p3
    return points
