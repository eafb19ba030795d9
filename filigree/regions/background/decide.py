"""Decide: turn scores into a choice in which no two background regions share a drawn line."""

import numpy as np

from filigree.geometry.groups import connected
from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.background.independent import best_set
from filigree.regions.background.look import Look

ROUND = 3  # equal fields about one point; of two alike a mirror or a row may still tell one


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
    """Number rows alike that get one answer; True for mirror images and whole rounds that touch: they stay."""
    count = len(free)
    group, twin = seen.groups.group, seen.groups.twin
    both = free[a] & free[b]
    torn = np.zeros(count, dtype=bool)  # groups with neighbours among them
    torn[group[a[both & (group[a] == group[b])]]] = True
    close = np.zeros(count, dtype=bool)
    close[twin[a[both & (twin[a] == twin[b]) & (a != b)]]] = True
    never = close[twin] | _rounds(group, a[both], b[both])
    keys = np.where(torn[group], count + twin, group)
    keys = np.where(free, keys, 3 * count + np.arange(count))
    return np.asarray(np.unique(keys, return_inverse=True)[1].ravel(), dtype=np.int64), never


def _rounds(group: IntArray, a: IntArray, b: IntArray) -> BoolArray:
    """Equal rows, three or more, each of which touches all the others: nothing tells one from the next.

    The three sides of a cube seen from a corner are such a round; a tiling, whose tiles go on, is none.
    """
    same = group[a] == group[b]
    a, b = a[same], b[same]
    part = connected(len(group), a, b)
    rows = np.bincount(part, minlength=len(group))
    lines = np.bincount(part[a], minlength=len(group))
    full = (rows >= ROUND) & (2 * lines == rows * (rows - 1))
    return np.asarray(full[part])
