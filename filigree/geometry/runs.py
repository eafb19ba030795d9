"""Runs: short stretches of boundary with their cone of normals, to find those that face each other."""

import math
from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.rings import Rings
from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes

BEND = math.radians(45)  # a run turns no more than this after its start
WIDE = 1.5  # radians: half cones wider than this face everything


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """Stretches of neighbouring edges of one ring; row k of each belongs to run k.

    Attributes:
        first: first edge, `(k,)`.
        size: number of edges, `(k,)`.
        low, high: corners of the bounding box, `(k, 2)`.
        normal: middle of the cone of normals into the land, `(k, 2)`.
        half: half the cone's angle, radians, `(k,)`.
        bulging: vertices that bend into the land, in order, `(v,)`.
        owner: run of each of them, `(v,)`.
        lines: one line string a run.
    """

    first: IntArray
    size: IntArray
    low: FloatArray
    high: FloatArray
    normal: FloatArray
    half: FloatArray
    bulging: IntArray
    owner: IntArray
    lines: "np.ndarray[tuple[int], np.dtype[np.object_]]"

    def tree(self) -> shapely.STRtree:
        """Index of the runs as lines."""
        return shapely.STRtree(self.lines)

    def facing(self, under: float, among: IntArray | None = None) -> tuple[IntArray, IntArray]:
        """Pairs of runs nearer than `under` mm that may face each other, the lower first; of some runs, or all."""
        rows = np.arange(len(self.first)) if among is None else among
        low, high = self.low[rows], self.high[rows]
        normal, half = self.normal[rows], self.half[rows]
        tree = shapely.STRtree(diagonals(low, high))
        here, there = tree.query(diagonals(low - under, high + under))
        once = here < there
        here, there = here[once], there[once]
        middle, radius = (low + high) / 2, np.hypot(*(high - low).T) / 2
        apart = middle[there] - middle[here]
        span = np.hypot(apart[:, 0], apart[:, 1])
        blur = radius[here] + radius[there]
        close = span - blur < under
        here, there, apart, span, blur = (
            here[close],
            there[close],
            apart[close],
            span[close],
            blur[close],
        )
        face = faces(normal[here], half[here], apart, span, blur)
        face &= faces(normal[there], half[there], -apart, span, blur)
        order = np.lexsort((there[face], here[face]))
        return rows[here[face][order]], rows[there[face][order]]

    def vertices_toward(
        self, rings: Rings, here: IntArray, there: IntArray, under: float
    ) -> tuple[IntArray, IntArray]:
        """Bulging vertices of either run of a pair, each with the other run it may face."""
        run, other = np.concatenate([here, there]), np.concatenate([there, here])
        start = np.searchsorted(self.owner, run)
        many = np.searchsorted(self.owner, run, side="right") - start
        vertex = self.bulging[
            np.repeat(start - np.cumsum(many) + many, many) + np.arange(int(many.sum()))
        ]
        other = np.repeat(other, many)
        middle, radius = (self.low + self.high) / 2, np.hypot(*(self.high - self.low).T) / 2
        apart = middle[other] - rings.xy[vertex]
        span, blur = np.hypot(apart[:, 0], apart[:, 1]), radius[other]
        normal, half = cones(rings, vertex)
        keep = (span - blur < under) & faces(normal, half, apart, span, blur)
        return vertex[keep], other[keep]


def diagonals(low: FloatArray, high: FloatArray) -> Shapes:
    """Lines that have the given bounding boxes; made faster than boxes."""
    return np.asarray(shapely.linestrings(np.stack([low, high], axis=1)), dtype=object)


def faces(
    normal: FloatArray, half: FloatArray, apart: FloatArray, span: FloatArray, blur: FloatArray
) -> BoolArray:
    """True where a cone may hold a direction to a disc of radius `blur`, `apart` away."""
    sine = np.minimum(blur / np.maximum(span, 1e-300), 1.0)
    cosine = np.sqrt(1.0 - sine * sine)
    limit = np.cos(half) * cosine - np.sin(half) * sine
    toward = normal[:, 0] * apart[:, 0] + normal[:, 1] * apart[:, 1]
    open_wide = (half > WIDE) | (sine >= 1.0)
    met: BoolArray = open_wide | (toward >= limit * span - 1e-6)
    return met


def cones(rings: Rings, vertex: IntArray) -> tuple[FloatArray, FloatArray]:
    """Middle normal and half angle of the cones of vertices that bend into the land."""
    half = np.abs(rings.turn[vertex]) / 2
    came = rings.unit[rings.before[vertex]]
    tilt = rings.turn[vertex] / 2
    along = np.c_[
        came[:, 0] * np.cos(tilt) - came[:, 1] * np.sin(tilt),
        came[:, 0] * np.sin(tilt) + came[:, 1] * np.cos(tilt),
    ]
    return np.c_[-along[:, 1], along[:, 0]], half


def runs_of(rings: Rings, *, longest: float) -> Runs:
    """Cut the rings into runs no longer than `longest` mm (single edges may be) and bent less than `BEND`."""
    effort = rings.length / longest + np.abs(rings.turn) / BEND
    total = np.cumsum(effort)
    before = np.concatenate([[0.0], total[:-1]])[rings.first]
    level = np.floor(total - before[rings.ring] - 1e-9)
    new = np.ones(len(level), dtype=bool)
    new[1:] = (level[1:] != level[:-1]) | (rings.ring[1:] != rings.ring[:-1])
    first = np.flatnonzero(new)
    size = np.diff(np.append(first, len(level)))
    ends = rings.xy + rings.unit * rings.length[:, None]
    bounds = (
        np.minimum.reduceat(np.minimum(rings.xy, ends), first),
        np.maximum.reduceat(np.maximum(rings.xy, ends), first),
    )
    normal, half = _cone(rings, first, size)
    bulging = np.flatnonzero(rings.bulging)
    spot = np.arange(len(first))
    coords = np.empty((len(level) + len(first), 2))
    coords[np.arange(len(level)) + np.repeat(spot, size)] = rings.xy
    coords[np.cumsum(size) + spot] = ends[first + size - 1]
    lines = shapely.linestrings(coords, indices=np.repeat(spot, size + 1))
    return Runs(
        first=first,
        size=size,
        low=bounds[0],
        high=bounds[1],
        normal=normal,
        half=half,
        bulging=bulging,
        owner=np.searchsorted(first, bulging, side="right") - 1,
        lines=np.asarray(lines, dtype=object),
    )


def _cone(rings: Rings, first: IntArray, size: IntArray) -> tuple[FloatArray, FloatArray]:
    """Middle normal and half angle of each run, the cone of its first vertex included."""
    lean = np.cumsum(rings.turn)
    start = np.repeat(lean[first], size)
    entry = np.minimum(
        rings.turn[first], 0.0
    )  # the cone at the start reaches back to the edge before
    low = np.minimum(np.minimum.reduceat(lean - start, first), 0.0)
    high = np.maximum(np.maximum.reduceat(lean - start, first), -entry)
    angle = np.arctan2(rings.unit[first, 1], rings.unit[first, 0]) + math.pi / 2 + (low + high) / 2
    return np.c_[np.cos(angle), np.sin(angle)], (high - low) / 2 + 1e-6
