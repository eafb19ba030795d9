"""Adrift: a choice that leaves nothing but islands cuts the piece away, so the islands are the openings.

In a drawing without a rim the outermost field may be meant either way: as ground round one motif that runs
out to the edge, or as the plate itself, pierced by many small shapes. Where no leather is left along the edge and what
is left falls into many small parts, only the second can be made.
"""

import numpy as np

from filigree.geometry.groups import connected
from filigree.geometry.types import BoolArray
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
    held = seen.pairs[~chosen[seen.pairs].any(axis=1)]
    part = connected(len(chosen), held[:, 0], held[:, 1])
    area = np.bincount(part[~chosen], seen.area[~chosen])
    area = area[area > 0]
    if len(area) < PARTS or area.max() > LARGEST * area.sum():
        return none
    return np.asarray(chosen & (seen.edge > 0))
