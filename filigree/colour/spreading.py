"""Spreading: several inlay colours over the openings so that neighbours differ."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from filigree.colour.reading import spread
from filigree.pattern import Pattern

NEAR = 2.0  # wanted bridges: openings this near each other are neighbours


def spread_colours(pattern: Pattern, colours: Sequence[str], *, wanted: float) -> Pattern:
    """Give the openings of a pattern these colours, neighbours different where they can be.

    Args:
        pattern: its openings' own colours are replaced.
        colours: names or `#rrggbb`.
        wanted: bridge width, mm; openings within twice of it are neighbours.
    """
    shapes = np.array([o.shape for o in pattern.openings], dtype=object)
    ids = np.array([o.id for o in pattern.openings])
    one, other = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=NEAR * wanted)
    pairs = np.c_[ids[one], ids[other]][one < other]
    given = spread(ids.tolist(), pairs, len(colours))
    openings = tuple(replace(o, inlay=colours[given[o.id]]) for o in pattern.openings)
    return replace(pattern, openings=openings)
