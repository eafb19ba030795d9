"""Belt: interlaced rushes, one section of the fool's belt. 320 x 46 mm."""

import math

import numpy as np

from scripts.gallery.curves import Points, even, points
from scripts.gallery.face import Motif, draw
from scripts.gallery.interlace_kit import Strand, interlaced
from scripts.gallery.shapes import inset, leaf, rounded, stem, stroke
from scripts.gallery.sheet import Sheet

LEFT, RIGHT, MIDDLE, WAVE = 6.0, 326.0, 29.0, 72.0
REACH = 14.4  # mm from the middle to a rush's crest


def rush(sign: float) -> Points:
    """Middle line of one of the two long rushes."""
    x = np.linspace(LEFT - 4, RIGHT + 4, 1400)
    return even(
        np.column_stack([x, MIDDLE + sign * REACH * np.sin(2 * math.pi * (x - 166) / WAVE)])
    )


def motifs() -> list[Motif]:
    """Heads of the rushes in the meshes, leaves in the bays, the two long rushes on top."""
    out: list[Motif] = []
    for k in range(-4, 4):
        x = 166 + WAVE / 2 * (k + 0.5)
        turn = 1 if k % 2 else -1
        if not LEFT + 20 < x < RIGHT - 20:
            continue
        out.append(
            stem(
                [
                    (x - 18, MIDDLE),
                    (x - 9, MIDDLE + 1.8 * turn),
                    (x + 9, MIDDLE - 1.8 * turn),
                    (x + 18, MIDDLE),
                ],
                [4.6, 4, 4, 4.6],
            )
        )
        out.append(
            Motif(
                area=stroke(
                    even(points((x - 5.5, MIDDLE + 1.1 * turn), (x + 5.5, MIDDLE - 1.1 * turn))),
                    [7.6, 8.4, 7.6],
                )
            )
        )
    for k in range(-4, 5):
        x = 166 + WAVE / 2 * k
        for s in (-1, 1):
            spine = [
                (x, MIDDLE + s * 2),
                (x, MIDDLE + s * 6),
                (x + 0.4 * s, MIDDLE + s * 9.5),
                (x + s, MIDDLE + s * 13),
            ]
            out.append(leaf(spine, 7.2, belly=0.5, foot=4.6, tip=1.2, ribs=0))
    out += interlaced(
        [Strand(line=rush(1), width=5.6, rib=True), Strand(line=rush(-1), width=5.6, rib=True)]
    )
    return out


def sheet() -> Sheet:
    """The finished drawing."""
    form = rounded([(LEFT, 6), (RIGHT, 6), (RIGHT, 52), (LEFT, 52)], 9)
    return Sheet(
        name="belt",
        title="Belt section with interlaced rushes",
        says="Line drawing, 320 x 46 mm: outline, border line, motifs, veins.",
        width=332,
        height=58,
        drawn=draw(form, inset(form, 7, 4), motifs()),
    )
