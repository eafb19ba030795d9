"""Centre lines: pixel chains moved to the middle of the ink, to a small part of a pixel.

The darkness is read across the line at every pixel of a chain; its centroid between the stroke's two
edges is the middle. Edges lie where the darkness falls to half; beyond them only what keeps falling
counts, so that a neighbouring stroke does not pull.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from filigree.drawing.scan.light import Grey32
from filigree.drawing.scan.skeleton import Chains
from filigree.geometry.types import FloatArray

STEP = 0.5  # pixels between samples across
ROWS = 100_000  # profiles worked at a time
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
    spans = list(zip(chains.starts[:-1], chains.starts[1:], strict=True))
    closed = [bool(n[0] < 0) for n in chains.nodes]
    base = chains.points.copy()
    for (a, b), loop in zip(spans, closed, strict=True):
        base[a:b] = even(chains.points[a:b], 3, closed=loop, order=0)
        if not loop:
            base[a], base[b - 1] = chains.points[a], chains.points[b - 1]
    normal = np.empty_like(base)
    for (a, b), loop in zip(spans, closed, strict=True):
        normal[a:b] = normals(base[a:b], closed=loop)
    shift, width = _across(base, normal, calm, reach)
    strands = []
    for k, ((a, b), loop) in enumerate(zip(spans, closed, strict=True)):
        moved = base[a:b] + shift[a:b, None] * normal[a:b]
        nodes = (int(chains.nodes[k, 0]), int(chains.nodes[k, 1]))
        strands.append(Strand(points=moved, width=width[a:b], nodes=nodes, closed=loop))
    return strands


def normals(points: FloatArray, *, closed: bool) -> FloatArray:
    """Unit normals of a polyline, `(n, 2)`."""
    if len(points) < 2:
        return np.tile([1.0, 0.0], (len(points), 1))
    if closed:
        ahead = np.roll(points, -2, 0) - np.roll(points, 2, 0)
    else:
        wide = np.vstack([points[:1], points[:1], points, points[-1:], points[-1:]])
        ahead = wide[4:] - wide[:-4]
    size = np.hypot(ahead[:, 0], ahead[:, 1])
    ahead = ahead / np.where(size > 1e-9, size, 1)[:, None]
    return np.column_stack([-ahead[:, 1], ahead[:, 0]])


def even(points: FloatArray, half: float, *, closed: bool, order: int) -> FloatArray:
    """Even out a polyline by a local fit of the given order over `half` points to each side.

    Open ends are continued by point reflection, so that they stay where they are.
    """
    n = len(points)
    half = int(min(round(half), (n - 1) // 2))
    if half < 1 or n < 4:
        return points
    weights = _kernel(half, order)
    if closed:
        padded = np.vstack([points[-half:], points, points[:half]])
    else:
        head = 2 * points[0] - points[half:0:-1]
        tail = 2 * points[-1] - points[-2 : -half - 2 : -1]
        padded = np.vstack([head, points, tail])
    return np.column_stack([np.convolve(padded[:, c], weights, "valid") for c in (0, 1)])


@cache
def _kernel(half: int, order: int) -> FloatArray:
    """Weights of a local polynomial fit under a bell of weights, at its middle."""
    at = np.arange(-half, half + 1) / (half + 1)
    bell = (1 - at * at) ** 2
    terms = np.vander(at, order + 1, increasing=True)
    solved = np.linalg.solve((terms * bell[:, None]).T @ terms, (terms * bell[:, None]).T)
    return np.asarray(solved[0])


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
        x = base[part, :1] + at * normal[part, :1]
        y = base[part, 1:] + at * normal[part, 1:]
        seen = map_coordinates(
            calm, [y.astype(np.float32), x.astype(np.float32)], order=1, mode="nearest"
        )
        seen = uniform_filter1d(seen, ALONG, axis=0, mode="nearest")
        shift[part], width[part] = _middle(
            np.asarray(seen, np.float32), np.asarray(at, np.float64), side
        )
    return shift, width


def _middle(seen: Grey32, at: FloatArray, side: int) -> tuple[FloatArray, FloatArray]:
    """Middle and width of the stroke in each row of `seen`."""
    core = max(1, side // 4)
    peak = seen[:, side - core : side + core + 1].max(1)
    start = side - core + seen[:, side - core : side + core + 1].argmax(1)
    rows = np.arange(len(seen))
    half = 0.5 * peak
    below = seen < half[:, None]
    index = np.arange(seen.shape[1])
    right = np.where(below & (index > start[:, None]), index, seen.shape[1]).min(1)
    left = np.where(below & (index < start[:, None]), index, -1).max(1)
    found = (right < seen.shape[1]) & (left >= 0)
    r1, l1 = np.minimum(right, seen.shape[1] - 1), np.maximum(left, 0)
    edge_r = at[r1] - STEP * _part(seen[rows, r1], seen[rows, r1 - 1], half)
    edge_l = at[l1] + STEP * _part(seen[rows, l1], seen[rows, l1 + 1], half)
    # beyond the edges only what keeps falling counts
    inside = (index >= l1[:, None]) & (index <= r1[:, None])
    skirt = round(SKIRT / STEP)
    near = (index >= l1[:, None] - skirt) & (index <= r1[:, None] + skirt)
    falling_r = np.minimum.accumulate(np.where(index >= r1[:, None], seen, np.inf), axis=1)
    falling_l = np.minimum.accumulate(
        np.where(index <= l1[:, None], seen, np.inf)[:, ::-1], axis=1
    )[:, ::-1]
    weight = np.where(inside, seen, np.minimum(falling_r, falling_l))
    weight = np.where(near, np.clip(weight - BASE * peak[:, None], 0, None), 0)
    total = weight.sum(1)
    middle = np.where(total > 0, (weight * at).sum(1) / np.where(total > 0, total, 1), 0.0)
    return np.where(found, middle, 0.0), np.where(found, edge_r - edge_l, np.inf)


def _part(outer: Grey32, inner: Grey32, half: Grey32) -> FloatArray:
    """How far from the outer sample towards the inner one the level `half` lies, 0 to 1."""
    rise = inner - outer
    return np.asarray(
        np.clip(np.where(rise > 1e-9, (half - outer) / np.where(rise > 1e-9, rise, 1), 0.0), 0, 1),
        float,
    )
