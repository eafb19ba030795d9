"""Mask: the brow of the river queen's mask, leaping fish. 210 x 120 mm; its strands are too thin on purpose."""

from shapely.geometry import Polygon

from scripts.gallery.curves import spline
from scripts.gallery.face import Care, Motif, draw
from scripts.gallery.fish import leaping
from scripts.gallery.shapes import inset, mirrored, placed, stem
from scripts.gallery.sheet import Sheet

WIDTH, HEIGHT, MIDDLE = 222.0, 132.0, 111.0


def outline() -> Polygon:
    """Brow with a low crest, cheeks drawn out to points, a bridge for the nose."""
    half = [
        (111, 12),
        (130, 8),
        (160, 6),
        (190, 9),
        (212, 20),
        (215, 45),
        (203, 76),
        (186, 104),
        (164, 121),
        (143, 118),
        (128, 98),
        (111, 84),
    ]
    other = [(2 * MIDDLE - x, y) for x, y in reversed(half[1:-1])]
    return Polygon(spline([*half, *other], closed=True))


def eye() -> Polygon:
    """The right eye hole."""
    return Polygon(
        spline(
            [
                (132, 74),
                (141, 65),
                (155, 61),
                (170, 65),
                (178, 74),
                (167, 82),
                (152, 84),
                (139, 81),
            ],
            closed=True,
        )
    )


def motifs() -> list[Motif]:
    """Right half from the bottom up, then both halves: water, fish, the rim of the eye."""
    hole = eye()
    half: list[Motif] = [
        stem(
            [(119.2, 25.6), (128, 20.5), (150, 22), (180, 18), (204, 30), (222, 26)],
            [2, 2.2, 2, 2, 2.4],
        ),
        stem([(111, 14), (124, 36), (124, 58), (111, 86)], [2.4, 2, 2, 2.4]),
        stem(
            [
                (94, 74),
                (100, 69),
                (111, 67),
                (124, 76),
                (136, 92),
                (158, 96),
                (182, 86),
                (196, 68),
                (220, 54),
            ],
            [2.4, 2, 2, 2, 2.4],
        ),
        stem([(128, 96), (146, 108), (164, 108), (188, 96), (206, 72)], [2.4, 2, 2, 2.4]),
        stem([(150, 84), (146, 98), (144, 108), (146, 124)], [2, 2, 2, 2.4]),
        stem([(166, 84), (170, 98), (168, 110), (160, 126)], [2, 2, 2, 2.4]),
        stem([(178, 76), (186, 88), (186, 98), (178, 118)], [2, 2, 2, 2.4]),
        stem([(180, 70), (196, 70), (204, 84)], [2, 2, 2.4]),
        stem([(172, 62), (188, 60), (200, 50), (222, 46)], [2, 2, 2.4]),
        *[placed(m, at=(160, 38), turn=0, size=1.0) for m in leaping()],
        Motif(area=hole.buffer(5.5, quad_segs=32).difference(hole)),
    ]
    half = [*[Motif(area=m.area.difference(hole), veins=m.veins) for m in half[:-1]], half[-1]]
    return [m for one in half for m in (one, mirrored(one, MIDDLE))]


def sheet() -> Sheet:
    """The finished drawing."""
    form = outline()
    return Sheet(
        name="mask",
        title="Mask panel with leaping fish",
        says="Line drawing, 210 x 120 mm: outline, border line, motifs, veins; what is to be cut out is marked with grey.",
        width=WIDTH,
        height=HEIGHT,
        marked=True,
        drawn=draw(form, inset(form, 7, 3), motifs(), Care(bridge=None)),
    )
