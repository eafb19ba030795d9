"""Belief: how likely each region is background, given the scores and that neighbours exclude each other."""

import numpy as np

from filigree.geometry.types import FloatArray, IntArray

ROUNDS = 40
DAMPING = 0.5
LIMIT = 30.0


def beliefs(scores: FloatArray, pairs: IntArray) -> FloatArray:
    """Log odds of being background, `(n,)`, by damped belief propagation with hard exclusion.

    Args:
        scores: log odds of each region by itself, `(n,)`.
        pairs: rows that are never both background, `(k, 2)`.
    """
    count = len(scores)
    scores = np.clip(scores, -LIMIT, LIMIT)
    if len(pairs) == 0:
        return scores
    here = np.concatenate([pairs[:, 0], pairs[:, 1]])
    there = np.concatenate([pairs[:, 1], pairs[:, 0]])
    back = np.concatenate([np.arange(len(pairs), 2 * len(pairs)), np.arange(len(pairs))])
    word = np.zeros(len(here))  # log odds sent from `here` to `there`; never above 0
    for _ in range(ROUNDS):
        heard = scores + np.bincount(there, word, minlength=count)
        without = np.clip(heard[here] - word[back], -LIMIT, LIMIT)
        word = DAMPING * word - (1 - DAMPING) * np.logaddexp(0.0, without)
    return np.asarray(scores + np.bincount(there, word, minlength=count), dtype=np.float64)
