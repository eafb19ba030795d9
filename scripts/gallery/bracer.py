"""Bracer: two herons among reeds, for the ferryman's forearm. About 240 x 160 mm."""

from shapely.geometry import Polygon

from scripts.gallery.face import Motif, draw
from scripts.gallery.heron import standing
from scripts.gallery.reeds import blade, cattail, ground
from scripts.gallery.shapes import framed, inset, leaf, mirrored, placed
from scripts.gallery.sheet import Sheet

WIDTH, HEIGHT, MIDDLE = 252.0, 172.0, 126.0


def outline() -> Polygon:
    """Wide at the elbow, narrow at the wrist, both ends bowed, the sides drawn in."""
    top = [(6, 13), (60, 7.5), (126, 6), (192, 7.5), (246, 13)]
    side = [(246, 13), (236, 60), (228, 110), (223, 166)]
    return framed(
        top,
        side,
        [(223, 166), (175, 161.5), (126, 160), (77, 161.5), (29, 166)],
        [(2 * MIDDLE - x, y) for x, y in reversed(side)],
        radius=15,
    )


def motifs() -> list[Motif]:
    """Right half from the bottom up, then both halves, then what stands in the middle."""
    behind = [
        blade([(203.5, 99), (203.5, 83), (192, 50), (166, 8)], 9, tip=5),
        leaf([(213.5, 75), (221, 65), (229, 57), (242, 54)], 9, foot=4.5, tip=5, ribs=0),
        leaf([(213.5, 70), (205, 57), (202, 44), (192, 31)], 8, foot=4.5, tip=1, ribs=0),
        *cattail(
            [(209, 160), (211, 122), (214, 84), (213, 46), (208, 8)],
            head=26,
            fat=11,
            stalk=4.8,
            spike=4,
            crown=15.5,
        ),
        blade([(197, 160), (197.5, 146), (199.5, 132), (202, 118)], 6.5),
        blade([(200, 96), (195, 85), (186, 75), (183, 60)], 7.5),
        leaf([(126, 92), (132, 78), (138.5, 69), (146.5, 65)], 8.5, foot=4.5, tip=4.5, ribs=0),
        blade([(147, 160), (151, 132), (154, 104), (148, 70), (141, 44), (148, 8)], 9, tip=5),
        blade([(131, 162), (134, 138), (136, 112), (142, 88), (150, 73), (155, 57)], 8.5),
    ]
    bird = [placed(m, at=(180, 94)) for m in standing()]
    front = [
        blade([(159, 163), (160, 148), (164, 134), (171, 121)], 8.5),
        blade([(188, 162), (196, 146), (208, 136), (226, 134)], 8.5, tip=4),
    ]
    half = [*behind, *bird, *front]
    centre = [
        *cattail(
            [(126, 165), (126, 100), (126, 60), (126, 8)], head=32, fat=13, stalk=5.4, spike=4.5
        ),
        ground(10, 242, 146, 172),
    ]
    return [m for one in half for m in (one, mirrored(one, MIDDLE))] + centre


def sheet() -> Sheet:
    """The finished drawing."""
    form = outline()
    return Sheet(
        name="bracer",
        title="Bracer with reeds and herons",
        says="Line drawing, 240 x 160 mm: outline, border line, motifs, veins.",
        width=WIDTH,
        height=HEIGHT,
        drawn=draw(form, inset(form, 8.5, 4), motifs()),
    )
