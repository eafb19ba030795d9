"""Order of cuts: inside before outside, small before large, neighbours after each other."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import BoolArray, FloatArray, IntArray

STEP = 4.0  # times the area: rings within one such step count as equally large


def cutting_order(rings: Sequence[Polygon]) -> list[int]:
    """Order in which closed cuts are made so that parts stay held as long as they can (handbook 2.4, 2.6).

    What lies inside another ring is cut before it. Otherwise small rings go before large ones, and rings of
    about one size (area within a factor of 4) one after its nearest neighbour, from the top left.

    Args:
        rings: each cut as a filled polygon; rings do not cross.

    Returns:
        Indices into `rings`, first cut first.
    """
    if not len(rings):
        return []
    filled = np.array([Polygon(r.exterior) for r in rings])
    depth = _depths(filled)
    size = np.array([math.floor(math.log(max(r.area, 1e-9), STEP)) for r in filled])
    spots = np.column_stack(
        [
            shapely.bounds(filled)[:, [0, 2]].mean(axis=1),
            shapely.bounds(filled)[:, [1, 3]].mean(axis=1),
        ]
    )
    order: list[int] = []
    here = shapely.bounds(filled)[:, :2].min(axis=0)
    for level in np.unique(np.column_stack([-depth, size]), axis=0):
        group = np.flatnonzero((-depth == level[0]) & (size == level[1]))
        walk = _walk(spots[group], here)
        order += group[walk].tolist()
        here = spots[order[-1]]
    return order


def _depths(filled: "np.ndarray[tuple[int], np.dtype[np.object_]]") -> IntArray:
    """How many other rings each one lies in."""
    inner, outer = shapely.STRtree(filled).query(filled, predicate="covered_by")
    area = shapely.area(filled)
    truly: BoolArray = (inner != outer) & (
        (area[inner] < area[outer]) | ((area[inner] == area[outer]) & (inner < outer))
    )
    return np.bincount(inner[truly], minlength=len(filled))


def _walk(spots: FloatArray, here: FloatArray) -> list[int]:
    """Visit each spot once, always the nearest one left; equal ways go to the lower index."""
    left = np.arange(len(spots))
    walk: list[int] = []
    while len(left):
        off = spots[left] - here
        nearest = int(np.argmin((off * off).sum(axis=1)))
        walk.append(int(left[nearest]))
        here = spots[left[nearest]]
        left = np.delete(left, nearest)
    return walk
