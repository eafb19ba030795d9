"""Adrift: a choice that leaves nothing but islands cuts the piece away, so the islands are the openings.

In a drawing without a rim the outermost field may be meant either way: as ground round one motif that runs
out to the edge, or as the plate itself, pierced by many small shapes. Where no leather is left along the edge and what
is left falls into many small parts, only the second can be made.
"""

import numpy as np

from filigree.geometry.types import BoolArray, IntArray
from filigree.regions.background.look import Look

EDGE_LEFT = 0.05  # share of the piece's edge: less leather than this along it holds nothing
PARTS = 6  # loose parts of leather, and
LARGEST = 0.15  # of all leather in the largest of them: a motif and its crumbs have more


def cuts_away(chosen: BoolArray, seen: Look) -> BoolArray:
    """Rows along the edge that are open while nothing but islands is left; none in all other cases.

    Args:
        chosen: True for background, `(n,)`.
        seen: edge, neighbours, areas; a drawing with a rim holds whatever hangs on it.
    """
    none = np.zeros(len(chosen), dtype=bool)
    edge = seen.edge.sum()
    if len(seen.border.rim) or edge <= 0 or seen.edge[~chosen].sum() >= EDGE_LEFT * edge:
        return none
    part = _parts(seen.pairs, chosen)
    area = np.bincount(part[~chosen], seen.area[~chosen])
    area = area[area > 0]
    if len(area) < PARTS or area.max() > LARGEST * area.sum():
        return none
    return np.asarray(chosen & (seen.edge > 0))


def _parts(pairs: IntArray, chosen: BoolArray) -> IntArray:
    """Number the rows that hang together once the chosen are cut out, `(n,)`: the lowest row of each part."""
    part = np.arange(len(chosen))
    a, b = pairs[~chosen[pairs].any(axis=1)].T if len(pairs) else np.empty((2, 0), dtype=np.int64)
    while True:
        low = part.copy()
        np.minimum.at(low, a, part[b])
        np.minimum.at(low, b, part[a])
        low = low[low]
        if (low == part).all():
            return part
        part = low
