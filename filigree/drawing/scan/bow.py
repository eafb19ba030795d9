"""Bow: the lens's radial term, from lines that are straight on the sheet.

What should be straight (the sheet's edges, the border of the drawing) is straight only for the right term
(plumb-line method, D. C. Brown 1971).
"""

from collections.abc import Sequence

import numpy as np

from filigree.drawing.scan.frame import straightened
from filigree.geometry.types import FloatArray

MOST = 0.2  # radial term at the picture's corner
LONG = 0.22  # of the picture's half diagonal, least length of a line that is asked
NEARLY = 0.06  # share of its length by which a line may leave its chord as seen
STRAIGHT = 0.0012  # share of its length by which a line may be off once the bow is gone
ROUNDS = 5
SAMPLES = 60


def find_bow(lines: Sequence[FloatArray], pixels: tuple[int, int]) -> float:
    """The radial term that makes the most lines straight; 0 when none can be asked.

    Args:
        lines: polylines that may be straight on the sheet, pixels.
        pixels: width and height of the picture.
    """
    radius = float(np.hypot(*pixels)) / 2
    asked = [_even(line) + 0.5 for line in lines if _nearly_straight(line, radius)]
    if not asked:
        return 0.0
    term, off = 0.0, [0.0]
    for _ in range(ROUNDS):
        term = _straightest(asked, pixels)
        off = [_off(straightened(line, pixels, term)) for line in asked]
        kept = [
            line
            for line, o in zip(asked, off, strict=True)
            if o < max(STRAIGHT, 1.5 * float(np.median(off)))
        ]
        if len(kept) == len(asked):
            break
        asked = kept
    good = [o for o in off if o < STRAIGHT]
    bare = [_off(line) for line in asked]
    if not good or np.mean(bare) < 1.05 * np.mean(good):
        return 0.0
    return term


def _nearly_straight(line: FloatArray, radius: float) -> bool:
    chord = line[-1] - line[0]
    size = float(np.hypot(*chord))
    if len(line) < 8 or size < LONG * radius:
        return False
    off = (line - line[0]) @ np.array([-chord[1], chord[0]]) / size
    return float(np.abs(off).max()) < NEARLY * size


def _even(line: FloatArray) -> FloatArray:
    walked = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
    at = np.linspace(0, walked[-1], SAMPLES)
    return np.column_stack([np.interp(at, walked, line[:, c]) for c in (0, 1)])


def _off(line: FloatArray) -> float:
    """Root mean square distance from the best line, as a share of the length."""
    spread = np.linalg.eigvalsh(np.cov(line.T))
    return float(np.sqrt(max(spread[0], 0.0)) / max(np.hypot(*(line[-1] - line[0])), 1e-9))


def _straightest(lines: Sequence[FloatArray], pixels: tuple[int, int]) -> float:
    """Term of least total deviation, by a coarse look and golden sections."""

    def cost(term: float) -> float:
        total = 0.0
        for line in lines:
            there = straightened(line, pixels, term)
            length = float(np.hypot(*(there[-1] - there[0])))
            total += length * min(_off(there) * length, 0.02 * length)
        return total

    grid = np.linspace(-MOST, MOST, 33)
    k = int(np.argmin([cost(v) for v in grid]))
    low, high = grid[max(0, k - 1)], grid[min(len(grid) - 1, k + 1)]
    golden = (np.sqrt(5) - 1) / 2
    a, b = high - golden * (high - low), low + golden * (high - low)
    fa, fb = cost(a), cost(b)
    for _ in range(36):
        if fa < fb:
            high, b, fb = b, a, fa
            a = high - golden * (high - low)
            fa = cost(a)
        else:
            low, a, fa = a, b, fb
            b = low + golden * (high - low)
            fb = cost(b)
    return float((low + high) / 2)


def sheet_edges(values: np.ndarray, corners: FloatArray, outwards: float) -> list[FloatArray]:
    """The sheet's edges against the table, one polyline a side where it is seen.

    Args:
        values: grey picture.
        corners: middles of the four marks in order round the sheet, pixels.
        outwards: how far beyond the marks the edge is looked for, pixels.
    """
    found = []
    middle = corners.mean(0)
    for k in range(4):
        a, b = corners[k], corners[(k + 1) % 4]
        along = (b - a) / np.hypot(*(b - a))
        across = np.array([-along[1], along[0]])
        if (middle - a) @ across > 0:
            across = -across
        starts = a + (b - a) * np.linspace(0.02, 0.98, SAMPLES)[:, None]
        points = _edge(values, starts, across, outwards)
        if points is not None:
            found.append(points)
    return found


def _edge(
    values: np.ndarray, starts: FloatArray, across: FloatArray, outwards: float
) -> FloatArray | None:
    """Where the paper ends along parallel rays; None when it is not seen on most of them."""
    from scipy.ndimage import gaussian_filter1d, map_coordinates

    d = np.arange(0, outwards, 0.5)
    grid = starts[:, None, :] + d[None, :, None] * across
    rows, columns = values.shape
    inside = (
        (grid[..., 0] > 1)
        & (grid[..., 1] > 1)
        & (grid[..., 0] < columns - 2)
        & (grid[..., 1] < rows - 2)
    )
    seen = map_coordinates(
        values.astype(np.float32), [grid[..., 1], grid[..., 0]], order=1, mode="nearest"
    )
    calm = gaussian_filter1d(seen, 3, axis=1)
    paper = np.percentile(calm[:, : max(4, len(d) // 3)], 80, axis=1)
    drop = calm[:, :-12] - calm[:, 12:]
    drop = np.where(inside[:, 12:], drop, 0)
    steep = drop.argmax(1)
    rows_at = np.arange(len(starts))
    good = drop[rows_at, steep] > 0.25 * paper
    if good.mean() < 0.6:
        return None
    points = []
    for i in np.flatnonzero(good):
        part = calm[i, steep[i] : steep[i] + 13]
        half = (part[0] + part[-1]) / 2
        j = int(np.argmax(part < half))
        step = (part[j - 1] - half) / max(part[j - 1] - part[j], 1e-6) if j else 0.0
        points.append(starts[i] + across * (d[steep[i]] + 0.5 * (j - 1 + step)))
    line = np.array(points)
    return without_strays(line, across)


def without_strays(line: FloatArray, across: FloatArray) -> FloatArray | None:
    """Points near the edge's own smooth course; None when there is none."""
    if len(line) < 20:
        return None
    s = np.linspace(-1, 1, len(line))
    off = line @ across
    keep = np.ones(len(line), bool)
    for _ in range(4):
        course = np.polynomial.Polynomial.fit(s[keep], off[keep], 3)
        miss = np.abs(off - course(s))
        keep = miss < max(0.7, 2.5 * float(np.median(miss)))
    return line[keep] if keep.mean() > 0.7 else None
