"""Ties: bridges across an opening that hold a loose part, tapered into the leather on both sides."""

import math
from collections.abc import Iterable

import numpy as np
import shapely
from shapely import LinearRing, LineString, MultiLineString, Point, Polygon

from filigree.geometry.necks import find_necks
from filigree.geometry.types import Area, FloatArray
from filigree.job import default
from filigree.measure.model import Island
from filigree.pattern import Opening, as_area

ALIKE = 1.001  # ties this near the shortest are as short: both are made, so that halves stay alike
LONGER = 1.3  # a tie may be longer than the shortest by this when it runs on from a vein
ALONG = math.radians(20)  # off a vein's direction
SECOND = 3.0  # a second tie may be longer than the first by this
SAME_TURN = 1e-4  # radians
FLARE = 0.6  # of the width: radius of the hollow where a tie joins the leather
ON = 1e-6  # mm: a way this near the part starts on it
ROOT = 0.25  # mm: a tie reaches this far into the leather


def ties(
    island: Island, opening: Opening, land: Area, *, width: float, veins: MultiLineString
) -> tuple[Polygon, ...]:
    """Tie a loose part across the opening round it.

    The shortest tie wins, or one a little longer that runs on from a vein; a part that would swing on a
    single tie gets a second one, as far round as can be.

    Args:
        island: the loose part.
        opening: the opening that surrounds it.
        land: all of the face.
        width: of each tie at its narrowest, mm.
        veins: drawn lines that end free, for direction.

    Returns:
        Leather to add, one area a tie; empty when the part cannot be reached across the opening.
    """
    ways = _crossings(island, opening)
    if not len(ways):
        return ()
    length = np.hypot(*(ways[:, 1] - ways[:, 0]).T)
    first = _first(ways, length, veins)
    chosen = [k for k in range(len(ways)) if length[k] <= length[first] * ALIKE]
    chosen = chosen if first in chosen else [first]
    if len(chosen) == 1 and _swings(island, ways[first], width):
        chosen += _second(island, ways, length, first)
    return tuple(shaped(ways[k], opening, land, width) for k in chosen)


def _crossings(island: Island, opening: Opening) -> FloatArray:
    """Shortest ways across the opening that start on the part and end on other leather, `(k, 2, 2)`.

    Ways more than `SECOND` times as long as the shortest are of no use, and are not looked for.
    """
    shell = Polygon(island.shape.exterior).exterior
    shapely.prepare(shell)
    rings = shapely.get_rings(opening.shape).tolist()
    others = [ring for ring in rings if not shell.buffer(ON).covers(ring)]
    apart = float(shapely.distance(others, shell).min()) if others else 0.0
    left, top, right, bottom = opening.shape.bounds
    most = math.hypot(right - left, bottom - top) + 1
    ways = _ways(shell, opening, min(SECOND * ALIKE * apart + ROOT, most))
    return ways if len(ways) else _ways(shell, opening, most)


def _ways(shell: LinearRing, opening: Opening, under: float) -> FloatArray:
    across = find_necks(opening.shape, under=under)
    starts = shapely.dwithin(shell, shapely.points(across.ends[:, 0]), ON)
    stops = shapely.dwithin(shell, shapely.points(across.ends[:, 1]), ON)
    ways = np.concatenate([across.ends[starts & ~stops], across.ends[stops & ~starts][:, ::-1]])
    length = np.hypot(*(ways[:, 1] - ways[:, 0]).T)
    return ways[np.lexsort((ways[:, 0, 0], ways[:, 0, 1], length))]


def _first(ways: FloatArray, length: FloatArray, veins: MultiLineString) -> int:
    shortest = int(np.argmin(length))
    if veins.is_empty:
        return shortest
    near = [k for k in range(len(ways)) if length[k] <= LONGER * length[shortest]]
    off = [_off_vein(ways[k], veins) for k in near]
    best = int(np.argmin(off))
    return near[best] if off[best] <= ALONG else shortest


def _off_vein(way: FloatArray, veins: MultiLineString) -> float:
    """Angle between a tie and the nearest end of a vein, radians; a quarter turn when none is near."""
    length = float(np.hypot(*(way[1] - way[0])))
    best = math.pi / 2
    for vein in veins.geoms:
        line = np.asarray(vein.coords)
        for end, inner in ((line[0], line[1]), (line[-1], line[-2])):
            if np.hypot(*(end - way[0])) > length:
                continue
            one, other = end - inner, way[1] - way[0]
            cosine = abs(float(one @ other)) / max(float(np.hypot(*one)) * length, 1e-12)
            best = min(best, math.acos(min(cosine, 1.0)))
    return best


def _swings(island: Island, way: FloatArray, width: float) -> bool:
    reach = shapely.hausdorff_distance(Point(way[0]), island.shape.exterior)
    return bool(reach > default("tongue") * width)  # farther out it is a hinge


def _second(island: Island, ways: FloatArray, length: FloatArray, first: int) -> list[int]:
    """Give the tie that stands farthest round the part from the first, two when both sides are alike."""
    middle = np.asarray(island.shape.centroid.coords[0])
    one = ways[first, 0] - middle
    apart: dict[int, float] = {}
    for k in range(len(ways)):
        if k != first and length[k] <= SECOND * length[first]:
            other = ways[k, 0] - middle
            turn = math.atan2(float(one[0] * other[1] - one[1] * other[0]), float(one @ other))
            apart[k] = abs(turn)
    most = max(apart.values(), default=0.0)
    if most <= math.pi / 3:
        return []
    return [k for k, turn in apart.items() if turn >= most - SAME_TURN]


def shaped(way: FloatArray, opening: Opening, land: Area, width: float) -> Polygon:
    """Give a strip of the wanted width with hollows where it joins, clipped to the opening.

    Args:
        way: from leather to leather across the opening, `(2, 2)`, mm.
        opening: what it crosses.
        land: all of the face.
        width: mm.
    """
    unit = (way[1] - way[0]) / max(float(np.hypot(*(way[1] - way[0]))), 1e-12)
    strip = LineString([way[0] - unit * ROOT, way[1] + unit * ROOT]).buffer(
        width / 2, cap_style="flat"
    )
    flare = FLARE * width
    near = strip.buffer(2 * flare)
    round_it = as_area(shapely.union(land.intersection(near.buffer(flare)), strip))
    filled = round_it.buffer(flare, quad_segs=24).buffer(-flare, quad_segs=24)
    added = filled.intersection(opening.shape).intersection(near)
    return _touching(shapely.get_parts(as_area(added)).tolist(), strip)


def _touching(found: Iterable[Polygon], strip: Polygon) -> Polygon:
    held = [p for p in found if p.intersection(strip).area > 0]
    joined = as_area(shapely.union_all(held))
    parts: list[Polygon] = shapely.get_parts(joined).tolist()
    return max(parts, key=lambda p: p.area)
