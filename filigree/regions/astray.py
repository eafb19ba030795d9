"""Lines astray: ends that stop short of another line, and lines that run outside the outline and enclose nothing."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import XY
from filigree.regions.model import RegionMap
from filigree.regions.openends import REACH

TOUCHING = 1e-6  # mm: an end this near a line stands on it
BESIDE = 0.5  # mm: a line that keeps this near the outline is the outline drawn twice


def short_ends(regions: RegionMap) -> tuple[tuple[XY, float], ...]:
    """Give the middle and the width, mm, of each gap between a free end and the side of another line, narrowest first.

    Short lines are strokes of the pen that are not meant to enclose anything; they are left out.
    """
    loose = [line for line in regions.loose.geoms if line.length > REACH]
    if not loose:
        return ()
    sides = [r.shape.boundary for r in regions.regions]
    found: list[tuple[XY, float]] = []
    for own, line in enumerate(loose):
        others = [other for k, other in enumerate(loose) if k != own]
        for end in np.asarray(line.coords)[[0, -1]]:
            point = shapely.Point(end)
            gap = _nearest(point, sides) or _nearest(
                point, others
            )  # the edge of a field goes first
            if gap is not None and gap.length > TOUCHING:
                x, y = np.asarray(gap.coords).mean(axis=0).tolist()
                found.append(((x, y), float(gap.length)))
    once = {
        (round(x, 4), round(y, 4)): ((x, y), gap) for (x, y), gap in found
    }  # two ends of one gap
    return tuple(sorted(once.values(), key=lambda row: (row[1], row[0])))


def outside_lines(regions: RegionMap) -> tuple[tuple[XY, float], ...]:
    """Give a free end and the length outside, mm, of each line that runs outside the outline, longest first."""
    if regions.outline is None:
        return ()
    inside = shapely.union_all([regions.outline, *regions.outlines]).buffer(BESIDE)
    found = []
    for line in regions.loose.geoms:
        out = line.difference(inside)
        if out.length > REACH:
            x, y = min(line.coords[0], line.coords[-1])
            found.append(((float(x), float(y)), float(out.length)))
    return tuple(sorted(found, key=lambda row: (-row[1], row[0])))


def _nearest(point: shapely.Point, lines: Sequence[BaseGeometry]) -> LineString | None:
    """Shortest way from a point to the nearest of some lines within reach."""
    held = np.array(lines, dtype=object)
    near = held[shapely.dwithin(point, held, REACH)] if held.size else held
    if not near.size:
        return None
    ways = shapely.shortest_line(point, near)
    shortest: LineString = ways[int(np.argmin(shapely.length(ways)))]
    return shortest
