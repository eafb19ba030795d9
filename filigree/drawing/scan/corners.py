"""Corners: places where a strand turns at once, so that both sides can be read apart."""

from itertools import pairwise

import numpy as np

from filigree.drawing.scan.centre import Strand
from filigree.geometry.types import FloatArray, IntArray

NEAR, FAR = 0.6, 1.7  # widths from the corner between which the sides' directions are read
TURN = np.radians(32)  # least turn of a corner
BEYOND_ARC = np.radians(22)  # turn that a round bend does not explain


def find_corners(strand: Strand, points: FloatArray, width: float) -> IntArray:
    """Indices of the corners of one strand, whose evened out points are given too."""
    n = len(points)
    near, far = max(1, round(NEAR * width)), max(3, round(FAR * width))
    reach = 2 * far - near
    if strand.closed:
        points = np.vstack([points[-reach:], points, points[:reach]])
        offset = reach
    else:
        offset = 0
    if len(points) < 2 * far + 3:
        return np.zeros(0, np.int64)
    i = np.arange(far, len(points) - far)
    left = _angle(points[i - near] - points[i - far])
    right = _angle(points[i + far] - points[i + near])
    turn = _wrap(right - left)
    before = np.maximum(i - reach, 0)
    after = np.minimum(i + reach, len(points) - 1)
    arc_left = _wrap(left - _angle(points[i - far] - points[before]))
    arc_right = _wrap(_angle(points[after] - points[i + far]) - right)
    arc_left[before == i - far] = 0
    arc_right[after == i + far] = 0
    sign = np.sign(turn)
    arc = np.maximum(np.maximum(arc_left * sign, arc_right * sign), 0)
    excess = np.abs(turn) - arc * (near + far) / (far - near)
    strength = np.where((np.abs(turn) > TURN) & (excess > BEYOND_ARC), np.abs(turn), 0)
    found = _peaks(strength, max(2, round(1.2 * width)))
    at = i[found] - offset
    return np.unique(at[(at >= 0) & (at < n)]).astype(np.int64)


def split(strand: Strand, at: IntArray, next_node: int) -> tuple[list[Strand], FloatArray]:
    """Cut a strand at its corners; the corners become nodes numbered from `next_node`, `(k, 2)`."""
    if at.size == 0:
        return [strand], np.zeros((0, 2))
    points, width = strand.points, strand.width
    names = list(range(next_node, next_node + at.size))
    if strand.closed:
        points = np.vstack([points[at[0] :], points[: at[0] + 1]])
        width = np.concatenate([width[at[0] :], width[: at[0] + 1]])
        cuts = [0, *(at[1:] - at[0]).tolist(), len(points) - 1]
        nodes = [*names, names[0]]
    else:
        cuts = [0, *at.tolist(), len(points) - 1]
        nodes = [strand.nodes[0], *names, strand.nodes[1]]
    pieces = [
        Strand(
            points=points[a : b + 1],
            width=width[a : b + 1],
            nodes=(nodes[k], nodes[k + 1]),
            closed=False,
        )
        for k, (a, b) in enumerate(pairwise(cuts))
    ]
    return pieces, strand.points[at]


def _angle(way: FloatArray) -> FloatArray:
    return np.arctan2(way[:, 1], way[:, 0])


def _wrap(angle: FloatArray) -> FloatArray:
    return (angle + np.pi) % (2 * np.pi) - np.pi


def _peaks(strength: FloatArray, apart: int) -> IntArray:
    """Middles of the runs of strength, the strongest first, no two nearer than `apart`."""
    kept: list[int] = []
    left = strength.copy()
    while left.size and left.max() > 0:
        top = left.max()
        run = np.flatnonzero(left > 0.98 * top)
        first = run[0]
        last = first
        for k in run[1:]:
            if k > last + 2:
                break
            last = k
        middle = (first + last) // 2
        kept.append(int(middle))
        left[max(0, middle - apart) : middle + apart + 1] = 0
    return np.array(sorted(kept), np.int64)
