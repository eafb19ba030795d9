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


def box(x, y, w, h):
    return np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)], dtype=float)


def circle(x, y, r, n=64, turn=0.1):
    t = np.linspace(0, 2 * np.pi, n + 1) + turn
    ring = np.column_stack([x + r * np.cos(t), y + r * np.sin(t)])
    ring[-1] = ring[0]
    return ring


def lattice(rows, columns, step=5.0):
    """Lines of a grid of `rows x columns` fields, one line a row and one a column."""
    across = [np.array([(0, k * step), (columns * step, k * step)]) for k in range(rows + 1)]
    down = [np.array([(k * step, 0), (k * step, rows * step)]) for k in range(columns + 1)]
    return across + down
