"""Open ends: pairs of free line ends that face each other across a gap too wide to be closed unasked."""

import numpy as np
import shapely

from filigree.geometry.types import XY
from filigree.regions.model import RegionMap

REACH = 8.0  # mm: ends farther apart than this are not meant to meet


def open_ends(regions: RegionMap) -> tuple[tuple[XY, float], ...]:
    """Give the middle and the width, mm, of each gap between two free ends, narrowest first.

    Each end is paired with its nearest other end once; both ends of one line count, since a broken border
    is one line.
    """
    lines = [line for line in regions.loose.geoms if line.length > REACH]
    if not lines:
        return ()
    ends = np.concatenate([np.asarray(line.coords)[[0, -1]] for line in lines])
    points = np.asarray(shapely.points(ends), dtype=object)
    pairs = shapely.STRtree(points).query(points, predicate="dwithin", distance=REACH)
    one, other = pairs[:, pairs[0] < pairs[1]]
    apart = np.hypot(*(ends[one] - ends[other]).T)
    found: list[tuple[XY, float]] = []
    used: set[int] = set()
    for k in np.lexsort((other, one, apart)).tolist():
        a, b = int(one[k]), int(other[k])
        if apart[k] > 0 and not {a, b} & used:
            used |= {a, b}
            x, y = ((ends[a] + ends[b]) / 2).tolist()
            found.append(((x, y), float(apart[k])))
    return tuple(found)
