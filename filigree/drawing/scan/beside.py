"""Beside: which straight strokes of a scan run beside each other, and how far apart."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray

APART = (0.3, 4.6)  # mm between neighbouring strokes of hatching
PARALLEL = np.cos(np.radians(14))
OVERLAP = 0.35  # share of the shorter stroke that lies beside the longer
RATIO = 4.0  # longer over shorter of two neighbours
STRAIGHT = 0.96  # chord over length
LENGTH = (0.8, 90.0)  # mm

Shapes = npt.NDArray[np.object_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lines:
    """Polylines, mm, with what their marks are read from.

    Attributes:
        shapes: the polylines.
        starts: first points, `(n, 2)`.
        ends: last points, `(n, 2)`.
        length: lengths along the line.
    """

    shapes: Shapes
    starts: FloatArray
    ends: FloatArray
    length: FloatArray

    @property
    def straight(self) -> BoolArray:
        """Lines that could be strokes of hatching by themselves."""
        chord = np.hypot(*(self.ends - self.starts).T)
        return np.asarray(
            (chord >= STRAIGHT * self.length)
            & (self.length >= LENGTH[0])
            & (self.length <= LENGTH[1])
        )

    @property
    def turn(self) -> FloatArray:
        """Direction of each chord, radians, 0 to pi."""
        way = self.ends - self.starts
        return np.asarray(np.arctan2(way[:, 1], way[:, 0]) % np.pi)


def lines_of(polylines: list[FloatArray]) -> Lines:
    """Gather polylines, mm."""
    shapes = np.empty(len(polylines), object)
    shapes[:] = [shapely.linestrings(line) for line in polylines]
    return Lines(
        shapes=shapes,
        starts=np.array([line[0] for line in polylines]).reshape(-1, 2),
        ends=np.array([line[-1] for line in polylines]).reshape(-1, 2),
        length=shapely.length(shapes),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pairs:
    """Lines beside each other: `first[k]` and `second[k]`, `across[k]` mm apart; each pair twice."""

    first: IntArray
    second: IntArray
    across: FloatArray


def beside(lines: Lines, among: IntArray) -> Pairs:
    """Which of the lines `among` run beside each other."""
    first, second = shapely.STRtree(lines.shapes[among]).query(
        lines.shapes[among], predicate="dwithin", distance=APART[1]
    )
    first, second = among[first], among[second]
    a, b = lines.starts[first], lines.ends[first]
    c, d = lines.starts[second], lines.ends[second]
    size = np.maximum(np.hypot(*(b - a).T), 1e-9)
    along = (b - a) / size[:, None]
    other = (d - c) / np.maximum(np.hypot(*(d - c).T), 1e-9)[:, None]
    at_c, at_d = ((c - a) * along).sum(1), ((d - a) * along).sum(1)
    low, high = np.maximum(np.minimum(at_c, at_d), 0), np.minimum(np.maximum(at_c, at_d), size)
    shorter = np.minimum(lines.length[first], lines.length[second])
    longer = np.maximum(lines.length[first], lines.length[second])
    middle = (low + high) / 2
    share = np.clip((middle - at_c) / np.where(np.abs(at_d - at_c) > 1e-9, at_d - at_c, 1), 0, 1)
    there = c + (d - c) * share[:, None]
    across = np.abs(along[:, 0] * (there - a)[:, 1] - along[:, 1] * (there - a)[:, 0])
    good = (np.abs((along * other).sum(1)) >= PARALLEL) & (first != second)
    good &= (across >= APART[0]) & (across <= APART[1]) & (high - low >= OVERLAP * shorter)
    good &= longer <= RATIO * shorter
    return Pairs(first=first[good], second=second[good], across=across[good])
