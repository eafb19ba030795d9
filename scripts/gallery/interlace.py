"""Interlace: a knot of one strand and a ring, the boss of a shield. 156 mm across."""

import math

import numpy as np
import shapely

from scripts.gallery.curves import Points, even
from scripts.gallery.face import Motif, draw
from scripts.gallery.interlace_kit import Strand, interlaced
from scripts.gallery.sheet import Sheet

MIDDLE, SIZE = 84.0, 168.0


def knot(laps: int, lobes: int, radius: float, swing: float, turn: float = 0.0) -> Points:
    """A closed strand that goes `laps` times round while it swings in and out `lobes` times."""
    t = np.linspace(0, 2 * math.pi, 2400)[:-1]
    a = laps * t + math.radians(turn)
    r = radius + swing * np.cos(lobes * t)
    line = np.column_stack([MIDDLE + r * np.cos(a), MIDDLE + r * np.sin(a)])
    return even(np.vstack([line, line[:1]]), closed=True)


def motifs() -> list[Motif]:
    """The knot and its ring."""
    long = Strand(line=knot(3, 8, 42.5, 25.2, -90), width=6.4, closed=True, rib=True)
    ring = Strand(line=knot(1, 1, 46.5, 0), width=5, closed=True)
    return interlaced([long, ring])


def sheet() -> Sheet:
    """The finished drawing."""
    disc = shapely.Point(MIDDLE, MIDDLE)
    form, border = (disc.buffer(r, quad_segs=96) for r in (78, 68.5))
    return Sheet(
        name="interlace",
        title="Shield boss with an endless knot",
        says="Line drawing, 156 mm across: outline, border line, one strand over and under itself.",
        width=SIZE,
        height=SIZE,
        drawn=draw(form, border, motifs()),
    )
