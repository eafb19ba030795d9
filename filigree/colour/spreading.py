"""Spreading: several inlay colours over the openings, by their neighbours or by what the drawing says."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
import shapely

from filigree.colour.palette import hex_of
from filigree.colour.reading import spread
from filigree.drawing.model import Mark
from filigree.errors import FiligreeError
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


def colours_by_marks(
    pattern: Pattern, marks: Sequence[Mark], *, by: Literal["group", "fill"], colours: Sequence[str]
) -> Pattern:
    """Give openings the colours that the drawing's marks say.

    Args:
        pattern: openings without a mark that says a colour keep their own.
        marks: of the drawing.
        by: "fill" takes the fill of the mark; "group" the name of its group where that is a colour, else the
            colours in the order in which groups occur.
        colours: for groups whose names are no colours.
    """
    wanted = [m for m in marks if m.says == "open" and (m.colour if by == "fill" else m.group)]
    names = list(dict.fromkeys(m.group for m in wanted if not _is_colour(m.group)))
    given = {name: colours[k % len(colours)] for k, name in enumerate(names)} if colours else {}
    openings = []
    for opening in pattern.openings:
        mark = next((m for m in wanted if opening.shape.intersects(m.shape)), None)
        if mark is None:
            openings.append(opening)
        elif by == "fill":
            openings.append(replace(opening, inlay=mark.colour))
        else:
            own = mark.group if _is_colour(mark.group) else given.get(mark.group, opening.inlay)
            openings.append(replace(opening, inlay=own))
    return replace(pattern, openings=tuple(openings))


def _is_colour(name: str) -> bool:
    try:
        hex_of(name)
    except FiligreeError:
        return False
    return True
