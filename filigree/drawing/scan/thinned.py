"""Thinned: ink worn down to lines one pixel wide, island by island where the sheet is mostly paper."""

import numpy as np

from filigree.drawing.scan.ink import Mask
from filigree.geometry.types import IntArray

BLOCK = 64  # pixels, side of the blocks in which ink is looked for
WHOLE = 0.8  # share of the sheet in islands from which it is thinned in one piece


def thinned(mask: Mask) -> IntArray:
    """Pixels of the skeleton, ascending, as places in the flattened mask.

    Islands lie a whole block of paper apart, so that thinning one cannot touch another.
    """
    names, boxes = _islands(mask)
    columns = mask.shape[1]
    sides = np.array([[b.stop - b.start for b in box] for box in boxes]).reshape(-1, 2)
    if sides.prod(1).sum() * BLOCK**2 > WHOLE * mask.size:
        return np.flatnonzero(_bones(mask))
    found = []
    for name, (down, across) in enumerate(boxes, start=1):
        top, left = down.start * BLOCK, across.start * BLOCK
        part = mask[top : down.stop * BLOCK, left : across.stop * BLOCK]
        own = np.repeat(np.repeat(names[down, across] == name, BLOCK, 0), BLOCK, 1)
        y, x = np.nonzero(_bones(part & own[: part.shape[0], : part.shape[1]]))
        found.append((y + top) * columns + x + left)
    return np.sort(np.concatenate(found)) if found else np.zeros(0, np.int64)


def _bones(mask: Mask) -> Mask:
    from skimage.morphology import skeletonize

    return np.asarray(skeletonize(np.pad(mask, 1))[1:-1, 1:-1])  # type: ignore[no-untyped-call]


def _islands(mask: Mask) -> tuple[IntArray, list[tuple[slice, ...]]]:
    """Blocks named by the island they belong to, and the box of blocks round each."""
    from scipy.ndimage import find_objects, label

    high = np.arange(0, mask.shape[0], BLOCK)
    wide = np.arange(0, mask.shape[1], BLOCK)
    busy = np.logical_or.reduceat(np.logical_or.reduceat(mask, high, axis=0), wide, axis=1)
    names, _ = label(busy, np.ones((3, 3), bool))
    return np.asarray(names, np.int64), find_objects(names)
