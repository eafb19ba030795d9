"""Ink: which pixels are drawn on, by a local threshold with hysteresis; and where ink is wide."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from filigree.drawing.scan.calm import calmed
from filigree.drawing.scan.light import Grey32, block_max
from filigree.geometry.types import IntArray

Mask = npt.NDArray[np.bool_]

CALM = 0.07  # mm, smoothing before the threshold
NEAR = 2.0  # mm, how far the darkest ink about a place is looked for
HALF = 0.45  # share of that darkness where ink begins
FAINTEST = 0.05  # darkness that may still be pencil
SEED = 0.3  # share of the sheet's usual ink that a stroke must reach somewhere
HOLE = 0.06  # mm2: smaller holes in ink are grain
EVERY = 7  # pixels are sampled for the noise of the paper


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ink:
    """Drawn pixels of one sheet.

    Attributes:
        mask: True where ink lies.
        calm: darkness smoothed a little, as used for the threshold.
        usual: darkness of the sheet's usual stroke.
        noise: spread of bare paper after smoothing.
    """

    mask: Mask
    calm: Grey32
    usual: float
    noise: float


def find_ink(dark: Grey32, per_mm: float) -> Ink | None:
    """Separate ink from paper; None when nothing is drawn.

    Args:
        dark: darkness against the paper.
        per_mm: pixels to a mm.
    """
    from scipy.ndimage import maximum_filter

    calm = calmed(dark, max(0.5, CALM * per_mm))
    sample = calm[::EVERY, ::EVERY]
    bare = float(np.median(sample))
    low_half = sample[sample <= bare]
    noise = 1.4826 * float(np.median(bare - low_half)) if low_half.size else 0.0
    faint = bare + max(5 * noise, FAINTEST)
    step = max(2, round(NEAR / 4 * per_mm))
    peaks = block_max(calm, step)
    strong = peaks[peaks > max(bare + 8 * noise, faint)]
    if strong.size == 0:
        return None
    usual = float(np.percentile(strong, 70)) - bare
    around = maximum_filter(peaks, 5)
    level = np.maximum(bare + HALF * (around - bare), faint)
    mask = np.empty(calm.shape, bool)
    for top in range(level.shape[0]):  # one row of blocks at a time: no second full-size float
        rows = slice(top * step, min((top + 1) * step, calm.shape[0]))
        line = np.repeat(level[top], step)[: calm.shape[1]]
        np.greater(calm[rows], line, out=mask[rows])
    mask = _seeded(mask, calm, bare + SEED * usual)
    return Ink(mask=mask, calm=calm, usual=usual, noise=noise)


def _seeded(mask: Mask, calm: Grey32, seed: float) -> Mask:
    """Keep the blots that are dark enough somewhere."""
    from scipy.ndimage import label

    names, count = label(mask, np.ones((3, 3), bool))
    drawn = np.flatnonzero(mask)  # a small part of the sheet
    own = names.reshape(-1)[drawn]
    keep = np.zeros(count + 1, bool)
    keep[own[calm.reshape(-1)[drawn] > seed]] = True
    out = mask.copy()
    out.reshape(-1)[drawn[~keep[own]]] = False
    return out


def without_holes(mask: Mask, least: float) -> Mask:
    """Fill holes under `least` pixels.

    Such a hole is made of short runs of paper along the rows, none of which touches a longer one.
    """
    rows, columns = mask.shape
    wide = columns + 2
    ink = np.ones((rows + 2, wide), bool)  # the picture's edge bounds holes too
    ink[1:-1, 1:-1] = mask
    flat = ink.reshape(-1)
    turns = np.flatnonzero(flat[1:] != flat[:-1]) + 1
    start, stop = turns[::2], turns[1::2]
    short = stop - start < least
    if not short.any():
        return mask
    far = (start[~short], stop[~short])
    start, stop = start[short], stop[short]
    open_ = _overlap(start + wide, stop + wide, *far)[1] > 0
    open_ |= _overlap(start - wide, stop - wide, *far)[1] > 0
    group = _grouped(start, stop, wide)
    size = np.bincount(group, stop - start)
    hole = (size < least) & (np.bincount(group, open_) == 0)
    fill = hole[group]
    if not fill.any():
        return mask
    first, many = start[fill], (stop - start)[fill]
    at = np.repeat(first - np.cumsum(many) + many, many) + np.arange(many.sum())
    flat[:] = False
    flat[at] = True
    return np.asarray(mask | ink[1:-1, 1:-1])


def _overlap(
    start: IntArray, stop: IntArray, starts: IntArray, stops: IntArray
) -> tuple[IntArray, IntArray]:
    """First of the ordered runs `starts` to `stops` that each run overlaps, and how many of them."""
    first = np.searchsorted(stops, start, "right")
    return first, np.searchsorted(starts, stop, "left") - first


def _grouped(start: IntArray, stop: IntArray, wide: int) -> IntArray:
    """Number of the patch each run belongs to; runs one above the other hang together."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    first, many = _overlap(start + wide, stop + wide, start, stop)
    above = np.repeat(np.arange(start.size), many)
    below = np.repeat(first - np.cumsum(many) + many, many) + np.arange(above.size)
    graph = coo_array((np.ones(above.size, np.int8), (above, below)), shape=(start.size,) * 2)
    return np.asarray(connected_components(graph, directed=False)[1], np.int64)
