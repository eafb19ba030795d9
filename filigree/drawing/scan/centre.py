"""Centre lines: pixel chains moved to the middle of the ink, to a small part of a pixel.

The darkness is read across the line at every pixel of a chain; its centroid between the stroke's two
edges is the middle. Edges lie where the darkness falls to half; beyond them only what keeps falling
counts, so that a neighbouring stroke does not pull.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from filigree.drawing.scan.along import even_all, normals
from filigree.drawing.scan.light import Grey32
from filigree.drawing.scan.skeleton import Chains
from filigree.geometry.types import FloatArray

STEP = 0.5  # pixels between samples across
ROWS = 100_000  # profiles read at a time
NEAR = 2_000  # profiles worked at a time, so that they stay near the processor
BASE = 0.12  # share of the peak that counts as paper
SKIRT = 1.5  # pixels beyond the half-dark edges that still count
ALONG = 5  # profiles averaged along the line


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strand:
    """One chain on the middle of its ink, pixels.

    Attributes:
        points: `(n, 2)`.
        width: width of the ink at each point, `(n,)`; infinite where no edge was found.
        nodes: node at each end, -1 and -1 for a closed strand.
        closed: True when the last point is followed by the first.
    """

    points: FloatArray
    width: FloatArray
    nodes: tuple[int, int]
    closed: bool


def centre(chains: Chains, calm: Grey32, *, reach: float) -> list[Strand]:
    """Move chains onto the middle of the ink.

    Args:
        chains: pixel chains.
        calm: smoothed darkness.
        reach: pixels to each side that are read.
    """
    closed = chains.nodes[:, 0] < 0
    base = even_all(chains.points, chains.starts, closed, 3, order=0)
    for ends in (chains.starts[:-1][~closed], chains.starts[1:][~closed] - 1):
        base[ends] = chains.points[ends]
    normal = normals(base, chains.starts, closed)
    shift, width = _across(base, normal, calm, reach)
    moved = base + shift[:, None] * normal
    return [
        Strand(points=moved[a:b], width=width[a:b], nodes=(start, end), closed=start < 0)
        for (a, b), (start, end) in zip(
            pairwise(chains.starts.tolist()), chains.nodes.tolist(), strict=True
        )
    ]


def even(points: FloatArray, half: float, *, closed: bool, order: int) -> FloatArray:
    """Even out a polyline by a local fit of the given order over `half` points to each side.

    Open ends are continued by point reflection, so that they stay where they are.
    """
    starts = np.array([0, len(points)])
    return even_all(points, starts, np.array([closed]), half, order=order)


def _across(
    base: FloatArray, normal: FloatArray, calm: Grey32, reach: float
) -> tuple[FloatArray, FloatArray]:
    """Offset of the ink's middle along the normal, and its width, at every point."""
    from scipy.ndimage import map_coordinates, uniform_filter1d

    side = int(np.ceil(reach / STEP))
    at = np.arange(-side, side + 1) * STEP
    shift, width = np.empty(len(base)), np.empty(len(base))
    for top in range(0, len(base), ROWS):
        part = slice(top, min(top + ROWS, len(base)))
        seen = np.empty((at.size, part.stop - top), np.float32)
        for first in range(top, part.stop, NEAR):
            some = slice(first, min(first + NEAR, part.stop))
            x = base[some, 0] + at[:, None] * normal[some, 0]
            y = base[some, 1] + at[:, None] * normal[some, 1]
            seen[:, first - top : some.stop - top] = map_coordinates(
                calm, [y.astype(np.float32), x.astype(np.float32)], order=1, mode="nearest"
            )
        seen = uniform_filter1d(seen, ALONG, axis=1, mode="nearest")
        for first in range(0, seen.shape[1], NEAR):
            some = slice(top + first, min(top + first + NEAR, part.stop))
            shift[some], width[some] = _middle(
                np.ascontiguousarray(seen[:, first : first + NEAR]), at.astype(np.float32), side
            )
    return shift, width


def _middle(seen: Grey32, at: Grey32, side: int) -> tuple[FloatArray, FloatArray]:
    """Middle and width of the stroke in each column of `seen`, whose rows are the places `at` across it."""
    core = max(1, side // 4)
    inner = seen[side - core : side + core + 1]
    peak = inner.max(0)
    count = np.int16(len(seen))
    start = inner.argmax(0).astype(np.int16) + np.int16(side - core)
    columns = np.arange(seen.shape[1])
    half = np.float32(0.5) * peak
    below = seen < half
    index = np.arange(count, dtype=np.int16)[:, None]
    right = np.where(below & (index > start), index, count).min(0)
    left = np.where(below & (index < start), index, np.int16(-1)).max(0)
    found = (right < count) & (left >= 0)
    r1, l1 = np.minimum(right, count - 1), np.maximum(left, 0)
    edge_r = at[r1] - STEP * _part(seen[r1, columns], seen[r1 - 1, columns], half)
    edge_l = at[l1] + STEP * _part(seen[l1, columns], seen[l1 + 1, columns], half)
    # beyond the edges only what keeps falling counts
    skirt = np.int16(round(SKIRT / STEP))
    far = np.float32(np.inf)
    falling = np.minimum.accumulate(np.where(index >= r1, seen, far), axis=0)
    falling_l = np.minimum.accumulate(np.where(index <= l1, seen, far)[::-1], axis=0)[::-1]
    np.minimum(falling, falling_l, out=falling)
    weight = np.where((index >= l1) & (index <= r1), seen, falling)
    weight -= np.float32(BASE) * peak
    weight[(weight < 0) | (index < l1 - skirt) | (index > r1 + skirt)] = 0
    total = weight.sum(0)
    weight *= at[:, None]
    middle = np.where(total > 0, weight.sum(0) / np.where(total > 0, total, 1), 0.0)
    return np.where(found, middle, 0.0), np.where(found, edge_r - edge_l, np.inf)


def _part(outer: Grey32, inner: Grey32, half: Grey32) -> FloatArray:
    """How far from the outer sample towards the inner one the level `half` lies, 0 to 1."""
    rise = inner - outer
    return np.asarray(
        np.clip(np.where(rise > 1e-9, (half - outer) / np.where(rise > 1e-9, rise, 1), 0.0), 0, 1),
        float,
    )
