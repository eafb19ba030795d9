"""Water lilies: flowers seen from the side, buds, floating pads."""

import math

import numpy as np

from scripts.gallery.curves import points, spline
from scripts.gallery.face import Motif
from scripts.gallery.shapes import Polygon, blob, leaf, placed


def petal(angle: float, length: float, width: float, bend: float) -> Motif:
    """A petal from zero, leaning `angle` degrees from upright, its tip bent by `bend`."""
    spine = [(0, 0), (bend * 0.15, -length * 0.4), (bend * 0.5, -length * 0.75), (bend, -length)]
    one = leaf(spine, width, belly=0.52, ribs=-1, foot=3.5, tip=0.9)
    ribs = tuple(
        spline(
            points(
                (s * 0.05 * width, -length * 0.3),
                (s * 0.16 * width + bend * 0.25, -length * 0.55),
                (s * 0.09 * width + bend * 0.6, -length * 0.78),
            )
        )
        for s in (-1, 1)
    )
    return placed(Motif(area=one.area, veins=ribs), turn=angle)


def flower(size: float = 1.0) -> list[Motif]:
    """An open flower on its own zero, about 80 wide and 40 high at size 1."""
    rows = [
        (0, 40, 15, 0),
        (-27, 40, 15, -2),
        (27, 40, 15, 2),
        (-54, 40, 15, -3),
        (54, 40, 15, 3),
        (-82, 38, 14, 6),
        (82, 38, 14, -6),
        (-40, 33, 14, -1),
        (40, 33, 14, 1),
        (-64, 31, 13, 4),
        (64, 31, 13, -4),
        (-15, 33, 14.5, -1),
        (15, 33, 14.5, 1),
        (-33, 25, 12, 3),
        (33, 25, 12, -3),
        (0, 27, 14, 0),
    ]
    cup = blob(
        [(0, -6.5), (4, -3.5), (6.5, 0), (4, 3.4), (0, 4.4), (-4, 3.4), (-6.5, 0), (-4, -3.5)]
    )
    return [placed(m, size=size) for m in (*[petal(*row) for row in rows], cup)]


def bud(size: float = 1.0) -> list[Motif]:
    """A closed bud on its own zero, about 34 high at size 1, with its two sepals."""
    rows = [(0, 35, 17, 0), (-17, 25, 10, 6), (17, 25, 10, -6), (0, 24, 9, 0)]
    cup = blob([(0, -5), (3.4, -2.8), (4.4, 1), (0, 4), (-4.4, 1), (-3.4, -2.8)])
    return [placed(m, size=size) for m in (*[petal(*row) for row in rows], cup)]


def pad(wide: float, high: float, notch: float | None) -> Motif:
    """A floating leaf seen aslant on its own zero, cut to its middle at `notch` degrees, if any."""
    t = np.linspace(0, 2 * math.pi, 25)[:-1]
    wave = 1 + 0.025 * np.sin(5 * t + 0.6)
    rim = blob(np.column_stack([wide / 2 * np.cos(t) * wave, high / 2 * np.sin(t) * wave])).area
    a = math.radians(notch or 0.0)
    far = [(wide * math.cos(a + s * 0.13), high * math.sin(a + s * 0.13)) for s in (-1, 1)]
    cut = Polygon([(0, 0), *far]).buffer(0.8)
    form = (
        rim
        if notch is None
        else rim.difference(cut).buffer(-1.6, quad_segs=16).buffer(1.6, quad_segs=16)
    )
    ribs = []
    for k in range(1, 10):
        b = a + 2 * math.pi * k / 10
        end = np.array([wide / 2 * math.cos(b), high / 2 * math.sin(b)])
        side = np.array([-end[1], end[0]]) * 0.05
        ribs.append(spline(points(end * 0.14, end * 0.5 + side, end * 0.86)))
    return Motif(area=form, veins=tuple(ribs))


def dragonfly(size: float = 1.0) -> list[Motif]:
    """A dragonfly on its own zero, head up, about 76 across and 62 long at size 1."""
    wings = [
        leaf(
            [(0, s), (f * 14, s - 5), (f * 27, s - 10 + 4 * low), (f * 39, s - 9 + 10 * low)],
            10.5,
            belly=0.62,
            ribs=0,
            foot=4.4,
            tip=3.6 if low else 2.0,
        )
        for low, s in ((1, 4), (0, -2))
        for f in (-1, 1)
    ]
    tail = leaf([(0, 0), (0, 14), (0.5, 28), (0, 46)], 5.6, belly=0.2, ribs=-1, foot=5, tip=4.4)
    chest = blob([(0, -9), (4, -5), (4.4, 1), (3, 7), (0, 9), (-3, 7), (-4.4, 1), (-4, -5)])
    head = blob(
        [
            (0, -14),
            (4.2, -12.5),
            (4.6, -9),
            (2.6, -6.5),
            (0, -6),
            (-2.6, -6.5),
            (-4.6, -9),
            (-4.2, -12.5),
        ]
    )
    return [placed(m, size=size) for m in (*wings, tail, chest, head)]
