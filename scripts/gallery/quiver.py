"""Quiver: the river warden's, kingfishers among sallow and bulrushes. 168 x 380 mm."""

from shapely.geometry import Polygon

from scripts.gallery.curves import Points, even, spline
from scripts.gallery.face import Motif, draw
from scripts.gallery.fish import leaping
from scripts.gallery.interlace_kit import Strand, interlaced
from scripts.gallery.kingfisher import perched
from scripts.gallery.lilies import dragonfly
from scripts.gallery.reeds import blade, cattail, ground
from scripts.gallery.sallow import catkin, lance, twig
from scripts.gallery.shapes import framed, inset, mirrored, placed, stroke
from scripts.gallery.sheet import Sheet

WIDTH, HEIGHT, MIDDLE = 180.0, 392.0, 90.0
RUSH = 6.0  # mm
PATH = (  # of one rush, from the middle line: across, down
    (43, 2),
    (44, 50),
    (0, 100),
    (-41, 143),
    (0, 186),
    (38.5, 228),
    (0, 269),
    (-33, 312),
    (-29, 350),
    (-31, 378),
)


def outline() -> Polygon:
    """Wide at the mouth, which dips in the middle; narrow and round at the foot."""
    side = [(174, 8), (166, 140), (158, 270), (151, 372)]
    return framed(
        [(6, 8), (48, 9.5), (90, 12), (132, 9.5), (174, 8)],
        side,
        [(151, 372), (126, 382), (90, 386), (54, 382), (29, 372)],
        [(2 * MIDDLE - x, y) for x, y in reversed(side)],
        radius=9,
    )


def rush(sign: float) -> Points:
    """Middle line of one of the two rushes."""
    return even(spline([(MIDDLE + sign * x, y) for x, y in PATH]))


def half() -> list[Motif]:
    """What stands on the right of the middle, from the bottom up."""
    return [
        # beside the mouth
        lance((134, 62), 62, 32, 9, -0.1, 5),
        lance((134, 34), 58, 30, 9, -0.1, 5),
        # kingfisher on its twig
        twig([(172, 114), (152, 124), (132, 127.5), (118.5, 125.5)], foot=6.4, end=5.4),
        lance((140, 127), 143, 38, 9, 0.12, 4.8),
        *[placed(m, at=(138, 102), turn=0, size=0.92) for m in perched()],
        # sallow over the second crossing
        twig([(98, 186), (118, 188), (140, 181), (166, 164)], foot=5.4, end=6.2),
        catkin((117, 187), -8, 17),
        catkin((136, 182), 12, 17),
        lance((133, 184), 168, 25, 8, -0.1, 4.8),
        lance((148, 176), 140, 34, 9, 0.1, 4.6),
        lance((112, 188), 150, 28, 8, -0.05, 4.6),
        lance((150, 175), -30, 33, 8.5, 0.08, 4.8),
        lance((127, 222), 40, 36, 9, 0.1, 5),
        lance((127, 236), 140, 34, 9, -0.1, 5),
        # a fish leaps beside the third
        *[placed(m, at=(126, 271), turn=-20, size=0.6) for m in without_belly()],
        blade([(128, 366), (131, 344), (138, 326), (158, 308)], 7.4, tip=5),
        lance((123, 331), 66, 17, 7, -0.1, 4.8),
        lance((118, 300), 78, 36, 9, -0.06, 4.8),
        blade([(140, 366), (141, 352), (146, 342), (156, 334)], 6.6, tip=4.6),
    ]


def without_belly() -> list[Motif]:
    """A leaping fish without the two fins below, which would hang on bridges too narrow at this size."""
    tail, other, back, _, _, body = leaping()
    return [tail, other, back, body]


def centre() -> list[Motif]:
    """What stands in the middle, from the bottom up."""
    return [
        twig([(90, 99), (90, 60), (90, 6)], foot=6, end=5.4),
        *[
            one
            for s in (-1, 1)
            for one in (
                catkin((90, 84), s * 42, 20),
                lance((90, 66), s * 60, 48, 10, -0.14 * s, 5),
                catkin((90, 48), s * 46, 18),
                lance((90, 36), s * 62, 42, 9.5, -0.1 * s, 5),
            )
        ],
        *[lance((90, 178), s * 60, 40, 8.5, -0.12 * s, 4.8) for s in (-1, 1)],
        *[placed(m, at=(90, 138), size=1.0) for m in dragonfly()],
        twig([(90, 190), (90, 230), (90, 266)], foot=5.4, end=6),
        *[
            one
            for s in (-1, 1)
            for one in (
                lance((90, 229), s * 52, 36, 9, -0.12 * s, 4.8),
                catkin((90, 245), s * 42, 17),
                lance((90, 255), s * 80, 38, 8.5, -0.16 * s, 4.8),
                lance((90, 340), s * 50, 28, 8, -0.1 * s, 4.8),
            )
        ],
        blade([(80, 366), (78, 340), (70, 322), (58, 308)], 7, tip=5),
        blade([(100, 366), (102, 340), (110, 322), (122, 308)], 7, tip=5),
        *cattail(
            [(90, 370), (90, 340), (90, 300), (90, 266)],
            head=24,
            fat=11.5,
            stalk=5,
            spike=4.4,
            crown=16,
        ),
    ]


def heads() -> list[Motif]:
    """Bulrush heads near the upper ends."""
    out = []
    for s in (-1, 1):
        line = rush(s)
        part = line[(line[:, 1] > 24) & (line[:, 1] < 56)]
        out.append(Motif(area=stroke(part, [10.5, 12, 11])))
    return out


def motifs() -> list[Motif]:
    """Everything from the bottom up."""
    both = [m for one in half() for m in (one, mirrored(one, MIDDLE))]
    rushes = interlaced([Strand(line=rush(s), width=RUSH, rib=True) for s in (1, -1)])
    return [*both, *centre(), *rushes, *heads(), ground(20, 160, 360, 392)]


def sheet() -> Sheet:
    """The finished drawing."""
    form = outline()
    return Sheet(
        name="quiver",
        title="Quiver panel with kingfishers and sallow",
        says="Line drawing, 168 x 380 mm: outline, border line, motifs, veins.",
        width=WIDTH,
        height=HEIGHT,
        drawn=draw(form, inset(form, 8.5, 4), motifs()),
    )
