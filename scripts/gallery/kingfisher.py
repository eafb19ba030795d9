"""A kingfisher of the Withyhollow bank, perched and facing left; on its own zero, its feet at (0, 22)."""

from scripts.gallery.curves import spiral
from scripts.gallery.face import Motif
from scripts.gallery.shapes import blob, joined, leaf, stem, with_veins


def perched() -> list[Motif]:
    """Parts from the bottom up: feet, tail, body with head and beak, wing."""
    feet = stem([(1, 10), (0, 18), (-1, 26)], [7, 5.6, 5.6])
    tail = leaf([(9, 8), (15, 18), (20, 27), (25, 37)], 9, belly=0.5, ribs=-1, foot=7, tip=4.5)
    tail = with_veins(tail, [(14.5, 18), (19, 26), (22.6, 33)])
    body = blob(
        [
            (-13, -3),
            (-14, 5),
            (-10, 13),
            (-2, 17.5),
            (7, 17),
            (13, 11),
            (15, 2),
            (13, -8),
            (10, -14),
            (7.5, -21),
            (2, -27.5),
            (-5, -29.6),
            (-12, -28),
            (-18, -22),
            (-17, -15),
            (-14, -9),
        ]
    )
    beak = stem([(-10, -21.8), (-22, -20.6), (-28, -19.6), (-33.5, -18.4)], [12.5, 8.4, 6.2, 4.6])
    bird = with_veins(
        joined(body, beak),
        [(-18, -21.4), (-28, -19.8), (-41, -17)],
        spiral((-9, -23.6), 1.9, 1.8, 20, 0.76),
        [(-4.6, -23), (1, -20.6), (4.6, -15.6)],
        [(-13.6, -14.4), (-7, -12), (-1, -14.2)],
        [(-11.5, -3), (-10.6, 4), (-6.6, 11)],
    )
    wing = leaf(
        [(2, -12), (7, -2), (11, 8), (15.5, 22)],
        15.5,
        belly=0.36,
        ribs=-1,
        foot=8,
        tip=1.4,
    )
    wing = with_veins(
        wing,
        [(0.6, -5.4), (4, -2.6), (9.4, -4)],
        [(2, -0.4), (5.6, 2), (11.4, 0.8)],
        [(6.6, 6), (10, 11), (12.6, 16)],
        [(10.4, 5), (12, 9.4), (13.6, 14)],
    )
    return [feet, tail, bird, wing]
