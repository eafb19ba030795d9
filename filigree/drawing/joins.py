"""Joins: the tips that mitred corners of a stroke add to bevelled ones (SVG 2, 13.5.5)."""

import numpy as np
from shapely import Polygon

from filigree.geometry.types import FloatArray

LEAST_TURN = np.radians(20)  # less is part of a curve; its tip is 1.6 % of half the width


def mitre_tips(points: FloatArray, *, closed: bool, radius: float, limit: float) -> list[Polygon]:
    """Tips of the corners whose mitre is no longer than `limit` times the width.

    Args:
        points: of one line, no two alike in a row, shape `(n, 2)`.
        closed: whether its last point joins its first.
        radius: half the width.
        limit: of the mitre's length over the width; a longer one is left bevelled.
    """
    steps = np.diff(points, axis=0)
    along = steps / np.hypot(*steps.T)[:, None]
    before, after, at = along[:-1], along[1:], points[1:-1]
    if closed and len(along) > 1:
        before, after = np.concatenate([before, along[-1:]]), np.concatenate([after, along[:1]])
        at = np.concatenate([at, points[:1]])
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.arctan2(np.abs(cross), (before * after).sum(axis=1))
    half = np.cos(turn / 2)  # half the inner angle has this sine
    pointed = (turn >= LEAST_TURN) & (half * limit >= 1)
    side = -np.sign(cross[pointed])[:, None] * radius
    first = _left(before[pointed]) * side
    second = _left(after[pointed]) * side
    tip = (first + second) / (2 * half[pointed] ** 2)[:, None]
    corner = at[pointed]
    quads = np.stack([corner, corner + first, corner + tip, corner + second], axis=1)
    return [Polygon(quad) for quad in quads]


def _left(along: FloatArray) -> FloatArray:
    """Directions turned by a right angle, from x to y."""
    return np.column_stack([-along[:, 1], along[:, 0]])
