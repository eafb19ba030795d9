"""Stock: the oversize blank, its pin holes and the sheet that every ply of a piece shares."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Point, Polygon

from filigree.errors import FiligreeError
from filigree.geometry.offset import grown
from filigree.geometry.types import XY, FloatArray
from filigree.job import Job
from filigree.measure.pull import direction

BORDER = 2.0  # mm: free border of a sheet round everything on it
WALL = 1.0  # mm: least leather between a pin hole and an edge
SPOTS = 48  # places tried for pins round the margin
UNEVEN = 0.15  # share of the longest way across that the pins' distances should differ by


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stock:
    """What all plies of one piece have in common, mm, in the drawing's own coordinates.

    Attributes:
        blank: outline grown by the margin.
        pins: centres of the pin holes, shape `(k, 2)`.
        pin: their diameter.
        size: width and height of the sheet.
        offset: where the drawing's origin lies on the sheet.
    """

    blank: Polygon
    pins: FloatArray
    pin: float
    size: tuple[float, float]
    offset: XY


def stock_of(outline: Polygon, job: Job) -> Stock:
    """Work out blank, pins and sheet.

    Three pins stand at the corners of a triangle with three different sides, so that no ply fits on them
    turned or flipped, whatever its outline. A piece that is worn round something has its pins on the middle
    line across the wrap alone, since its plies differ in length to both sides of it; there a lug beside the
    line shows a ply that is turned or flipped.

    Raises:
        FiligreeError: the margin has no room for the pins, or is smaller than the stitch inset that was set.
    """
    margin, pin = job.pins.margin, job.pins.diameter
    if margin < pin + 2 * WALL:
        raise FiligreeError(
            f"a margin of {margin:g} mm has no room for pin holes of {pin:g} mm",
            remedy=f"make it at least {pin + 2 * WALL:g} mm, or the pins thinner",
            where="[pins] margin",
        )
    inset = job.stitch.inset if job.stitch is not None else None
    if inset is not None and margin < inset:
        raise FiligreeError(
            f"a margin of {margin:g} mm is smaller than the stitch inset of {inset:g} mm",
            remedy="widen the margin or move the stitch line toward the edge",
            where="[pins] margin",
        )
    filled = Polygon(outline.exterior)
    blank = Polygon(_one(grown(filled, margin)).exterior)
    if job.use.curve is None:
        pins = _triangle(Polygon(_one(grown(filled, margin / 2)).exterior), pin)
    else:
        along = direction(job.use.pull, filled)
        blank = _longer(blank, along, _difference(filled, along, job))
        pins = _middle_line(filled, along, margin / 2)
        blank = _with_lug(blank, along, margin)
    left, top, right, bottom = blank.bounds
    offset = (float(math.ceil(BORDER - left)), float(math.ceil(BORDER - top)))
    size = (
        float(math.ceil(right + offset[0] + BORDER)),
        float(math.ceil(bottom + offset[1] + BORDER)),
    )
    return Stock(blank=blank, pins=pins, pin=pin, size=size, offset=offset)


def _one(shape: shapely.Geometry) -> Polygon:
    """A grown polygon is one polygon."""
    if not isinstance(shape, Polygon):
        raise TypeError("an outline grown all round is one piece")
    return shape


def _triangle(ring: Polygon, pin: float) -> FloatArray:
    """Three spots on a ring, wide apart, whose distances all differ."""
    edge = ring.exterior
    ways = np.arange(SPOTS) / SPOTS * edge.length
    spots = shapely.get_coordinates(shapely.line_interpolate_point(edge, ways))
    i, j, k = _triples(SPOTS)
    sides = np.sort(
        np.column_stack([np.hypot(*(spots[a] - spots[b]).T) for a, b in ((i, j), (j, k), (k, i))]),
        axis=1,
    )
    uneven = np.diff(sides, axis=1).min(axis=1)
    longest = sides[:, 2].max()
    u, v = spots[j] - spots[i], spots[k] - spots[i]
    area = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    enough = max(UNEVEN * longest, 3 * pin)
    score = np.minimum(uneven / enough, 1.0) + area / area.max()
    best = int(np.argmax(np.round(score, 9)))
    return np.stack([spots[i[best]], spots[j[best]], spots[k[best]]])


def _triples(n: int) -> tuple["np.ndarray[tuple[int], np.dtype[np.intp]]", ...]:
    """Every i < j < k under n."""
    one, two, three = np.meshgrid(np.arange(n), np.arange(n), np.arange(n), indexing="ij")
    keep = (one < two) & (two < three)
    return one[keep], two[keep], three[keep]


def _difference(outline: Polygon, along: FloatArray, job: Job) -> float:
    """How much longer the outermost ply of a wrapped piece is than the innermost, mm (handbook 5).

    The face keeps the drawing's length; plies inside it lie on a smaller circle.
    """
    inner = (job.use.curve or 0.0) / 2
    plies = [job.backing, *([job.stiffener] if job.stiffener else []), job.inlay, job.face]
    thick = [ply.span.high for ply in plies]
    middle_of_face = inner + sum(thick[:-1]) + thick[-1] / 2
    middle_of_backing = inner + thick[0] / 2
    reach = shapely.get_coordinates(outline) @ along
    return float(np.ptp(reach)) * (middle_of_face - middle_of_backing) / middle_of_face


def _longer(blank: Polygon, along: FloatArray, by: float) -> Polygon:
    """Stretch a blank along the wrap by `by` mm, half at each end."""
    points = shapely.get_coordinates(blank)
    reach = points @ along
    low, high = reach.min(), reach.max()
    shift = ((reach - (low + high) / 2) / (high - low) * by)[:, None] * along
    return Polygon(points + shift)


def _middle_line(outline: Polygon, along: FloatArray, beyond: float) -> FloatArray:
    """Two spots on the middle line across the wrap, `beyond` mm outside the outline."""
    across = np.array([-along[1], along[0]])
    points = shapely.get_coordinates(outline)
    reach, rise = points @ along, points @ across
    middle = along * (reach.min() + reach.max()) / 2
    line = LineString([middle + across * (rise.min() - 1), middle + across * (rise.max() + 1)])
    ends = shapely.get_coordinates(outline.intersection(line)) @ across
    return np.stack(
        [middle + across * (ends.min() - beyond), middle + across * (ends.max() + beyond)]
    )


def _with_lug(blank: Polygon, along: FloatArray, margin: float) -> Polygon:
    """Add a round lug to one long edge, an eighth of the length off the middle line."""
    across = np.array([-along[1], along[0]])
    points = shapely.get_coordinates(blank)
    reach, rise = points @ along, points @ across
    off = along * ((reach.min() + reach.max()) / 2 + np.ptp(reach) / 8)
    line = LineString([off + across * (rise.min() - 1), off + across * (rise.max() + 1)])
    spots = shapely.get_coordinates(blank.intersection(line))
    spot = spots[int(np.argmax(spots @ across))]
    return Polygon(_one(blank.union(grown(Point(spot).buffer(0.01), margin))).exterior)
