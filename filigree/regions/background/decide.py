"""Decide: turn scores into a choice in which no two background regions share a drawn line."""

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.background.independent import best_set
from filigree.regions.background.look import Look


def decide(scores: FloatArray, seen: Look, *, opened: BoolArray, shut: BoolArray) -> BoolArray:
    """Choose the rows that are background.

    Equal regions, and mirror images in a symmetric drawing, get one answer wherever the wishes and their
    own neighbourhood allow it.

    Args:
        scores: how much each row speaks for background, `(n,)`.
        seen: groups and neighbours.
        opened: rows that are wished open, neighbours or not.
        shut: rows that are wished shut, and the frame.

    Returns:
        True for background, `(n,)`.
    """
    free = ~(opened | shut)
    pairs = seen.pairs
    a, b = (pairs[:, 0], pairs[:, 1]) if len(pairs) else (np.empty(0, int), np.empty(0, int))
    beside = np.zeros(len(scores), dtype=bool)
    beside[b[opened[a]]] = True
    beside[a[opened[b]]] = True
    tie, never = _ties(seen, free, a, b)
    free &= ~beside & ~never
    total = np.bincount(tie[free], scores[free], minlength=int(tie.max()) + 1).astype(np.float64)
    inside = free[a] & free[b]
    links = np.unique(np.sort(np.column_stack([tie[a], tie[b]])[inside], axis=1), axis=0)
    chosen = best_set(total, links)
    return np.asarray((chosen[tie] & free) | opened)


def _ties(seen: Look, free: BoolArray, a: IntArray, b: IntArray) -> tuple[IntArray, BoolArray]:
    """Number rows alike that get one answer; True for mirror images that touch: they both stay."""
    count = len(free)
    group, twin = seen.groups.group, seen.groups.twin
    both = free[a] & free[b]
    torn = np.zeros(count, dtype=bool)  # groups with neighbours among them
    torn[group[a[both & (group[a] == group[b])]]] = True
    close = np.zeros(count, dtype=bool)
    close[twin[a[both & (twin[a] == twin[b]) & (a != b)]]] = True
    never = close[twin]
    keys = np.where(torn[group], count + twin, group)
    keys = np.where(free, keys, 3 * count + np.arange(count))
    return np.asarray(np.unique(keys, return_inverse=True)[1].ravel(), dtype=np.int64), never
