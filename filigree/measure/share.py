"""Open share: how much of the face comes out, over all and where it is most."""

import numpy as np

from filigree.geometry.types import FloatArray
from filigree.measure.model import OpenShare
from filigree.measure.raster import coverage
from filigree.pattern import Pattern

PARTS = 4  # cells along a window
ON_PIECE = 0.5  # of a window that must lie on the piece
CELLS = 1_000_000  # more would take longer than it tells


def open_share(pattern: Pattern, *, window: float) -> OpenShare | None:
    """Measure the open share, and move a square window of `window` mm over the piece.

    None for an outline without area.
    """
    whole = pattern.outline.area
    if not whole > 0:
        return None
    left, top, right, bottom = pattern.outline.bounds
    step = max(window / PARTS, ((right - left) * (bottom - top) / CELLS) ** 0.5)
    columns, rows = (max(PARTS, int(np.ceil(d / step))) for d in (right - left, bottom - top))
    piece, land = (
        coverage(area, left=left, top=top, step=step, columns=columns, rows=rows)
        for area in (pattern.outline, pattern.land)
    )
    on_piece, on_land = _windows(piece), _windows(land)
    share = np.where(on_piece >= ON_PIECE * PARTS**2, 1 - on_land / np.maximum(on_piece, 1e-9), 0.0)
    row, column = np.unravel_index(int(np.argmax(share)), share.shape)
    return OpenShare(
        whole=max(1 - pattern.land.area / whole, 0.0),
        window=step * PARTS,
        most=float(np.clip(share[row, column], 0, 1)),
        at=(left + (float(column) + PARTS / 2) * step, top + (float(row) + PARTS / 2) * step),
    )


def _windows(cells: FloatArray) -> FloatArray:
    """Sum of every square of `PARTS` by `PARTS` cells."""
    total = np.zeros((cells.shape[0] + 1, cells.shape[1] + 1))
    total[1:, 1:] = cells.cumsum(axis=0).cumsum(axis=1)
    n = PARTS
    summed: FloatArray = total[n:, n:] - total[:-n, n:] - total[n:, :-n] + total[:-n, :-n]
    return summed
