"""Limits: drawings of more lines or faces than memory holds are refused before they are noded."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.errors import FiligreeError
from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.chains import RUN, Chains, indices, runs

MOST_SEGMENTS = 1_000_000
MOST_FACES = 100_000

SAMPLE = 250  # segments whose crossings are counted
STRIDE = 7919  # a prime: steps through the segments of a piece
DOUBT = 2.0  # the estimate may be off by this; faces are counted exactly after noding


def refuse_too_many(lines: Chains, *, most_segments: int, most_faces: int, name: str) -> None:
    """Refuse lines of too many segments, or with so many crossings that there are too many faces.

    Lines with x crossings enclose at least x - (number of lines) faces (Euler).

    Raises:
        FiligreeError: naming the limit.
    """
    segments = len(lines.xy) - len(lines)
    if segments > most_segments:
        raise FiligreeError(
            f"{segments:,} line segments, the limit is {most_segments:,}",
            remedy="simplify the lines, or cut the drawing in parts",
            where=name,
        )
    # every pair may cross: only then can there be too many
    if segments * (segments - 1) / 2 - len(lines) <= DOUBT * most_faces:
        return
    faces = estimate_crossings(lines) - len(lines)
    if faces > DOUBT * most_faces:
        refuse_faces(int(float(f"{faces:.1g}")), most=most_faces, name=name, about="about ")


def refuse_faces(count: int, *, most: int, name: str, about: str = "") -> None:
    """Refuse more than `most` faces.

    Raises:
        FiligreeError: naming the limit.
    """
    if count > most:
        raise FiligreeError(
            f"the lines enclose {about}{count:,} faces, the limit is {most:,}",
            remedy="leave out hatching and shading lines, or cut the drawing in parts",
            where=name,
        )


def estimate_crossings(lines: Chains) -> float:
    """Estimate at how many places lines cross, from the crossings of a sample of segments.

    Half the chances go by number, half by extent, since long segments cross more; touches and shared
    ends do not count. Exact for a few segments.
    """
    pieces = _pieces(lines)
    if len(pieces.first) * RUN < SAMPLE:
        sample = indices(pieces.first, pieces.size)
        chance = np.ones(len(sample))
    else:
        sample, chance = _sample(pieces)
    return float((_count(lines, pieces, sample) / chance).sum() / 2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pieces:
    """Short runs of the lines: first vertex, number of segments, bounds."""

    first: IntArray
    size: IntArray
    low: FloatArray
    high: FloatArray


def _pieces(lines: Chains) -> _Pieces:
    first, size = runs(lines)
    end = lines.xy[first + size]
    low = np.minimum(np.minimum.reduceat(lines.xy, first), end)
    high = np.maximum(np.maximum.reduceat(lines.xy, first), end)
    return _Pieces(first=first, size=size, low=low, high=high)


def _sample(pieces: _Pieces) -> tuple[IntArray, FloatArray]:
    """Choose segments; give the expected number of times each is in the sample."""
    extent = np.hypot(*(pieces.high - pieces.low).T)
    share = 0.5 * pieces.size / pieces.size.sum() + 0.5 * extent / extent.sum()
    at = (np.arange(SAMPLE) + 0.5) / SAMPLE * share.sum()
    chosen = np.minimum(np.searchsorted(np.cumsum(share), at), len(share) - 1)
    within = np.arange(SAMPLE) * STRIDE % pieces.size[chosen]
    return pieces.first[chosen] + within, share[chosen] / pieces.size[chosen] * SAMPLE


def _count(lines: Chains, pieces: _Pieces, sample: IntArray) -> IntArray:
    """Count the crossings of each segment of the sample with all lines."""
    tree = shapely.STRtree(np.asarray(shapely.box(*pieces.low.T, *pieces.high.T)))
    a, b = lines.xy[sample], lines.xy[sample + 1]
    one, piece = tree.query(shapely.box(*np.minimum(a, b).T, *np.maximum(a, b).T))
    which = np.repeat(one, pieces.size[piece])
    other = indices(pieces.first[piece], pieces.size[piece])
    crossed = _cross(a[which], b[which], lines.xy[other], lines.xy[other + 1])
    return np.bincount(which[crossed], minlength=len(sample))


def _cross(a: FloatArray, b: FloatArray, p: FloatArray, q: FloatArray) -> BoolArray:
    return np.asarray((_side(a, b, p) * _side(a, b, q) < 0) & (_side(p, q, a) * _side(p, q, b) < 0))


def _side(a: FloatArray, b: FloatArray, p: FloatArray) -> FloatArray:
    step, off = b - a, p - a
    return np.sign(step[:, 0] * off[:, 1] - step[:, 1] * off[:, 0])
