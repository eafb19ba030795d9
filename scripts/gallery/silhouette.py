"""Silhouette: a night moth in black with light fields, for the cloak of Night. 200 x 140 mm."""

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from scripts.gallery.curves import spline
from scripts.gallery.face import Motif, painted
from scripts.gallery.shapes import Pairs, mirrored, stem, stroke
from scripts.gallery.sheet import Sheet

WIDTH, HEIGHT, MIDDLE = 212.0, 152.0, 106.0

FORE = [
    (108, 52),
    (122, 34),
    (148, 14),
    (180, 7),
    (204, 13),
    (203, 30),
    (198, 44),
    (202, 58),
    (190, 72),
    (170, 76),
    (146, 76),
    (124, 76),
    (110, 72),
]
HIND = [
    (108, 66),
    (130, 66),
    (160, 70),
    (178, 80),
    (182, 98),
    (170, 112),
    (172, 126),
    (156, 132),
    (140, 144),
    (132, 128),
    (120, 108),
    (109, 88),
]


def wing(
    edge: Pairs, veins: list[tuple[Pairs, list[float]]], eye: tuple[float, float, float], hem: float
) -> tuple[BaseGeometry, BaseGeometry]:
    """A wing and its light fields: cells between veins, a ring round the eye spot."""
    form = Polygon(spline(edge, closed=True)).buffer(0)
    strands = [stroke(spline(through), widths) for through, widths in veins]
    x, y, r = eye
    spot = shapely.Point(x, y).buffer(r + 4.2, quad_segs=32)
    cells = form.buffer(-hem).difference(shapely.union_all([*strands, spot]))
    cells = cells.union(shapely.Point(x, y).buffer(r, quad_segs=32))
    return form, cells


def sheet() -> Sheet:
    """The finished drawing."""
    fore, fore_cells = wing(
        FORE,
        [
            ([(100, 60), (130, 50), (160, 30), (206, 14)], [6, 4.6, 4.2, 4.2]),
            ([(100, 62), (135, 58), (170, 48), (206, 36)], [6, 4.6, 4.2, 4.2]),
            ([(100, 66), (135, 66), (170, 64), (206, 58)], [6, 4.6, 4.2, 4.2]),
            ([(132, 22), (138, 42), (142, 60), (140, 80)], [4, 4.4, 4.4, 4]),
            ([(182, 2), (186, 24), (184, 48), (178, 80)], [4, 4.4, 4.4, 4]),
        ],
        (162, 44, 7.5),
        4.6,
    )
    hind, hind_cells = wing(
        HIND,
        [
            ([(100, 72), (130, 82), (156, 84), (186, 92)], [6, 4.6, 4.2, 4.2]),
            ([(100, 74), (128, 92), (150, 106), (176, 122)], [6, 4.6, 4.2, 4.2]),
            ([(100, 76), (120, 96), (134, 116), (144, 140)], [6, 4.6, 4.2, 4.2]),
            ([(164, 66), (164, 90), (154, 112), (136, 124), (120, 122)], [4, 4.4, 4.4, 4.4, 4]),
        ],
        (142, 96, 6.5),
        4.6,
    )
    right = fore.union(hind)
    cells = hind_cells.difference(fore.buffer(1.2)).union(fore_cells)
    both = [Motif(area=s) for s in (right, cells)]
    shape = shapely.union_all([both[0].area, mirrored(both[0], MIDDLE).area])
    light = shapely.union_all([both[1].area, mirrored(both[1], MIDDLE).area])
    body = stem([(106, 40), (106, 56), (106, 80), (106, 118)], [12, 16, 14, 5]).area
    feeler = stem([(108, 44), (116, 28), (122, 18), (134, 10)], [5, 4.4, 4.2, 4])
    feelers = [m.area for m in (feeler, mirrored(feeler, MIDDLE))]
    form = shapely.union_all([shape, body, *feelers]).buffer(1.5).buffer(-1.5)
    form = Polygon(
        max(form.geoms, key=lambda g: g.area).exterior
        if form.geom_type == "MultiPolygon"
        else form.exterior
    )
    drawn, _ = painted(form, [(form, True), (light.difference(body.buffer(3)), False)])
    return Sheet(
        name="silhouette",
        title="Night moth",
        says="Silhouette, 200 x 140 mm: black is leather, light fields inside are cut out.",
        width=WIDTH,
        height=HEIGHT,
        drawn=drawn,
        paint=((drawn.land, True),),
    )
