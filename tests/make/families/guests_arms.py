"""Guests that point and bear: compass roses, shields of arms."""

import numpy as np
import shapely
from shapely import LineString

from tests.make.families.guests_kit import (
    closed,
    disc,
    finish,
    lay,
    put,
    ribbon,
    rimmed,
    sheet_of,
)
from tests.make.families.scene import flip
from tests.make.families.strokes import place, spline, star


def compass(seed, rng):
    """A wind rose: long points split light and dark, shorter ones behind, hoops, a fleuron to the north."""
    sheet = sheet_of(
        rng, ("oval", "soft", "box", "canted", "notched", "barbed"), size=(80, 170), aspect=(1, 1)
    )
    x0, y0, x1, y1 = sheet.field.bounds
    mid = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    r = min(x1 - x0, y1 - y0) / 2 * rng.uniform(0.94, 1.06)
    waist = rng.uniform(0.13, 0.2)
    ranks = int(rng.integers(2, 4))
    split = rng.random() < 0.75
    thick = max(1.7, r * rng.uniform(0.03, 0.06))
    hoops = sorted(rng.uniform(0.34, 0.8, int(rng.integers(1, 3))))
    for far in hoops:
        lay(sheet, disc(*mid, far * r + thick, 160).difference(disc(*mid, far * r, 160)))
    if rng.random() < 0.4:
        for k in range(32 if r > 45 else 16):
            a = 2 * np.pi * (k + 0.5) / (32 if r > 45 else 16)
            lay(
                sheet,
                ribbon(
                    mid
                    + r
                    * np.array(
                        [
                            [hoops[-1] * np.cos(a), hoops[-1] * np.sin(a)],
                            [1.6 * np.cos(a), 1.6 * np.sin(a)],
                        ]
                    ),
                    thick * 0.8,
                ),
            )
    for rank in range(ranks - 1, -1, -1):
        count, first = {0: (4, 0.0), 1: (4, np.pi / 4), 2: (8, np.pi / 8)}[rank]
        long = r * (1.0, rng.uniform(0.68, 0.84), rng.uniform(0.5, 0.62))[rank]
        wide = r * waist * (1.0, 0.9, 0.62)[rank]
        gap = np.pi / 4 if rank < 2 else np.pi / 8
        for k in range(count):
            a = first + 2 * np.pi * k / count
            point = shapely.Polygon(
                [
                    (0, 0),
                    (wide * np.cos(gap), -wide * np.sin(gap)),
                    (long, 0),
                    (wide * np.cos(gap), wide * np.sin(gap)),
                ]
            )
            lines = [LineString([(0, 0), (long, 0)])] if split else []
            lay(sheet, place(point, *mid, a), *[place(q, *mid, a) for q in lines])
    if rng.random() < 0.5:
        for shape, inner in lily_flower():
            lay(
                sheet,
                place(shape, mid[0], mid[1] - r * 0.72, 0, r * 0.3),
                *[place(q, mid[0], mid[1] - r * 0.72, 0, r * 0.3) for q in inner],
            )
    boss = r * rng.uniform(0.07, 0.13)
    lay(
        sheet, disc(*mid, boss), *([disc(*mid, boss * 0.55).exterior] if rng.random() < 0.6 else [])
    )
    return finish(f"compass-{seed}", sheet, rng)


def lily_flower():
    """A fleur-de-lis about the origin, one high."""
    middle = closed(
        [
            (0, -0.52),
            (0.13, -0.3),
            (0.14, -0.08),
            (0.05, 0.08),
            (-0.05, 0.08),
            (-0.14, -0.08),
            (-0.13, -0.3),
        ],
        (0, 3, 4),
    )
    side = closed(
        [
            (0.03, 0.08),
            (0.16, -0.16),
            (0.34, -0.28),
            (0.46, -0.14),
            (0.42, 0.02),
            (0.32, 0.04),
            (0.34, -0.08),
            (0.27, -0.1),
            (0.19, 0.08),
        ],
        (0, 5, 8),
    )
    foot = closed(
        [
            (0, 0.1),
            (0.1, 0.14),
            (0.2, 0.34),
            (0.08, 0.3),
            (0, 0.46),
            (-0.08, 0.3),
            (-0.2, 0.34),
            (-0.1, 0.14),
        ],
        (2, 4, 6),
    )
    bar = shapely.box(-0.22, 0.05, 0.22, 0.15)
    return [(side, []), (flip(side, 0.0), []), (foot, []), (middle, []), (bar, [])]


