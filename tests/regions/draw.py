"""Builders of drawings whose regions are known by construction."""

import numpy as np
from shapely import MultiPolygon

from filigree.drawing.model import Drawing
from filigree.geometry.curves import CurveTable

NO_CURVES = CurveTable(
    cubics=np.empty((0, 4, 2)),
    starts=np.empty((0, 2)),
    ends=np.empty((0, 2)),
    curve=np.empty(0, dtype=np.int64),
    spans=np.empty((0, 2)),
)


def drawing(lines, *, fields=None, solids=None, size=200.0):
    return Drawing(
        name="test.svg",
        width=size,
        height=size,
        scale_from="width",
        lines=tuple(np.asarray(line, dtype=float) for line in lines),
        curves=NO_CURVES,
        solids=MultiPolygon() if solids is None else solids,
        fields=fields,
        marks=(),
        skipped=(),
    )


def line(*points):
    return np.array(points, dtype=float)


def box(x, y, w, h):
    return line((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))


def circle(x, y, r, n=64, turn=0.1):
    t = np.linspace(0, 2 * np.pi, n + 1) + turn
    ring = np.column_stack([x + r * np.cos(t), y + r * np.sin(t)])
    ring[-1] = ring[0]
    return ring


def lattice(rows, columns, step=5.0):
    """Lines of a grid of `rows x columns` fields, one line a row and one a column."""
    across = [line((0, k * step), (columns * step, k * step)) for k in range(rows + 1)]
    down = [line((k * step, 0), (k * step, rows * step)) for k in range(columns + 1)]
    return across + down


def broken(lines, rng, *, step, share, widest):
    """Cut a gap into a `share` of the stretches of `step` mm of straight lines."""
    pieces = []
    for start, stop in lines:
        length = np.hypot(*(stop - start))
        along = (stop - start) / length
        begin = 0.0
        for k in range(round(length / step)):
            gap = rng.uniform(0.05, widest)
            middle = k * step + rng.uniform(gap / 2, step - gap / 2)
            if rng.random() < share and middle - gap / 2 > begin + 0.05:
                pieces.append(line(start + along * begin, start + along * (middle - gap / 2)))
                begin = middle + gap / 2
        pieces.append(line(start + along * begin, stop))
    return pieces


def strokes(lines, rng, *, step, widest):
    """Draw each stretch of `step` mm as a stroke of its own, short at both ends."""
    pieces = []
    for start, stop in lines:
        along = (stop - start) / np.hypot(*(stop - start))
        for k in range(round(np.hypot(*(stop - start)) / step)):
            head, tail = rng.uniform(0.05, widest, 2) / 2
            pieces.append(
                line(start + along * (k * step + head), start + along * ((k + 1) * step - tail))
            )
    return pieces


def waved(lines, *, step, turn=0.0):
    """Bend straight lines into waves of an eighth of `step` and turn them, in short pieces."""
    bent = []
    for start, stop in lines:
        t = np.linspace(0, 1, max(2, int(np.hypot(*(stop - start)) / 0.4)))[:, None]
        x, y = (start + (stop - start) * t).T
        xy = np.column_stack(
            [
                x + 0.12 * step * np.sin(2.2 * y / step + x / step),
                y + 0.12 * step * np.sin(2.6 * x / step),
            ]
        )
        c, s = np.cos(turn), np.sin(turn)
        bent.append(xy @ np.array([[c, s], [-s, c]]))
    return bent


def leaf(length=30.0, width=8.0, n=60):
    """Two edges of a leaf from (0, 0) to (length, 0)."""
    t = np.linspace(0, 1, n)
    x, y = length * t, width / 2 * np.sin(np.pi * t)
    y[-1] = 0.0
    return [np.column_stack([x, y]), np.column_stack([x, -y])]
