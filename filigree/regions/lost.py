"""Lost: lines that end free inside an opening, so that they and what they bound are cut away with it."""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from filigree.geometry.groups import connected
from filigree.geometry.types import XY, FloatArray, IntArray, Shapes
from filigree.regions.model import RegionMap
from filigree.regions.openends import REACH

LEAST = 3.0  # mm: shorter lines are marks of the pen
MOSTLY = 0.9  # of its length in one opening
TOUCHING = 1e-6  # mm: an end this near a line stands on it


@dataclass(frozen=True, slots=True, kw_only=True)
class LostLine:
    """A line, or several that hang together, in an opening.

    Attributes:
        opening: id of the region it lies in.
        length: of all its parts, mm.
        at: middle of the narrowest gap at its free ends, else a free end, mm.
        gap: width of that gap, mm; None when no line is within reach.
    """

    opening: int
    length: float
    at: XY
    gap: float | None


def lost_lines(regions: RegionMap, openings: Collection[int]) -> tuple[LostLine, ...]:
    """Find the lines that are cut away with an opening though they enclose nothing, longest first; one for each gap."""
    loose: Shapes = np.array(
        [line for line in regions.loose.geoms if line.length > 0], dtype=object
    )
    opened = [r for r in regions.regions if r.id in openings]
    if not loose.size or not opened:
        return ()
    shapes: Shapes = np.array([r.shape for r in opened], dtype=object)
    group = connected(len(loose), *shapely.STRtree(loose).query(loose, predicate="intersects"))
    held = shapely.STRtree(shapes).query(loose, predicate="intersects")
    within = shapely.length(shapely.intersection(loose[held[0]], shapes[held[1]]))
    found = []
    for k in range(int(group.max()) + 1):
        own = np.flatnonzero(group == k)
        whole = float(shapely.length(loose[own]).sum())
        mine = group[held[0]] == k
        inside = np.bincount(held[1][mine], within[mine], minlength=len(opened))
        best = int(inside.argmax())
        if whole > LEAST and inside[best] > MOSTLY * whole:
            at, gap = _narrowest(loose, own, opened[best].shape.boundary)
            found.append(LostLine(opening=opened[best].id, length=whole, at=at, gap=gap))
    once = {line.at: line for line in sorted(found, key=lambda line: (line.length, line.at))}
    return tuple(sorted(once.values(), key=lambda line: (-line.length, line.at)))


def _narrowest(loose: Shapes, own: IntArray, wall: BaseGeometry) -> tuple[XY, float | None]:
    """Middle and width of the narrowest gap between a free end and a wall, another line or another free end."""
    free = _free_ends(loose[own], wall)
    if not len(free):  # it closes on itself without enclosing: a point will do
        x, y = loose[own[0]].coords[0]
        return (float(x), float(y)), None
    others = np.delete(loose, own)
    ways = []
    ends: Shapes = np.asarray(shapely.points(free), dtype=object)
    for k, end in enumerate(ends):
        goals = [wall, *others, *np.delete(ends, k)]
        near = [goal for goal in goals if shapely.dwithin(end, goal, REACH)]
        ways += [shapely.shortest_line(end, goal) for goal in near]
    if not ways:
        x, y = min(map(tuple, free.tolist()))
        return (x, y), None
    way = min(ways, key=lambda line: (line.length, line.coords[0]))
    x, y = np.asarray(way.coords).mean(axis=0).tolist()
    return (x, y), float(way.length)


def _free_ends(lines: Shapes, wall: BaseGeometry) -> FloatArray:
    """Ends, `(n, 2)`, at which only one line ends and that stand on no wall."""
    ends = np.concatenate([shapely.get_coordinates(line)[[0, -1]] for line in lines])
    _, back, times = np.unique(np.round(ends, 6), axis=0, return_inverse=True, return_counts=True)
    alone = times[back.ravel()] == 1
    alone &= shapely.distance(shapely.points(ends), wall) > TOUCHING
    return np.asarray(ends[alone], dtype=np.float64)
