"""Links: breaks between straight runs bridged for the sake of cells, also where an end meets a stroke's.

Gaps are closed between free ends only. A break in a border that strokes of hatching run into has no free end: a
stroke's end lies on it. Cells would run out through it.
"""

import numpy as np
import shapely

from filigree.drawing.scan.runs import Runs
from filigree.geometry.types import BoolArray, FloatArray

WIDTH = 1.0  # mm beyond the widest gap, for the ends' own ink
POINTS_AT = np.cos(np.radians(30))  # of each end towards the other
READ = 1.2  # mm of run that an end's direction is read from
STUB = 2.0  # mm: shorter pieces at an end are remnants of its tracing
OWN = 0.12  # mm: lines nearer than this meet the end itself


def links_of(runs: Runs, strokes: BoolArray, gap: float) -> list[FloatArray]:
    """Straight links, mm, from ends of drawn lines that meet strokes alone to the end or line they point at.

    Args:
        runs: everything drawn.
        strokes: which of the runs may be strokes.
        gap: widest gap, mm.
    """
    shapes = np.array([shapely.linestrings(v) for v in runs.lines], object)
    run, side = np.nonzero(~runs.bent & (runs.onto < 0) & ~strokes[:, None])
    ends = np.array([runs.lines[k][-s] for k, s in zip(run, side, strict=True)]).reshape(-1, 2)
    met, by = shapely.STRtree(shapes).query(shapely.points(ends), predicate="dwithin", distance=OWN)
    drawn = ~strokes[by] & (by != run[met]) & (shapely.length(shapes[by]) > STUB)
    alone = np.bincount(met[drawn], minlength=len(run)) == 0
    run, side = run[alone], side[alone]
    if not len(run):
        return []
    length = shapely.length(shapes[run])
    back = np.minimum(READ, length)
    tip = _at(shapes[run], np.where(side == 0, 0.0, length))
    way = tip - _at(shapes[run], np.where(side == 0, back, length - back))
    way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    reach = gap + WIDTH
    points = np.empty(len(tip), object)
    points[:] = shapely.points(tip)
    first, second = shapely.STRtree(points).query(points, predicate="dwithin", distance=reach)
    off = tip[second] - tip[first]
    size = np.maximum(np.hypot(*off.T), 1e-9)
    ahead = (off * way[first]).sum(1) / size
    facing = -(off * way[second]).sum(1) / size
    good = (first < second) & (run[first] != run[second]) & (size > OWN)
    good &= (ahead > POINTS_AT) & (facing > POINTS_AT)
    out = [tip[[i, j]] for i, j in zip(first[good].tolist(), second[good].tolist(), strict=True)]
    begin = tip + OWN * way
    rays = np.empty(len(tip), object)
    rays[:] = shapely.linestrings(np.stack([begin, tip + reach * way], axis=1))
    ray, hit = shapely.STRtree(shapes).query(rays, predicate="intersects")
    other = hit != run[ray]
    ray, hit = ray[other], hit[other]
    bridge = shapely.shortest_line(points[ray], shapely.intersection(rays[ray], shapes[hit]))
    order = np.lexsort([shapely.length(bridge), ray])
    ray, bridge = ray[order], np.asarray(bridge, object)[order]
    once = np.flatnonzero(np.diff(ray, prepend=-1))
    return out + [shapely.get_coordinates(m) for m in bridge[once]]


def _at(shapes: np.ndarray, distance: FloatArray) -> FloatArray:
    return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(shapes, distance)))
