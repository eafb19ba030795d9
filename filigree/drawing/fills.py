"""Fills: the area that rings enclose under a fill rule."""

from collections.abc import Sequence
from typing import Literal

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, MultiPolygon, Polygon

from filigree.geometry.types import Area, BoolArray, FloatArray, IntArray

Rule = Literal["nonzero", "evenodd"]
Shapes = npt.NDArray[np.object_]
EMPTY = MultiPolygon()


def fill_area(rings: Sequence[FloatArray], rule: Rule) -> Area:
    """Area that closed rings fill (SVG 2, 13.4.2).

    Args:
        rings: points of each subpath, shape `(n, 2)`; closed here where they are not.
        rule: how often a place must be wound round to be filled.
    """
    shut = [ring for ring in map(_shut, rings) if ring is not None]
    if not shut:
        return EMPTY
    polygons: Shapes = np.array([Polygon(ring) for ring in shut], dtype=object)
    simple = shapely.is_valid(polygons)
    if len(shut) == 1 and simple[0]:
        only: Polygon = polygons[0]
        return only
    if simple.all():
        nested = _nested(polygons, shut, rule)
        if nested is not None:
            return nested
    return _woven(polygons, simple, shut, rule)


def only_areas(shape: shapely.Geometry) -> Area:
    """Keep the polygons of an overlay's result."""
    if isinstance(shape, Polygon | MultiPolygon):
        return shape
    parts = shapely.get_parts(shape, return_index=False)
    parts = shapely.get_parts(parts[shapely.get_dimensions(parts) == 2])
    return MultiPolygon(list(parts)) if len(parts) else EMPTY


def _shut(ring: FloatArray) -> FloatArray | None:
    if len(ring) < 3:
        return None
    if (ring[0] != ring[-1]).any():
        ring = np.concatenate([ring, ring[:1]])
    moved = np.append((ring[1:] != ring[:-1]).any(axis=1), True)
    ring = ring[moved]
    return ring if len(ring) >= 4 else None


def _turns(rings: Sequence[FloatArray]) -> IntArray:
    """+1 or -1 for the sense each ring is drawn in."""
    signs = [np.sign(np.sum(r[:-1, 0] * r[1:, 1] - r[1:, 0] * r[:-1, 1])) for r in rings]
    return np.array(signs, dtype=np.int64)


def _filled(winding: IntArray, rule: Rule) -> BoolArray:
    filled: BoolArray = winding != 0 if rule == "nonzero" else winding % 2 == 1
    return filled


def _nested(polygons: Shapes, rings: Sequence[FloatArray], rule: Rule) -> Area | None:
    """Area of rings that lie in or beside one another; None when some cross or touch along a line."""
    tree = shapely.STRtree(polygons)
    inner, outer = tree.query(polygons, predicate="intersects")
    other = inner != outer
    inner, outer = inner[other], outer[other]
    held = shapely.contains_properly(polygons[outer], polygons[inner])
    loose = ~held
    back = shapely.contains_properly(polygons[inner[loose]], polygons[outer[loose]])
    if not back.all():
        return None
    inner, outer = inner[held], outer[held]
    turns = _turns(rings)
    outside = np.zeros(len(rings), dtype=np.int64)
    np.add.at(outside, inner, turns[outer])
    depth = np.bincount(inner, minlength=len(rings))
    starts = _filled(outside + turns, rule) & ~_filled(outside, rule)
    ends = ~_filled(outside + turns, rule) & _filled(outside, rule)
    holes: dict[int, list[FloatArray]] = {int(i): [] for i in np.flatnonzero(starts)}
    order = np.lexsort((depth[outer], inner))
    pairs = zip(inner[order].tolist(), outer[order].tolist(), strict=True)
    parent = {i: j for i, j in pairs if starts[j]}  # the deepest filled ring round i comes last
    for i in np.flatnonzero(ends).tolist():
        holes[parent[i]].append(rings[i])
    parts = [Polygon(rings[i], holes[i]) for i in sorted(holes)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _woven(polygons: Shapes, simple: BoolArray, rings: Sequence[FloatArray], rule: Rule) -> Area:
    """Area of rings that cross: noded, and each face kept by how often it is wound round."""
    noded = shapely.union_all([LineString(ring) for ring in rings])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    if not len(faces):
        return EMPTY
    points = shapely.point_on_surface(faces)
    winding = np.zeros(len(faces), dtype=np.int64)
    whole = np.flatnonzero(simple)
    if len(whole):
        place, ring = shapely.STRtree(polygons[whole]).query(points, predicate="within")
        np.add.at(winding, place, _turns([rings[i] for i in whole.tolist()])[ring])
    xy = shapely.get_coordinates(points)
    for i in np.flatnonzero(~simple).tolist():
        winding += _windings(xy, rings[i])
    kept = faces[_filled(winding, rule)]
    if not len(kept):
        return EMPTY
    try:
        return only_areas(shapely.coverage_union_all(kept))
    except shapely.errors.GEOSException:  # faces that rounding lets overlap
        return only_areas(shapely.union_all(kept))


def _windings(points: FloatArray, ring: FloatArray) -> IntArray:
    """How often one ring winds round each point, by edges that cross the ray to the right."""
    total = np.zeros(len(points), dtype=np.int64)
    low, high = ring.min(axis=0), ring.max(axis=0)
    near = np.flatnonzero(((points >= low) & (points <= high)).all(axis=1))
    a, b = ring[:-1], ring[1:]
    for i in near.tolist():
        x, y = points[i]
        up = (a[:, 1] <= y) & (b[:, 1] > y)
        down = (a[:, 1] > y) & (b[:, 1] <= y)
        side = (b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (x - a[:, 0]) * (b[:, 1] - a[:, 1])
        total[i] = np.count_nonzero(up & (side > 0)) - np.count_nonzero(down & (side < 0))
    return total
