"""Sallow: catkins, narrow leaves, and twigs that carry them."""

import math
from collections.abc import Sequence

import numpy as np

from scripts.gallery.curves import spline
from scripts.gallery.face import Motif
from scripts.gallery.shapes import Pairs, leaf, placed, stroke


def catkin(at: Sequence[float], turn: float, length: float = 17.0, width: float = 9.0) -> Motif:
    """A catkin that leaves `at` towards `turn` degrees clockwise from upright; rows of scales inside."""
    line = spline([(0, 2), (0.3, -length * 0.35), (-0.2, -length * 0.7), (0, -length)])
    area = stroke(
        line, [4.6, 0.82 * width, width, 0.84 * width, 0.42 * width], [0, 0.24, 0.5, 0.8, 1]
    )
    scales = tuple(
        spline([(-0.22 * width, -y + 1.4), (0, -y - 0.4), (0.22 * width, -y + 1.4)])
        for y in np.arange(0.26 * length, 0.93 * length, 3.0)
    )
    return placed(Motif(area=area, veins=scales), at=at, turn=turn)


def lance(
    at: Sequence[float],
    turn: float,
    length: float,
    width: float = 8.5,
    bend: float = 0.12,
    tip: float = 1.0,
) -> Motif:
    """A narrow leaf that leaves `at` towards `turn` degrees from upright and bends by a share of its length."""
    a = math.radians(turn)
    way, side = np.array([math.sin(a), -math.cos(a)]), np.array([math.cos(a), math.sin(a)])
    spine = [np.asarray(at) + length * (way * s + side * bend * s * s) for s in (0, 0.34, 0.67, 1)]
    return leaf(spine, width, belly=0.42, ribs=0, foot=4.6, tip=tip)


def twig(through: Pairs, *, foot: float = 6.0, end: float = 4.6) -> Motif:
    """A twig, a little thinner towards its end."""
    return Motif(area=stroke(spline(through), [foot, (foot + end) / 2, end]))
