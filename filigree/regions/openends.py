"""Open ends: pairs of free line ends that face each other across a gap too wide to be closed unasked."""

import numpy as np
import shapely

from filigree.geometry.types import XY
from filigree.regions.model import RegionMap

REACH = 8.0  # mm: ends farther apart than this are not meant to meet


def open_ends(regions: RegionMap) -> tuple[tuple[XY, float], ...]:
    """Give the middle and the width, mm, of each gap between two free ends, narrowest first."""
    return tuple(
        (((x1 + x2) / 2, (y1 + y2) / 2), float(np.hypot(x2 - x1, y2 - y1)))
        for (x1, y1), (x2, y2) in facing_ends(regions)
    )


def facing_ends(regions: RegionMap, *, longer: float = REACH) -> tuple[tuple[XY, XY], ...]:
    """Give both ends of each gap between two free ends, mm, narrowest first.

    Each end is paired with its nearest other end once; both ends of one line count, since a broken border
    is one line.

    Args:
        regions: the divided drawing.
        longer: lines no longer than this are left out, mm.
    """
    lines = [line for line in regions.loose.geoms if line.length > longer]
    if not lines:
        return ()
    ends = np.concatenate([np.asarray(line.coords)[[0, -1]] for line in lines])
    points = np.asarray(shapely.points(ends), dtype=object)
    pairs = shapely.STRtree(points).query(points, predicate="dwithin", distance=REACH)
    one, other = pairs[:, pairs[0] < pairs[1]]
    apart = np.hypot(*(ends[one] - ends[other]).T)
    found: list[tuple[XY, XY]] = []
    used: set[int] = set()
    for k in np.lexsort((other, one, apart)).tolist():
        a, b = int(one[k]), int(other[k])
        if apart[k] > 0 and not {a, b} & used:
            used |= {a, b}
            (x1, y1), (x2, y2) = ends[a].tolist(), ends[b].tolist()
            found.append(((x1, y1), (x2, y2)))
    return tuple(found)
