"""Words for places and figures, so that every check names them alike."""

import math

from filigree.measure import EDGE, Side

NOISE = 1e-6  # mm: a width this near a limit meets it


def mm_up(value: float, places: int = 1) -> str:
    """Print a wanted width so that what is printed meets the limit: rounded up.

    >>> mm_up(3.51), mm_up(3.6), mm_up(2.0000000001)
    ('3.6', '3.6', '2.0')
    """
    scale = 10**places
    return f"{math.ceil(value * scale - NOISE) / scale:.{places}f}"


def between(sides: tuple[Side, Side]) -> str:
    """Name a place between two sides.

    >>> between((3, 7)), between((7, "edge")), between((3, 3))
    ('between openings 3 and 7', 'between opening 7 and the edge', 'between two parts of opening 3')
    """
    one, two = sides
    if one == two == EDGE:
        return "between two parts of the edge"
    if EDGE in sides:
        return f"between opening {two if one == EDGE else one} and the edge"
    if one == two:
        return f"between two parts of opening {one}"
    low, high = sorted((int(one), int(two)))
    return f"between openings {low} and {high}"


def openings(ids: tuple[int, ...]) -> str:
    """Name openings.

    >>> openings((3,)), openings((3, 4, 9))
    ('opening 3', 'openings 3, 4 and 9')
    """
    if len(ids) == 1:
        return f"opening {ids[0]}"
    return f"openings {', '.join(map(str, ids[:-1]))} and {ids[-1]}"
