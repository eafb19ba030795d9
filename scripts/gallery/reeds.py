"""Reeds: blades, cattails, ground."""

import numpy as np

from scripts.gallery.curves import spline
from scripts.gallery.face import Motif
from scripts.gallery.shapes import Pairs, Polygon, joined, stem, stroke


def blade(through: Pairs, width: float = 7.0, *, tip: float = 1.0) -> Motif:
    """A long blade: full for half its way, then drawn out to a tip; one rib."""
    line = spline(through)
    area = stroke(line, [0.8 * width, width, 0.9 * width, 0.6 * width, tip], [0, 0.3, 0.55, 0.8, 1])
    n = len(line)
    return Motif(area=area, veins=(line[int(0.03 * n) : int(0.72 * n)],))


def cattail(
    through: Pairs,
    *,
    head: float = 22.0,
    fat: float = 10.0,
    stalk: float = 4.4,
    spike: float = 1.2,
    crown: float = 11.0,
) -> list[Motif]:
    """A stalk along a spline with its brown head near the end, and the spike above it."""
    line = spline(through)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    end = along[-1] - crown
    part = line[(along >= end - head) & (along <= end)]
    body = Motif(area=stroke(part[12:-12], [fat * 0.92, fat, fat * 0.88]))
    return [
        Motif(
            area=stroke(
                line, [stalk * 1.15, stalk, stalk, max(4.0, spike), spike], [0, 0.3, 0.8, 0.9, 1]
            )
        ),
        body,
    ]


def ground(left: float, right: float, top: float, bottom: float) -> Motif:
    """A low bank with a wavering top."""
    x = np.linspace(left, right, 9)
    y = top + np.array([2, 0.5, 1.6, -0.4, 1.2, -0.4, 1.6, 0.5, 2])
    line = spline(np.column_stack([x, y]))
    ripples = tuple(
        spline(
            [(a, top + d), (a + 9, top + d - 1.1), (a + 18, top + d + 0.6), (a + 26, top + d - 0.2)]
        )
        for k, a in enumerate(np.arange(left + 6, right - 24, 31))
        for d in ([3.6 + 2.2 * (k % 2)])
    )
    return Motif(area=Polygon([*line.tolist(), (right, bottom), (left, bottom)]), veins=ripples)


__all__ = ["blade", "cattail", "ground", "joined", "stem"]
