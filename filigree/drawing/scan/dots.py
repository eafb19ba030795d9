"""Dots: small compact blots, of a stipple or of dirt; they are no lines."""

from dataclasses import dataclass

import numpy as np

from filigree.drawing.scan.ink import Mask
from filigree.geometry.types import FloatArray

WIDEST = 1.4  # mm, a dot's larger extent
COMPACT = 0.55  # share of its box that a dot fills at least
LEAST = 0.03  # mm2: less is grain
DIRT = 0.2  # mm2: a longer blot of less ink is no stroke


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dots:
    """Ink without dots, and the dots' middles, pixels, `(n, 2)`."""

    mask: Mask
    at: FloatArray


def part_dots(mask: Mask, per_mm: float) -> Dots:
    """Take dots and dirt out of the ink."""
    from scipy.ndimage import find_objects, label

    names, count = label(mask, np.ones((3, 3), bool))
    if not count:
        return Dots(mask=mask, at=np.zeros((0, 2)))
    boxes = find_objects(names)
    high = np.array([b[0].stop - b[0].start for b in boxes])
    wide = np.array([b[1].stop - b[1].start for b in boxes])
    drawn = np.flatnonzero(mask)  # a small part of the sheet
    own = names.reshape(-1)[drawn]
    size = np.bincount(own, minlength=count + 1)[1:]
    large = np.maximum(high, wide)
    dot = (
        (large <= WIDEST * per_mm)
        & (large <= 2 * np.minimum(high, wide) + 1)
        & (size >= COMPACT * high * wide)
    )
    dirt = size < DIRT * per_mm**2
    gone = np.append(False, dot | dirt)
    kept = np.flatnonzero(dot & (size >= LEAST * per_mm**2))
    at = np.array(
        [
            (
                (boxes[k][1].start + boxes[k][1].stop - 1) / 2,
                (boxes[k][0].start + boxes[k][0].stop - 1) / 2,
            )
            for k in kept
        ]
    ).reshape(-1, 2)
    left = mask.copy()
    left.reshape(-1)[drawn[gone[own]]] = False
    return Dots(mask=left, at=at)
