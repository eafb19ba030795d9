"""Bends: where a boundary turns sharply, and on how small a radius.

Turning is left turning on the rings given: bends of an area away from itself. On chords of an arc the
turning of each corner is shared half and half by the chords beside it, so that the radius of a flattened
arc comes out as drawn.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.rings import STRAIGHT, Rings
from filigree.geometry.types import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bends:
    """Sharp bends, in the order of the rings.

    Attributes:
        vertex: edge of the rings that starts at (or next to) the bend, `(k,)`.
        radius: mm, 0 for a corner, `(k,)`.
        turn: radians turned, `(k,)`.
    """

    vertex: IntArray
    radius: FloatArray
    turn: FloatArray


def tight_bends(rings: Rings, *, under: float, turn: float) -> Bends:
    """Find bends that turn at least `turn` radians on a radius under `under` mm."""
    order, way, share, left = _unrolled(rings)
    count = len(order)
    lean = np.concatenate([[0.0], np.cumsum(left)])[:-1] + left / 2
    run = np.cumsum(np.r_[True, left[1:] <= STRAIGHT] if count else np.zeros(0, dtype=bool))
    ahead = np.minimum(np.searchsorted(lean, lean + turn), max(count - 1, 0))
    length, turned = way[ahead] - way, lean[ahead] - lean
    radius = np.where(
        (run[ahead] == run) & (turned >= turn), length / np.maximum(turned, 1e-12), np.inf
    )
    middle = (np.arange(count) + ahead) // 2
    corner = left >= turn
    radius = np.where(corner, 0.0, radius)
    turned = np.where(corner, left, turned)
    start = np.arange(count)
    end, middle = np.where(corner, start, ahead), np.where(corner, start, middle)
    tight = np.flatnonzero((radius < under) & share)
    return _apart(rings, order, middle, start, end, radius, turned, tight)


def sharp_tips(rings: Rings, *, within: float, turn: float) -> Bends:
    """Find tips that turn at least `turn` radians within `within` mm of boundary; the radius is 0."""
    order, way, share, left = _unrolled(rings)
    count = len(order)
    total = np.concatenate([[0.0], np.cumsum(left)])
    run = np.cumsum(np.r_[True, left[1:] <= STRAIGHT] if count else np.zeros(0, dtype=bool))
    last = np.searchsorted(run, run, side="right")
    end = np.minimum(np.searchsorted(way, way + within, side="right"), last)
    turned = np.where(left > STRAIGHT, total[end] - total[:-1], 0.0)
    sharp = np.flatnonzero((turned >= turn - 1e-9) & share)
    here = np.arange(count)
    return _apart(rings, order, here, here, end - 1, -turned, turned, sharp)


def _unrolled(rings: Rings) -> tuple[IntArray, FloatArray, BoolArray, FloatArray]:
    """Every ring twice, so that no bend is cut by its first point; which half counts; left turning."""
    size = np.diff(np.append(rings.first, len(rings.xy)))
    twice = np.repeat(size, 2)
    start = np.repeat(np.repeat(rings.first, 2), twice)
    within = np.arange(len(start)) - np.repeat(np.cumsum(twice) - twice, twice)
    order = start + within
    length = rings.length[order]
    way = np.cumsum(length) - length
    half = np.tile([True, False], len(size))
    share = np.repeat(half, twice)
    gap = np.repeat(np.arange(len(size)), 2 * size) * 1e6  # rings lie far from each other
    left = np.maximum(rings.turn[order], 0.0)
    return order, way + gap, share, left


def _apart(
    rings: Rings,
    order: IntArray,
    middle: IntArray,
    start: IntArray,
    end: IntArray,
    radius: FloatArray,
    turned: FloatArray,
    which: IntArray,
) -> Bends:
    """Keep the sharpest of bends that share boundary."""
    taken = np.zeros(len(rings.xy), dtype=bool)
    kept = []
    for k in which[np.lexsort((which, radius[which]))].tolist():
        covers = order[start[k] : end[k] + 1]
        if not taken[covers].any():
            taken[covers] = True
            kept.append(k)
    chosen = np.array(sorted(kept), dtype=np.int64)
    return Bends(
        vertex=order[middle[chosen]] if len(chosen) else chosen,
        radius=np.maximum(radius[chosen], 0.0) if len(chosen) else np.zeros(0),
        turn=turned[chosen] if len(chosen) else np.zeros(0),
    )
