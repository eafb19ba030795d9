"""Satchel: the flap of the herbalist's bag, water lilies. 260 x 190 mm."""

from shapely.geometry import Polygon

from scripts.gallery.face import Motif, draw
from scripts.gallery.lilies import bud, dragonfly, flower, pad
from scripts.gallery.shapes import framed, inset, leaf, mirrored, placed, stem
from scripts.gallery.sheet import Sheet

WIDTH, HEIGHT, MIDDLE = 272.0, 202.0, 136.0


def outline() -> Polygon:
    """Straight at the fold, full at the sides, round below."""
    top = [(6, 6), (266, 6)]
    round_ = [(266, 6), (266, 60), (261, 105), (240, 150), (200, 181), (136, 196)]
    other = [(2 * MIDDLE - x, y) for x, y in reversed(round_)]
    return framed(top, [*round_, *other[1:]], radius=9)


def motifs() -> list[Motif]:
    """Ripples, stems, pads, then the flowers."""
    half: list[Motif] = [
        stem([(240, 138), (222, 136), (200, 126), (180, 124)], [5, 4.6, 4.4, 4.4]),
        stem([(150, 130), (161, 96), (158, 58), (166, 6)], [6.5, 6, 5.4, 5]),
        leaf([(225, 46), (236, 36), (248, 28), (264, 27)], 15, foot=5, tip=7, ribs=4),
        leaf([(231, 76), (240, 78), (250, 76), (264, 80)], 15, foot=5, tip=7, ribs=3),
        leaf([(226.5, 104), (235, 112), (246, 112), (258, 118)], 13, foot=5, tip=6, ribs=3),
        leaf([(206, 29), (202, 21), (192, 16), (180, 8)], 13, foot=5, tip=6, ribs=3),
        leaf([(226, 62), (214, 62), (203, 58), (198, 52)], 10, foot=4.6, tip=1, ribs=2),
        stem([(219, 116), (208, 111), (203, 104), (203, 94)], [5, 4.8, 4.6]),
        stem(
            [
                (136, 178),
                (166, 175),
                (206, 140),
                (228, 92),
                (226, 50),
                (206, 29),
                (189, 35),
                (183, 48),
            ],
            [6.5, 6, 5.6, 5.2, 5, 4.8, 4.6],
        ),
        *[placed(m, at=(183.5, 46), turn=-174, size=0.76) for m in bud()],
        *[placed(m, at=(203, 98), turn=-6, size=0.56) for m in flower()],
        placed(pad(76, 31, 196), at=(206, 146), turn=-14),
        placed(pad(58, 25, None), at=(172, 171), turn=-12),
    ]
    centre = [
        stem([(136, 190), (136, 150), (136, 120)], [7, 6, 6]),
        *[placed(m, at=(136, 136), size=1.42) for m in flower()],
        *[placed(m, at=(136, 36), size=1.12) for m in dragonfly()],
    ]
    return [m for one in half for m in (one, mirrored(one, MIDDLE))] + centre


def sheet() -> Sheet:
    """The finished drawing."""
    form = outline()
    return Sheet(
        name="satchel",
        title="Satchel flap with water lilies",
        says="Line drawing, 260 x 190 mm: outline, border line, motifs, veins.",
        width=WIDTH,
        height=HEIGHT,
        drawn=draw(form, inset(form, 9, 5), motifs()),
    )
