"""Vine: brush strokes that swell and taper, for the lamp in the last act. 120 x 220 mm."""

import math

import numpy as np
from shapely.geometry.base import BaseGeometry

from scripts.gallery.curves import spiral, spline
from scripts.gallery.face import painted
from scripts.gallery.shapes import Pairs, inset, leaf, rounded, stroke
from scripts.gallery.sheet import Sheet
from scripts.gallery.waves import foam

WIDTH, HEIGHT = 132.0, 232.0

STEM = (
    (62, 228),
    (66, 212),
    (90, 190),
    (97, 160),
    (84, 134),
    (52, 122),
    (35, 96),
    (46, 70),
    (78, 58),
    (97, 36),
    (88, 6),
)
# each: where it leaves the stem, its centre, radius, start in degrees, turns
CURLS = (
    (((97.5, 164), (94, 148)), (62, 164), 29, -48, -1.25),
    (((34.5, 100), (38, 84)), (69, 99), 29, -132, 1.25),
    (((66, 61), (80, 57)), (63, 38), 25, 60, -1.3),
)
# each: where, degrees from upright, length, width, bend
DABS = (
    ((70, 206), 78, 48, 15, 0.1),
    ((66, 212), -58, 40, 15, -0.25),
    ((92, 186), 60, 30, 13, 0.2),
    ((97, 166), 88, 24, 12, -0.1),
    ((94, 150), 55, 30, 13, 0.2),
    ((84, 134), 62, 38, 14, 0.1),
    ((66, 127), 22, 20, 11, 0.2),
    ((46, 118), -105, 36, 13, 0.1),
    ((36, 104), -80, 24, 12, 0.1),
    ((36, 92), -40, 28, 13, -0.2),
    ((44, 72), -62, 36, 14, -0.1),
    ((60, 63), -22, 16, 10, -0.1),
    ((84, 56), 85, 36, 14, 0.1),
    ((95, 44), 70, 26, 12, -0.1),
    ((44.5, 177), -112, 32, 12, 0.1),
    ((41, 152), -65, 32, 12, -0.1),
    ((50, 30), -74, 42, 12, -0.1),
    ((53, 46), -112, 37, 12, 0.1),
    ((93, 88), 66, 32, 13, 0.1),
    ((90, 104), 104, 34, 12, -0.1),
)


def dab(start: Pairs, turn: float, length: float, width: float, bend: float = 0.25) -> BaseGeometry:
    """A leaf in one stroke of the brush from a point, `turn` degrees clockwise from upright."""
    a = math.radians(turn)
    way, side = np.array([math.sin(a), -math.cos(a)]), np.array([math.cos(a), math.sin(a)])
    spine = [
        np.asarray(start) + way * length * s + side * length * bend * s * s
        for s in (0, 0.33, 0.66, 1)
    ]
    return leaf(spine, width, belly=0.55, ribs=-1, foot=4.6, tip=1.0).area


def sheet() -> Sheet:
    """The finished drawing."""
    form = rounded([(6, 6), (126, 6), (126, 226), (6, 226)], 12)
    strokes: list[BaseGeometry] = [form.difference(inset(form, 9, 4))]
    strokes.append(stroke(spline(STEM), [9, 7.6, 7, 6.6, 6.2, 6, 5.6]))
    for tail, centre, radius, start, turns in CURLS:
        curl = spiral(centre, radius, 8.5, start, turns)
        line = spline([*tail, *curl[:: len(curl) // 16]])
        strokes.append(stroke(line, [5.4, 6, 5.4, 4.6]))
        strokes.append(foam(line[-1], 4.6).area)
    strokes += [dab(*row) for row in DABS]
    drawn, paint = painted(form, [(s, True) for s in strokes])
    return Sheet(
        name="vine",
        title="Brush-stroke vine",
        says="Brush strokes, 120 x 220 mm: each stroke is a filled shape; black is leather.",
        width=WIDTH,
        height=HEIGHT,
        drawn=drawn,
        paint=tuple(paint),
    )