def charge(rng, kind):
    """One charge of a shield about the origin, about one across."""
    if kind == "lily":
        return lily_flower()
    if kind == "crescent":
        return [(disc(0, 0, 0.45, 100).difference(disc(0, -0.2, 0.36, 100)), [])]
    if kind == "mullet":
        return [
            (
                place(star(0.5, 5, 0.4), 0, 0, -np.pi / 2),
                [disc(0, 0, 0.1).exterior] if rng.random() < 0.5 else [],
            )
        ]
    if kind == "rose":
        petals = [(place(disc(0.27, 0, 0.2), 0, 0, -np.pi / 2 + k * 1.2566), []) for k in range(5)]
        return [*petals, (disc(0, 0, 0.14), [])]
    if kind == "tower":
        wall = [
            (-0.28, 0.48),
            (-0.24, -0.2),
            (-0.34, -0.2),
            (-0.34, -0.46),
            (-0.2, -0.46),
            (-0.2, -0.34),
            (-0.08, -0.34),
            (-0.08, -0.46),
            (0.08, -0.46),
            (0.08, -0.34),
            (0.2, -0.34),
            (0.2, -0.46),
            (0.34, -0.46),
            (0.34, -0.2),
            (0.24, -0.2),
            (0.28, 0.48),
        ]
        return [
            (
                shapely.Polygon(wall),
                [
                    LineString([(-0.25, 0.05), (0.25, 0.05)]),
                    shapely.box(-0.08, 0.2, 0.08, 0.47).exterior,
                ],
            )
        ]
    half = closed(
        [(0.1, 0.1), (0.12, 0.34), (0.3, 0.46), (-0.3, 0.46), (-0.12, 0.34), (-0.1, 0.1)],
        (0, 2, 3, 5),
    )
    arms = [(place(half, 0, 0, k * np.pi / 2), []) for k in range(4)]
    return [*arms, (shapely.box(-0.13, -0.13, 0.13, 0.13), [])]


def ordinary(kind, w, h, wide):
    """A cross, saltire, chevron, bend, fess, pale or quartering of a shield w by h, and where charges go."""
    long = w + h
    if kind == "cross":
        shape = shapely.union_all(
            [
                shapely.box(w / 2 - wide / 2, -9, w / 2 + wide / 2, h + 9),
                shapely.box(-9, h * 0.42 - wide / 2, w + 9, h * 0.42 + wide / 2),
            ]
        )
        return shape, [(0.25, 0.2, 0.3), (0.75, 0.2, 0.3), (0.28, 0.64, 0.26), (0.72, 0.64, 0.26)]
    if kind == "saltire":
        c = np.array([w / 2, h * 0.44])
        rays = [
            LineString([c - long * d, c + long * d]).buffer(wide / 2)
            for d in (np.array([0.66, 0.75]), np.array([-0.66, 0.75]))
        ]
        return shapely.union_all(rays), [
            (0.5, 0.14, 0.26),
            (0.5, 0.76, 0.22),
            (0.15, 0.42, 0.22),
            (0.85, 0.42, 0.22),
        ]
    if kind == "chevron":
        roof = LineString([(-w * 0.2, h * 0.86), (w / 2, h * 0.36), (w * 1.2, h * 0.86)]).buffer(
            wide / 2, join_style="mitre"
        )
        return roof, [(0.25, 0.22, 0.3), (0.75, 0.22, 0.3), (0.5, 0.74, 0.28)]
    if kind == "bend":
        bend = LineString([(-w * 0.2, -h * 0.14), (w * 1.2, h * 0.98)]).buffer(wide / 2)
        return bend, [(0.7, 0.22, 0.38), (0.28, 0.62, 0.34)]
    if kind == "fess":
        return shapely.box(-9, h * 0.38 - wide / 2, w + 9, h * 0.38 + wide / 2), [
            (0.25, 0.15, 0.26),
            (0.75, 0.15, 0.26),
            (0.5, 0.15, 0.2),
            (0.5, 0.7, 0.36),
        ]
    return shapely.box(w / 2 - wide / 2, -9, w / 2 + wide / 2, h + 9), [
        (0.22, 0.2, 0.3),
        (0.78, 0.2, 0.3),
        (0.25, 0.56, 0.26),
        (0.75, 0.56, 0.26),
    ]


def heraldry(seed, rng):
    """A shield of arms: an ordinary with charges on the open field about it, alone or set in a panel."""
    w = rng.uniform(75, 150)
    h = w * rng.uniform(1.1, 1.3)
    foot = (
        [(0, 0.45), (0.03, 0.62), (0.16, 0.8), (0.34, 0.92), (0.5, 1.0)]
        if rng.random() < 0.6
        else [(0, 0.5), (0.0, 0.72), (0.1, 0.9), (0.32, 0.93), (0.5, 1.0)]
    )
    side = spline([(x * w, y * h) for x, y in foot], per=12)
    right = np.column_stack([w - side[::-1, 0], side[::-1, 1]])
    shield = shapely.Polygon(np.vstack([[(0, 0)], side, right[1:], [(w, 0)]]))
    sheet = rimmed(rng, shield)
    wide = w * rng.uniform(0.12, 0.2)
    kind = str(rng.choice(["cross", "saltire", "chevron", "bend", "fess", "pale"]))
    shape, spots = ordinary(kind, w, h, wide)
    lines = (
        [
            q.exterior
            for q in [shape.buffer(-wide * 0.18, join_style="mitre")]
            if q.geom_type == "Polygon"
        ]
        if kind in ("bend", "chevron", "fess") or rng.random() < 0.5
        else []
    )
    lay(sheet, shape, *lines)
    name = str(rng.choice(["lily", "crescent", "mullet", "rose", "tower", "cross"]))
    figure = charge(rng, name)
    for x, y, size in spots:
        put(sheet, figure, x * w, y * h, size * w * rng.uniform(0.92, 1.0))
    if rng.random() < 0.3 and kind in ("fess", "cross", "chevron"):
        put(sheet, charge(rng, "rose"), w / 2, h * (0.36 if kind == "chevron" else 0.4), wide * 1.5)
    return finish(f"heraldry-{seed}", sheet, rng, islands=0.15, bridge=rng.uniform(1.8, 3.2))
