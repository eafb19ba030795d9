"""Emblem: the arms of the river court, dark shapes with light shapes on top. 150 x 180 mm."""

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from scripts.gallery.curves import spline
from scripts.gallery.face import painted
from scripts.gallery.lilies import petal
from scripts.gallery.shapes import framed, inset, placed, stem
from scripts.gallery.sheet import Sheet

WIDTH, HEIGHT, MIDDLE = 162.0, 192.0, 81.0
WALL = 4.4  # mm of dark left round a light field


def shield() -> Polygon:
    """A shield with a bowed top."""
    right = [(156, 10), (155, 70), (144, 120), (118, 160), (81, 186)]
    left = [(2 * MIDDLE - x, y) for x, y in reversed(right)]
    return framed([(6, 10), (44, 13), (81, 6), (118, 13), (156, 10)], [*right, *left[1:]], radius=4)


def sheet() -> Sheet:
    """The finished drawing."""
    form = shield()
    layers: list[tuple[BaseGeometry, bool]] = [(form, True), (inset(form, 9, 3), False)]
    for k, y in enumerate((126, 142, 158)):
        d = 4 if k % 2 else -4
        wave = stem(
            [(0, y), (27, y + d), (54, y - d), (81, y + d), (108, y - d), (135, y + d), (162, y)],
            [6, 6.4, 6],
        )
        layers.append((wave.area, True))
    for angle in (-64, -44, -26, -9, 9, 26, 44, 64):
        ray = stem([(0, 0), (0, -60), (0, -150)], [3.8, 4.4, 7])
        layers.append((placed(ray, at=(MIDDLE, 118), turn=angle).area.intersection(form), True))
    rows = [
        (0, 82, 38, 0),
        (-30, 78, 36, -2),
        (30, 78, 36, 2),
        (-62, 74, 34, 6),
        (62, 74, 34, -6),
        (-17, 58, 32, -1),
        (17, 58, 32, 1),
        (-47, 55, 29, 5),
        (47, 55, 29, -5),
        (0, 44, 29, 0),
    ]
    for row in rows:
        one = placed(petal(*row), at=(MIDDLE, 122)).area
        layers += [(one, True), (one.buffer(-WALL), False)]
    base = Polygon(
        spline([(40, 120), (81, 112), (122, 120), (116, 130), (81, 136), (46, 130)], closed=True)
    )
    layers += [(base, True), (base.buffer(-WALL), False)]
    drawn, paint = painted(form, layers)
    return Sheet(
        name="emblem",
        title="Arms of the river court",
        says="Stacked shapes, 150 x 180 mm: black is leather, white shapes lie on top and are cut out.",
        width=WIDTH,
        height=HEIGHT,
        drawn=drawn,
        paint=tuple(paint),
    )
