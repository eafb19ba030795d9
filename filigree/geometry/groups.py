"""Groups: which things belong together when pairs of them do."""

import numpy as np

from filigree.geometry.types import IntArray


def connected(count: int, first: IntArray, second: IntArray) -> IntArray:
    """Number the connected groups of things, by the first thing in each.

    Every thing takes the lowest label among those it is paired with, then the label of its label, until
    nothing changes: a few rounds, however long the chain. scipy does it too, but its import costs more
    than the rest of reading a small drawing.

    Args:
        count: how many things there are.
        first: one of each pair, (M,).
        second: the other of each pair, (M,).

    Returns:
        The group of each thing, (count,), from 0 without gaps.

    >>> connected(5, np.array([0, 3]), np.array([4, 1])).tolist()
    [0, 1, 2, 1, 0]
    """
    label = np.arange(count)
    while True:
        low = np.minimum(label[first], label[second])
        lower = label.copy()
        np.minimum.at(lower, label[first], low)
        np.minimum.at(lower, label[second], low)
        lower = lower[lower]
        if np.array_equal(lower, label):
            return np.unique(label, return_inverse=True)[1]
        label = lower
