"""Limits: drawings of more lines or faces than memory holds are refused before they are noded."""

import numpy as np
import shapely

from filigree.errors import FiligreeError
from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.chains import RUN, Chains, indices
from filigree.regions.runs import Runs, runs_of

MOST_SEGMENTS = 1_000_000
MOST_FACES = 100_000

SAMPLE = 250  # segments whose crossings are counted
STRIDE = 7919  # a prime: steps through the segments of a piece
DOUBT = 2.0  # the estimate may be off by this; faces are counted exactly after noding


def refuse_segments(lines: Chains, *, most: int, name: str) -> None:
    """Refuse lines of more than `most` segments.

    Raises:
        FiligreeError: naming the limit.
    """
    segments = len(lines.xy) - len(lines)
    if segments > most:
        raise FiligreeError(
            f"{segments:,} line segments, the limit is {most:,}",
            remedy="simplify the lines, or cut the drawing in parts",
            where=name,
        )


def refuse_crossings(lines: Chains, part: Runs, *, most_faces: int, name: str) -> None:
    """Refuse lines with so many crossings that there are too many faces.

    Lines with x crossings enclose at least x - (number of lines) faces (Euler).

    Raises:
        FiligreeError: naming the limit.
    """
    if part.pairs is not None:
        one, other = part.pairs  # segments that do not lie in such a pair do not cross
        if (part.size[one] * part.size[other]).sum() <= DOUBT * most_faces + len(lines):
            return
    faces = estimate_crossings(lines, part) - len(lines)
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


def estimate_crossings(lines: Chains, part: Runs | None = None) -> float:
    """Estimate at how many places lines cross, from the crossings of a sample of segments.

    Half the chances go by number, half by extent, since long segments cross more; touches and shared
    ends do not count. Exact for a few segments.
    """
    part = part or runs_of(lines)
    if len(part) * RUN < SAMPLE:
        sample = indices(part.first, part.size)
        chance = np.ones(len(sample))
    else:
        sample, chance = _sample(part)
    return float((_count(lines, part, sample) / chance).sum() / 2)


def _sample(part: Runs) -> tuple[IntArray, FloatArray]:
    """Choose segments; give the expected number of times each is in the sample."""
    extent = np.hypot(*(part.high - part.low).T)
    share = 0.5 * part.size / part.size.sum() + 0.5 * extent / extent.sum()
    at = (np.arange(SAMPLE) + 0.5) / SAMPLE * share.sum()
    chosen = np.minimum(np.searchsorted(np.cumsum(share), at), len(share) - 1)
    within = np.arange(SAMPLE) * STRIDE % part.size[chosen]
    return part.first[chosen] + within, share[chosen] / part.size[chosen] * SAMPLE


def _count(lines: Chains, part: Runs, sample: IntArray) -> IntArray:
    """Count the crossings of each segment of the sample with all lines."""
    a, b = lines.xy[sample], lines.xy[sample + 1]
    one, piece = part.tree.query(shapely.box(*np.minimum(a, b).T, *np.maximum(a, b).T))
    which = np.repeat(one, part.size[piece])
    other = indices(part.first[piece], part.size[piece])
    crossed = _cross(a[which], b[which], lines.xy[other], lines.xy[other + 1])
    return np.bincount(which[crossed], minlength=len(sample))


def _cross(a: FloatArray, b: FloatArray, p: FloatArray, q: FloatArray) -> BoolArray:
    return np.asarray((_side(a, b, p) * _side(a, b, q) < 0) & (_side(p, q, a) * _side(p, q, b) < 0))


def _side(a: FloatArray, b: FloatArray, p: FloatArray) -> FloatArray:
    step, off = b - a, p - a
    return np.sign(step[:, 0] * off[:, 1] - step[:, 1] * off[:, 0])
