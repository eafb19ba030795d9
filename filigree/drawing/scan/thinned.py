"""Thinned: ink worn down to lines one pixel wide, touching only the pixels that are ink.

The conditions are those of Guo and Hall 1989, "Parallel thinning with two-subiteration algorithms". A sheet is
mostly paper: the pixels of its ink are held in a list, and each carries its eight neighbours as one byte.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

from filigree.drawing.scan.ink import Mask
from filigree.geometry.types import IntArray

Bytes = npt.NDArray[np.uint8]

RING = (
    (0, 1),
    (-1, 1),
    (-1, 0),
    (-1, -1),
    (0, -1),
    (1, -1),
    (1, 0),
    (1, 1),
)  # row and column of the neighbours, in the order of the bits, round the pixel from the right


def thinned(mask: Mask) -> IntArray:
    """Pixels of the skeleton, ascending, as places in the flattened mask."""
    rows, columns = mask.shape
    width = columns + 2
    on = np.zeros((rows + 2, width), np.uint8)
    on[1:-1, 1:-1] = mask
    flat = on.reshape(-1)
    steps = [row * width + column for row, column in RING]
    live = np.flatnonzero(flat)
    around = np.empty(flat.size, np.uint8)
    around[live] = _around(flat, live, steps)
    while True:
        left = live.size
        for goes in _tables():
            gone = live[goes[around[live]]]
            flat[gone] = 0
            for bit, step in enumerate(steps):
                around[gone - step] &= np.uint8(255 ^ (1 << bit))
            live = live[flat[live] != 0]
        if live.size == left:
            break
    y, x = np.divmod(live, width)
    return np.asarray((y - 1) * columns + x - 1)


def _around(flat: Bytes, at: IntArray, steps: list[int]) -> Bytes:
    """The eight neighbours of each pixel as bits of one byte."""
    out = np.zeros(at.size, np.uint8)
    for bit, step in enumerate(steps):
        out |= flat[at + step] << np.uint8(bit)
    return out


@cache
def _tables() -> tuple[Mask, Mask]:
    """Which neighbourhoods let their pixel go, in the first and in the second pass."""
    bits = (np.arange(256)[:, None] >> np.arange(8) & 1).astype(bool)
    x = [
        bits[:, k % 8] for k in range(9)
    ]  # x[0] is the first neighbour of the paper, x[8] it again
    parts = sum((~x[k] & (x[k + 1] | x[k + 2 if k < 6 else 0])).astype(int) for k in (0, 2, 4, 6))
    one = sum((x[k] | x[k + 1]).astype(int) for k in (0, 2, 4, 6))
    other = sum((x[k + 1] | x[k + 2]).astype(int) for k in (0, 2, 4, 6))
    least = np.minimum(one, other)
    simple = (parts == 1) & (least >= 2) & (least <= 3)
    first = simple & ~((x[1] | x[2] | ~x[7]) & x[0])
    second = simple & ~((x[5] | x[6] | ~x[3]) & x[4])
    return first, second
