"""Book cover: the prompter's book, scrolling waves under a moon. 150 x 215 mm."""

import shapely

from scripts.gallery.face import Motif, draw
from scripts.gallery.shapes import inset, rounded, stem
from scripts.gallery.sheet import Sheet
from scripts.gallery.waves import foam, roll, room

WIDTH, HEIGHT = 162.0, 227.0
CURLS = (((54, 64), 25, 0, -1.35), ((104, 113), 26, 180, 1.35), ((51, 168), 25, 0, -1.35))


def stream(*through: tuple[float, float], width: float = 5.0) -> Motif:
    """A strand of water: full in the middle, slimmer at its ends."""
    return stem(through, [0.9 * width, 1.15 * width, 1.1 * width, 0.9 * width])


def motifs() -> list[Motif]:
    """Moon and cloud, strands of water, then the waves from the farthest to the nearest."""
    sky = [
        foam((118, 43), 19),
        stream((160, 36), (140, 38), (118, 33), (94, 37), (74, 29), (50, 23), (28, 27), (8, 20)),
        stream((160, 56), (136, 52), (112, 57), (92, 52), (76, 58)),
        stream((160, 73), (134, 73), (112, 68), (86, 70)),
        stream((160, 21), (138, 22), (112, 19), (88, 22), (66, 16), (54, 4)),
        stream((8, 43), (24, 38), (44, 46)),
        stream((8, 60), (20, 58), (40, 64)),
    ]
    water = [
        stream((8, 127), (36, 125), (58, 113), (70, 96), (86, 80)),
        stream((8, 111), (32, 109), (52, 100), (66, 88), (80, 70)),
        stream((8, 95), (26, 94), (44, 86), (56, 72)),
        stream((8, 78), (22, 78), (44, 70)),
        stream((160, 110), (142, 108), (120, 100)),
        stream((160, 191), (134, 190), (108, 181), (94, 164), (86, 146), (85, 130), (90, 112)),
        stream((160, 175), (138, 174), (118, 165), (106, 148), (102, 126)),
        stream((160, 159), (142, 157), (126, 147), (114, 124)),
        stream((160, 143), (146, 141), (132, 132), (120, 118)),
        stream((160, 127), (148, 125), (136, 119), (122, 110)),
        stream((8, 163), (24, 164), (44, 158)),
        stream((8, 178), (22, 190), (44, 196), (66, 190), (84, 178)),
        stream((8, 197), (26, 203), (50, 206), (74, 202), (94, 190)),
    ]
    rooms = shapely.union_all([room(*curl) for curl in CURLS])
    beneath = [Motif(area=m.area.difference(rooms)) for m in (*sky[1:], *water)]
    waves = [
        roll(CURLS[0], [(162, 92), (134, 91), (110, 85), (90, 78)], [16, 15, 13, 11, 8.4, 5.4]),
        roll(CURLS[1], [(0, 142), (26, 143), (50, 138), (70, 128)], [19, 17, 14, 12, 8.6, 5.4]),
        roll(CURLS[2], [(164, 208), (130, 207), (98, 199), (82, 184)], [19, 17, 14, 12, 8.6, 5.4]),
    ]
    return [sky[0], *beneath, *waves]


def sheet() -> Sheet:
    """The finished drawing."""
    form = rounded([(6, 6), (156, 6), (156, 221), (6, 221)], 7)
    return Sheet(
        name="book-cover",
        title="Book cover with scrolling waves",
        says="Line drawing, 150 x 215 mm: outline, border line, motifs, veins.",
        width=WIDTH,
        height=HEIGHT,
        drawn=draw(form, inset(form, 9, 3), motifs()),
    )
