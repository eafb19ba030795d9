"""Deskew: how far a sheet lay askew, read from the long straight lines of the drawing's border."""

from collections.abc import Sequence

import numpy as np

from filigree.geometry.bezier import points_at
from filigree.geometry.path import Path
from filigree.geometry.types import FloatArray

MOST = 8.0  # degrees: more is meant
LONG = 0.3  # share of the page's shorter side that a border's line has at least
OUTER = 0.25  # share of the drawing's extent from its edge within which a border lies
BENT = np.radians(2.0)  # a piece off its run's direction by more ends the run
SHORT = 0.15  # mm: shorter pieces say nothing of direction
AGREE = 0.4  # degrees by which the border's lines may differ


def skew(paths: Sequence[Path], size: tuple[float, float]) -> float:
    """Degrees by which the border runs off the page's edges; 0 when there is no straight border.

    Args:
        paths: the drawing's lines, mm.
        size: page width and height.
    """
    runs = [run for p in paths for run in _straight_runs(p)]
    if not runs:
        return 0.0
    ends = np.array(runs)
    everything = np.concatenate([p.cubics.reshape(-1, 2) for p in paths])
    low, high = everything.min(0), everything.max(0)
    way = ends[:, 1] - ends[:, 0]
    length = np.hypot(way[:, 0], way[:, 1])
    angle = np.degrees(np.arctan2(way[:, 1], way[:, 0]))
    off = (angle + 45) % 90 - 45
    middle = ends.mean(1)
    near = np.minimum((middle - low) / (high - low + 1e-9), (high - middle) / (high - low + 1e-9))
    upright = np.abs((angle + 90) % 180 - 90) < 45  # True for a line along x
    outer = np.where(upright, near[:, 1], near[:, 0]) < OUTER
    good = (np.abs(off) <= MOST) & outer & (length > LONG * min(size))
    if not good.any():
        return 0.0
    off, length = off[good], length[good]
    best = _weighted_median(off, length)
    agreeing = np.abs(off - best) < AGREE
    if length[agreeing].sum() < 0.7 * length.sum():
        return 0.0
    return float(np.average(off[agreeing], weights=length[agreeing]))


def _straight_runs(path: Path) -> list[FloatArray]:
    """Stretches that keep their direction, as start and end, `(2, 2)`, each."""
    n = len(path.cubics)
    t = np.tile([0.0, 0.25, 0.5, 0.75], n)
    points = np.vstack([points_at(np.repeat(path.cubics, 4, axis=0), t), path.cubics[-1:, 3]])
    way = np.diff(points, axis=0)
    size = np.hypot(way[:, 0], way[:, 1])
    angle = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    runs, first = [], 0
    for k in range(1, len(way) + 1):
        chord = points[k] - points[first]
        here = np.arctan2(chord[1], chord[0])
        if k == len(way) or (size[k] > SHORT and abs(_turn(angle[k] - here)) > BENT):
            runs.append(points[[first, k]])
            first = k
    return runs


def _turn(angle: float) -> float:
    return float((angle + np.pi) % (2 * np.pi) - np.pi)


def _weighted_median(values: np.ndarray, weights: np.ndarray) -> float:
    order = np.argsort(values)
    walked = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(walked, walked[-1] / 2)])
