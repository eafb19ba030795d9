"""Ink: which pixels are drawn on, by a local threshold with hysteresis; and where ink is wide."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from filigree.drawing.scan.light import Grey32

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
    from scipy.ndimage import gaussian_filter, maximum_filter

    calm = gaussian_filter(dark, max(0.5, CALM * per_mm), truncate=2.5)
    sample = calm[::EVERY, ::EVERY]
    bare = float(np.median(sample))
    low_half = sample[sample <= bare]
    noise = 1.4826 * float(np.median(bare - low_half)) if low_half.size else 0.0
    faint = bare + max(5 * noise, FAINTEST)
    step = max(2, round(NEAR / 4 * per_mm))
    peaks = _blocks(calm, step)
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


def _blocks(values: Grey32, step: int) -> Grey32:
    """Largest value of each block, ragged edges included."""
    rows = np.maximum.reduceat(values, np.arange(0, values.shape[0], step), axis=0)
    return np.maximum.reduceat(rows, np.arange(0, values.shape[1], step), axis=1)


def _seeded(mask: Mask, calm: Grey32, seed: float) -> Mask:
    """Keep the blots that are dark enough somewhere."""
    from scipy.ndimage import label

    names, count = label(mask, np.ones((3, 3), bool))
    keep = np.zeros(count + 1, bool)
    keep[np.unique(names[(calm > seed) & mask])] = True
    keep[0] = False
    return keep[names]


def without_holes(mask: Mask, least: float) -> Mask:
    """Fill holes under `least` pixels."""
    from scipy.ndimage import label

    names, count = label(~mask)
    sizes = np.bincount(names.ravel(), minlength=count + 1)
    small = sizes < least
    small[0] = False
    return mask | small[names] if small.any() else mask
