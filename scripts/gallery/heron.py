"""A heron of the Withyhollow reed beds, facing left, standing on its own zero's line 60 below."""

from scripts.gallery.curves import spiral
from scripts.gallery.face import Motif
from scripts.gallery.shapes import blob, joined, leaf, stem, with_veins


def standing() -> list[Motif]:
    """Parts from the bottom up: far leg, tail, body with neck and head, tail, wing, near leg."""
    far_leg = stem([(9, 6), (12, 24), (8.5, 38), (11, 64)], [7, 5.2, 4.6, 4.2])
    near_leg = stem([(0, 8), (0.5, 22), (-4, 37), (-2, 64)], [8.5, 5.4, 4.6, 4.2])
    neck = stem(
        [(4, -2), (-13, -8), (-20.5, -19), (-15.5, -31), (-6.5, -41), (-6, -52), (-14, -58.5)],
        [22, 15, 10.5, 8.6, 7.4, 6.8, 7.6],
    )
    head = stem([(-7, -56), (-14, -60), (-19, -60), (-24, -58.2)], [7.2, 8.8, 8.4, 6.4])
    beak = stem(
        [(-20, -59.4), (-28, -57), (-36, -54), (-43, -51)],
        [7.4, 6, 5, 4.1, 0.9],
        [0, 0.35, 0.6, 0.8, 1],
    )
    body = blob(
        [
            (-17, -14),
            (-18, -2),
            (-10, 10),
            (4, 14.5),
            (18, 12),
            (28, 10.5),
            (33, 10),
            (30, 3),
            (18, -9),
            (0, -17),
            (-10, -18),
        ]
    )
    bird = joined(neck, head, beak, body)
    bird = with_veins(
        bird,
        [(-20, -57.6), (-27, -56), (-36, -53.2)],
        spiral((-17, -60.6), 1.05, 1.0, 30, 0.74),
        [(-16.5, -21), (-11.8, -31), (-4.4, -40), (-3.6, -49)],
        [(-15, -3), (-11.5, 3), (-10, 6.5)],
        [(-11, -3), (-8, 4), (-5.5, 8.5)],
    )
    crest = stem([(-10, -60.5), (-2, -60), (6, -55), (11, -47.5)], [4.6, 4.0, 2.8, 0.9])
    tail = leaf([(0, 0), (16, 3), (32, 8), (46, 14)], 9.5, belly=0.45, ribs=-1, foot=4, tip=1.0)
    wing = blob(
        [
            (-14, -8),
            (-13, -14),
            (-6, -18.5),
            (6, -17.5),
            (20, -8.5),
            (31, 1),
            (41, 9.5),
            (28, 9),
            (14, 6.5),
            (0, 2.5),
            (-9, -2),
        ]
    )
    wing = with_veins(
        wing,
        [(-6, -6.5), (2, -2.2), (12, 1.4), (22, 4.6)],
        [(-6, -10), (4, -6.2), (14, -2), (27, 4)],
        [(-4, -13.5), (6, -10.5), (16, -5.5), (26, -0.5)],
    )
    return [far_leg, crest, near_leg, bird, tail, wing]
