"""Relate: what a first guess of the regions round about says about each region.

At a T the two regions beneath are mostly one strand and the ground beside it; the ground reappears two
regions on; openings that face each other at a point would leave no leather between them.
"""

import numpy as np

from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.background.look import Look
from filigree.regions.background.walls import OUTSIDE

FIRM = 6.0  # log odds: surer than this says no more
NAMES = (
    "first",
    "ground_beside",
    "ground_beside_most",
    "ground_beyond",
    "ground_beneath_with",
    "ground_on_top",
    "strand_and_ground_beneath",
    "ground_beneath",
    "ground_facing",
    "ground_facing_most",
)


def relations(held: FloatArray, seen: Look) -> FloatArray:
    """Cues from a first guess.

    Args:
        held: log odds of each row being background, `(n,)`.
        seen: neighbours and junctions.

    Returns:
        Values `(n, len(NAMES))`, pooled over equal rows.
    """
    count = len(held)
    held = np.clip(held, -FIRM, FIRM)
    p = 1 / (1 + np.exp(-held))
    (beside,) = seen.links.mean([p])
    (beyond,) = seen.links.mean([beside])
    most = np.zeros(count)
    np.maximum.at(most, seen.links.here, p[seen.links.there])
    over = seen.met.over
    over = over[(over != OUTSIDE).all(axis=1)]
    top, left, right = over.T
    beneath, partner = np.concatenate([left, right]), np.concatenate([right, left])
    split = p[left] * (1 - p[right]) + p[right] * (1 - p[left])
    facing = np.concatenate([seen.met.across, seen.met.across[:, ::-1]])
    facing_most = np.zeros(count)
    np.maximum.at(facing_most, facing[:, 0], p[facing[:, 1]])
    values = np.column_stack(
        [
            held / FIRM,
            beside,
            most,
            beyond,
            _mean(beneath, p[partner], count),
            _mean(beneath, p[np.concatenate([top, top])], count),
            _mean(top, split, count),
            _mean(top, (p[left] + p[right]) / 2, count),
            _mean(facing[:, 0], p[facing[:, 1]], count),
            facing_most,
        ]
    )
    return seen.groups.mean(values)


def _mean(rows: IntArray, values: FloatArray, count: int) -> FloatArray:
    """Mean of `values` for each row, drawn a little to a half; a half where there is none."""
    total = np.bincount(rows, values, minlength=count) + 0.25
    return np.asarray(total / (np.bincount(rows, minlength=count) + 0.5), dtype=np.float64)
