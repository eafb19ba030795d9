"""Order of cuts: inside before outside, small before large, neighbours after each other."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes

STEP = 4.0  # times the area: rings within one such step count as equally large


def cutting_order(rings: Sequence[Polygon] | Shapes) -> list[int]:
    """Order in which closed cuts are made so that parts stay held as long as they can (handbook 2.4, 2.6).

    What lies inside another ring is cut before it. Otherwise small rings go before large ones, and rings of
    about one size (area within a factor of 4) one after its nearest neighbour, from the top left.

    Args:
        rings: each cut as a ring, or as a filled polygon whose holes do not count; rings do not cross.

    Returns:
        Indices into `rings`, first cut first.
    """
    if not len(rings):
        return []
    shells = np.array(rings, dtype=object)
    some = shapely.get_type_id(shells) == shapely.GeometryType.POLYGON
    shells[some] = shapely.get_exterior_ring(shells[some])
    filled = np.asarray(shapely.polygons(shells), dtype=object)
    depth = _depths(filled)
    area = np.maximum(shapely.area(filled), 1e-9)
    size = np.array([math.floor(math.log(a, STEP)) for a in area.tolist()])
    boxes = shapely.bounds(filled)
    spots = (boxes[:, :2] + boxes[:, 2:]) / 2
    order: list[int] = []
    here = boxes[:, :2].min(axis=0)
    for level in np.unique(np.column_stack([-depth, size]), axis=0):
        group = np.flatnonzero((-depth == level[0]) & (size == level[1]))
        walk = _walk(spots[group], here)
        order += group[walk].tolist()
        here = spots[order[-1]]
    return order


def _depths(filled: Shapes) -> IntArray:
    """How many other rings each one lies in."""
    inner, outer = shapely.STRtree(filled).query(filled)
    area, boxes = shapely.area(filled), shapely.bounds(filled)
    larger: BoolArray = (area[inner] < area[outer]) | (
        (area[inner] == area[outer]) & (inner < outer)
    )
    larger &= (boxes[outer, :2] <= boxes[inner, :2]).all(axis=1)
    larger &= (boxes[outer, 2:] >= boxes[inner, 2:]).all(axis=1)
    inner, outer = inner[larger], outer[larger]
    shapely.prepare(filled[np.unique(outer)])
    held = shapely.covers(filled[outer], filled[inner])
    return np.bincount(inner[held], minlength=len(filled))


def _walk(spots: FloatArray, here: FloatArray) -> list[int]:
    """Visit each spot once, always the nearest one left; equal ways go to the lower index."""
    left, top = np.array(spots.T)
    x, y = here.tolist()
    walk: list[int] = []
    for _ in range(len(spots)):
        nearest = int(np.argmin((left - x) ** 2 + (top - y) ** 2))
        walk.append(nearest)
        x, y = left[nearest], top[nearest]
        left[nearest] = np.inf  # visited
    return walk
