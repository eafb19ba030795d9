"""Raster: how much of each square cell of a grid an area covers."""

import numpy as np
import shapely

from filigree.geometry.types import Area, FloatArray

FINE = 8  # scan lines through each row of cells


def coverage(
    area: Area, *, left: float, top: float, step: float, columns: int, rows: int
) -> FloatArray:
    """Give the covered share of each cell, 0 to 1, shape `(rows, columns)`.

    Along a row the share is exact; across it is the mean of eight scan lines.
    """
    rings = shapely.get_rings(shapely.get_parts(np.array([area], dtype=object)))
    starts, ends = _edges(rings)
    y = top + (np.arange(rows * FINE) + 0.5) * step / FINE
    low, high = np.minimum(starts[:, 1], ends[:, 1]), np.maximum(starts[:, 1], ends[:, 1])
    first, last = np.searchsorted(y, low, side="left"), np.searchsorted(y, high, side="left")
    count = last - first
    edge = np.repeat(np.arange(len(starts)), count)
    line = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + first[edge]
    share = (y[line] - starts[edge, 1]) / (ends[edge, 1] - starts[edge, 1])
    x = starts[edge, 0] + share * (ends[edge, 0] - starts[edge, 0])
    order = np.lexsort((x, line))
    x, line = np.clip((x[order] - left) / step, 0, columns), line[order]
    sign = np.where(np.arange(len(x)) % 2 == 0, 1.0, -1.0)  # in, out, in, out along each line
    row, cell = line // FINE, np.minimum(x.astype(np.int64), columns - 1)
    part = 1 - (x - cell)
    steps = np.zeros((rows, columns + 1))
    np.add.at(steps, (row, cell), sign * part)
    np.add.at(steps, (row, cell + 1), sign * (1 - part))
    covered: FloatArray = np.clip(np.cumsum(steps, axis=1)[:, :columns] / FINE, 0, 1)
    return covered


def _edges(rings: "np.ndarray[tuple[int], np.dtype[np.object_]]") -> tuple[FloatArray, FloatArray]:
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    return points[:-1][same], points[1:][same]
