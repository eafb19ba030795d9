"""A fish in mid leap, its back arched, head to the left and down; on its own zero, about 74 long."""

import numpy as np

from scripts.gallery.curves import even, normals, points, smooth, spiral, spline
from scripts.gallery.face import Motif
from scripts.gallery.shapes import blob, leaf, stroke


def leaping() -> list[Motif]:
    """Fins and tail, the body over them, the cheek on top."""
    back = spline([(-37, 14), (-24, 0), (-6, -8), (14, -5), (28, 5)])
    n = len(back)
    widths = [2.4, 12, 18, 19, 12.5, 6.5]
    at = [0, 0.1, 0.24, 0.42, 0.75, 1]
    body = stroke(back, widths, at)
    half = smooth(at, widths, np.linspace(0, 1, n)) / 2
    side = normals(back)
    scales = []
    for row, start in ((-0.55, 0.36), (-0.1, 0.40), (0.35, 0.36)):
        for k in range(6):
            i = int(n * (start + 0.085 * k))
            if i + 12 >= n:
                continue
            reach = half[i] * 0.24
            arc = [
                back[i - 6] + side[i] * half[i] * row - side[i] * reach,
                back[i + 6] + side[i] * half[i] * row,
                back[i - 6] + side[i] * half[i] * row + side[i] * reach,
            ]
            scales.append(spline(arc))
    cut = int(0.27 * n)
    cheek = spline(
        [
            back[cut] - side[cut] * half[cut] * 0.72,
            back[cut + 12],
            back[cut] + side[cut] * half[cut] * 0.72,
        ]
    )
    mouth = spline([back[9] + side[9] * 1.4, back[15] + side[15] * 2.6, back[24] + side[24] * 3.4])
    e = int(0.13 * n)
    eye = spiral(back[e] - side[e] * 2.6, 1.5, 1.35, 60, 0.74)
    tail = [
        leaf([(26, 3), (34, 4), (42, 0), (47, -9)], 9.5, belly=0.5, foot=5, tip=1, ribs=0),
        leaf([(26, 4), (33, 10), (38, 18), (37, 28)], 9.5, belly=0.5, foot=5, tip=1, ribs=0),
    ]
    fin = blob([(-16, -11), (-6, -20), (6, -23), (17, -20), (13, -16), (14, -8), (0, -10)])
    fin_rays = tuple(
        spline(points(a, b))
        for a, b in (((-6, -17), (-3, -12)), ((1, -20), (2, -12)), ((9, -20), (8, -12)))
    )
    belly = leaf([(-16, 4), (-12, 12), (-4, 16), (4, 15)], 8, foot=5, tip=1, ribs=0)
    rear = leaf([(9, 0), (14, 8), (20, 12), (26, 12)], 6.5, foot=4.5, tip=1, ribs=0)
    return [
        *tail,
        Motif(area=fin.area, veins=fin_rays),
        belly,
        rear,
        Motif(area=body, veins=(even(cheek), mouth, eye, *scales)),
    ]
