"""Stitch line: inset from the outline, whole stitches between corners, a hole at each corner (handbook 4)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import Point, Polygon

from filigree.errors import FiligreeError
from filigree.geometry.fit import CORNER
from filigree.geometry.offset import shrunk
from filigree.geometry.stretches import stretches
from filigree.geometry.types import FloatArray, IntArray
from filigree.job import Job, default, loss_of, stitch_inset
from filigree.measure import Fallen
from filigree.measure.ascut import as_cut
from filigree.pattern import Opening, Pattern

HOLE = default("stitch.hole")  # mm, diameter
TOUCH = 1e-6  # mm: a hole that just touches an opening is whole
SAGITTA = 0.05  # mm: bends flatter than this at a vertex are no corner


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """One stretch of stitching; `pitch` is the real one, mm."""

    length: float
    stitches: int
    holes: int
    pitch: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StitchLine:
    """The stitch line of a piece, mm.

    Attributes:
        lines: closed lines, each `(n, 2)`, the first point repeated.
        holes: centres of the holes, `(k, 2)`, in sewing order, line after line.
        corners: those of them that are corners, `(c, 2)`.
        seams: one a stretch from corner to corner, or a whole line without corners.
        inset: from the outline.
    """

    lines: tuple[FloatArray, ...]
    holes: FloatArray
    corners: FloatArray
    seams: tuple[Seam, ...]
    inset: float

    @property
    def stitches(self) -> int:
        """Number of stitches."""
        return sum(seam.stitches for seam in self.seams)

    @property
    def length(self) -> float:
        """Length of all lines, mm."""
        return sum(seam.length for seam in self.seams)


def seam(length: float, pitch: float, *, closed: bool) -> Seam:
    """Fit whole stitches into a length (handbook 4): an open seam has one hole more than stitches.

    >>> seam(215, 4, closed=True)
    Seam(length=215, stitches=54, holes=54, pitch=3.9814814814814814)

    Raises:
        ValueError: `length` or `pitch` is not above 0.
    """
    if not (length > 0 and pitch > 0):
        raise ValueError("length and pitch must be above 0")
    stitches = max(1, math.floor(length / pitch + 0.5))
    return Seam(
        length=length,
        stitches=stitches,
        holes=stitches if closed else stitches + 1,
        pitch=length / stitches,
    )


def thread_length(*, length: float, holes: int, stack: float, tails: float = 0.0) -> float:
    """Thread for saddle stitch: L = 2 N p + 2 (holes) T + tails, mm (handbook 4).

    Args:
        length: of the seam, N p.
        holes: number of holes.
        stack: thickness of all plies, T.
        tails: both ends together.
    """
    return 2 * length + 2 * holes * stack + tails


def stitch_line(outline: Polygon, job: Job) -> StitchLine:
    """Lay the stitch line inside an outline.

    Raises:
        FiligreeError: the outline is too narrow for the inset.
        ValueError: the job has no stitching.
    """
    if job.stitch is None:
        raise ValueError("this job has no [stitch]")
    inset = stitch_inset(job)
    inner = shrunk(Polygon(outline.exterior), inset)
    if inner.is_empty:
        raise FiligreeError(
            f"no room for a stitch line {inset:g} mm inside the outline",
            remedy="make the inset smaller",
            where="[stitch] inset",
        )
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(inner)))
    lines = [shapely.get_coordinates(ring) for ring in rings]
    return _fitted(lines, pitch=job.stitch.pitch, inset=inset)


def fallen(line: StitchLine, openings: Sequence[Opening], outline: Polygon) -> tuple[Fallen, ...]:
    """Find the openings that stitch holes fall into or break through to, in order of their ids.

    Args:
        line: the stitch line.
        openings: as they are cut; parts of one opening share its id.
        outline: the edge of the piece.
    """
    if not openings:
        return ()
    shapes = [o.shape for o in openings]
    spots = np.array([Point(spot) for spot in line.holes])
    which, into = _falling(line, openings)
    owner = np.array([openings[k].id for k in into.tolist()])
    found = []
    for own in np.unique(owner).tolist():
        here = np.flatnonzero(owner == own)
        parts = shapely.union_all([shapes[k] for k in np.unique(into[here]).tolist()])
        holes = np.unique(which[here])
        deep = shapely.distance(spots[holes], shapely.boundary(parts))
        deep = np.where(shapely.covers(parts, spots[holes]), deep, -deep)
        x, y = line.holes[holes[int(np.argmax(np.round(deep, 6)))]].tolist()
        room = float(shapely.distance(parts, outline.exterior))
        found.append(Fallen(opening=own, holes=len(holes), at=(x, y), room=room))
    return tuple(found)


def punched(line: StitchLine, openings: Sequence[Opening]) -> FloatArray:
    """Give the holes that have leather round them, `(k, 2)`; those that `fallen` counts are not punched."""
    which, _ = _falling(line, openings)
    return np.asarray(np.delete(line.holes, np.unique(which), axis=0))


def stitches_in_openings(pattern: Pattern, job: Job) -> tuple[Fallen, ...]:
    """Lay the stitch line of a piece and find the openings, as they are cut, that its holes fall into."""
    cut = as_cut(pattern, loss_of(job))
    return fallen(stitch_line(pattern.outline, job), cut.openings, pattern.outline)


def _falling(line: StitchLine, openings: Sequence[Opening]) -> tuple[IntArray, IntArray]:
    """Pair holes, by their place in the line, with the openings, by theirs, that they fall into or break through to."""
    tree = shapely.STRtree([o.shape for o in openings])
    which, into = tree.query(
        shapely.points(line.holes), predicate="dwithin", distance=HOLE / 2 - TOUCH
    )
    return which, into


def _fitted(lines: Sequence[FloatArray], *, pitch: float, inset: float) -> StitchLine:
    """Part lines at their corners and space holes evenly between."""
    lain = stretches(lines, [True] * len(lines), sagitta=SAGITTA, corner=math.radians(CORNER))
    holes: list[FloatArray] = []
    corners: list[FloatArray] = []
    seams: list[Seam] = []
    for first, last in zip(lain.first.tolist(), lain.last.tolist(), strict=True):
        points, corner = lain.points[first:last], lain.corners[first:last]
        at = np.flatnonzero(corner)
        points = np.roll(points, -at[0] if len(at) else 0, axis=0)
        corners += list(points[at - at[0]] if len(at) else [])
        ends = [*(at - at[0] if len(at) else [0]), len(points)]
        round_trip = np.vstack([points, points[:1]])
        for a, b in pairwise(ends):
            run = shapely.LineString(round_trip[a : b + 1])
            fit = seam(run.length, pitch, closed=not len(at))
            ways = np.arange(fit.stitches) * fit.pitch
            holes.append(shapely.get_coordinates(shapely.line_interpolate_point(run, ways)))
            seams.append(fit)
    return StitchLine(
        lines=tuple(lines),
        holes=np.concatenate(holes),
        corners=np.array(corners).reshape(-1, 2),
        seams=tuple(seams),
        inset=inset,
    )
