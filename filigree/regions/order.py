"""Reading order: the numbers printed in the regions run row by row from the top, each row from the left."""

import math

import numpy as np
import shapely

from filigree.geometry.types import FloatArray, IntArray, Shapes

ROW = 0.42  # of the median height: no fraction that drawn grids and half-drops fall on
COLUMN = 0.13  # of the median width


def reading_order(shapes: Shapes) -> IntArray:
    """Order shapes by rows from the top, and within a row from the left.

    A row starts at the highest shape left over and takes every shape whose top lies within ROW of the
    median height below it; within a row columns are taken likewise by left edges, and a column runs
    from the top. So shapes in line stay in line when one of them moves a little.

    Returns:
        Indices into `shapes`, `(n,)`.
    """
    if not len(shapes):
        return np.empty(0, dtype=np.int64)
    left, top, right, bottom = shapely.bounds(shapes).T
    middle = (left + right) / 2
    row = _bands(top, ROW * _median(bottom - top))
    by_row = np.lexsort((left, row))
    column = np.empty(len(shapes), dtype=np.int64)
    breadth = COLUMN * _median(right - left)
    for members in np.split(by_row, np.flatnonzero(np.diff(row[by_row])) + 1):
        column[members] = _bands(left[members], breadth)
    return np.lexsort((shapely.area(shapes), middle, top, column, row)).astype(np.int64)


def _median(values: FloatArray) -> float:
    """Median of values, `np.median` without its overhead."""
    ranked, half = np.sort(values), len(values) // 2
    return float(ranked[half] + ranked[~half]) / 2


def _bands(values: FloatArray, breadth: float) -> IntArray:
    """Number bands of values; each starts at the least value left over."""
    order = np.argsort(values, kind="stable")
    ranked: list[float] = values[order].tolist()
    bands: list[int] = []
    band, limit = -1, -math.inf
    for value in ranked:
        if value > limit:
            band, limit = band + 1, value + breadth
        bands.append(band)
    numbers = np.empty(len(values), dtype=np.int64)
    numbers[order] = bands
    return numbers
