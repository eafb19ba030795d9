"""Guests from the sea: ships under sail, clouds over waves of scale arcs."""

import numpy as np
import shapely
from shapely import LineString, Polygon

from tests.make.families.guests_kit import (
    closed,
    curve,
    disc,
    finish,
    free_of,
    lay,
    put,
    sheet_of,
    taper,
)
from tests.make.families.strokes import band, place, spiral


def square_sail(rng, wide, tall, *, seams):
    """A bellied sail hung from its yard at the origin, blown to +x."""
    blow = rng.uniform(0.1, 0.22) * wide
    ring = [
        (-wide / 2, 0),
        (wide / 2, 0),
        (wide * 0.5 + blow, tall * 0.5),
        (wide * 0.52, tall),
        (blow * 0.6, tall * 0.9),
        (-wide * 0.52, tall),
        (-wide * 0.5 + blow, tall * 0.5),
    ]
    lines = [
        curve([(x * wide, 0), (x * wide + blow, tall * 0.5), (x * wide + blow * 0.2, tall)])
        for x in (-0.25, 0.0, 0.25)
    ]
    return closed(ring, (0, 1, 3, 5)), lines if seams else []


def lateen(rng, long, *, seams):
    """A three-cornered sail on a slanting yard, foot at the origin."""
    ring = [
        (-0.42 * long, 0.1 * long),
        (0.12 * long, -0.5 * long),
        (0.42 * long, -0.86 * long),
        (0.5 * long, -0.3 * long),
        (0.42 * long, 0.08 * long),
        (0, 0.02 * long),
    ]
    lines = [
        curve([(-0.1 * long, -0.22 * long), (0.12 * long, -0.1 * long), (0.2 * long, 0.04 * long)])
    ]
    lines.append(
        curve([(0.14 * long, -0.5 * long), (0.32 * long, -0.24 * long), (0.36 * long, 0.06 * long)])
    )
    return closed(ring, (0, 2, 4)), lines if seams else []


def hull(rng, way):
    """A hull one long about the origin, deck near y = 0, keel at y = 0.2."""
    if way == 0:
        ring = [
            (-0.5, -0.16),
            (-0.36, -0.15),
            (-0.34, -0.04),
            (0.26, -0.02),
            (0.28, -0.1),
            (0.52, -0.15),
            (0.44, 0.1),
            (0.3, 0.2),
            (-0.34, 0.2),
            (-0.46, 0.05),
        ]
        corners = (0, 1, 2, 3, 4, 5)
    elif way == 1:
        ring = [
            (-0.54, -0.24),
            (-0.44, -0.1),
            (-0.2, 0.0),
            (0.2, 0.0),
            (0.44, -0.1),
            (0.56, -0.3),
            (0.5, -0.02),
            (0.3, 0.16),
            (-0.3, 0.16),
            (-0.5, 0.0),
        ]
        corners = (0, 5)
    else:
        ring = [(-0.48, -0.08), (0.5, -0.08), (0.36, 0.17), (-0.38, 0.17)]
        corners = (0, 1, 2, 3)
    shape = closed(ring, corners)
    lines = [
        curve([(-0.6, y - 0.04), (0, y), (0.6, y - 0.06)])
        for y in (0.05, 0.11)[: int(rng.integers(0, 3))]
    ]
    if way == 0 and rng.random() < 0.6:
        lines = [shapely.box(x, 0.02, x + 0.04, 0.06).exterior for x in (-0.22, -0.08, 0.06, 0.2)]
    if way == 1:
        lines += [
            disc(x, 0.03 - 0.32 * x**2, 0.036).exterior
            for x in np.linspace(-0.3, 0.3, int(rng.integers(5, 8)))
        ]
    return shape, lines


def ship(rng):
    """A ship one long, water line near y = 0.14, sails to y = -1."""
    way, seams = int(rng.integers(0, 3)), rng.random() < 0.6
    masts = (
        {0: (-0.22, 0.12), 1: (0.0,), 2: (-0.05,)}[way]
        if rng.random() < 0.6
        else {0: (-0.3, 0.0, 0.3), 1: (-0.02,), 2: (-0.24, 0.16)}[way]
    )
    found, thick = [], 0.032
    rig = rng.random() < 0.7
    tops = []
    for k, x in enumerate(masts):
        top = -rng.uniform(0.84, 1.0) + 0.12 * abs(k - (len(masts) - 1) / 2)
        tops.append((x, top))
        found.append((taper([(x, 0.05), (x, top / 2), (x, top)], thick, thick * 0.6), []))
    if rig:
        ends = [(0.56, -0.16), (-0.5, -0.12)]
        for (x, top), end in zip((tops[-1], tops[0]), ends, strict=True):
            found.append((band(np.array([(x, top + 0.04), end]), 0.021), []))
    for x, top in tops:
        if way == 2 or (way == 0 and x == masts[0] and rng.random() < 0.3):
            shape, lines = lateen(rng, -top * 0.85, seams=seams)
            found.append((place(shape, x, -0.12), [place(q, x, -0.12) for q in lines]))
            continue
        stages = 1 if way == 1 else int(rng.integers(1, 4))
        room = -top - 0.2
        wide = (0.62 if len(masts) == 1 else 0.8 / len(masts)) * (1.25 if way == 1 else 1.0)
        y = top + 0.07
        for s in range(stages):
            tall = room / stages * (0.8 + 0.12 * s)
            broad = wide * (0.72 + 0.28 * (s + 1) / stages)
            shape, lines = square_sail(rng, broad, tall * 0.88, seams=seams)
            found.append((place(shape, x, y), [place(q, x, y) for q in lines]))
            found.append(
                (band(np.array([(x - broad * 0.56, y), (x + broad * 0.56, y)]), thick * 0.8), [])
            )
            y += tall
    for x, top in tops:
        flag = closed(
            [
                (0, 0),
                (-0.12, -0.03),
                (-0.22, 0.01),
                (-0.16, 0.05),
                (-0.22, 0.09),
                (-0.1, 0.06),
                (0, 0.08),
            ],
            (0, 2, 3, 4, 6),
        )
        found.append((place(flag, x + 0.006, top - 0.03, 0, rng.uniform(0.7, 1)), []))
    if way == 0:
        found.append((taper([(0.4, -0.06), (0.6, -0.17), (0.7, -0.22)], thick, thick * 0.6), []))
    found.append(hull(rng, way))
    return found


def sea(sheet, rng, top, *, style):
    """Water from `top` down: rows of scales, or long rollers with curling crests."""
    x0, _, x1, y1 = sheet.field.bounds
    w = x1 - x0
    if style == "scales":
        r = w / rng.uniform(7, 12)
        y, k = top + r * 0.6, 0
        while y < y1 + 1.4 * r:
            for x in np.arange(x0 - r + (k % 2) * r, x1 + 2 * r, 2 * r):
                rings = [disc(x, y, r * q).exterior for q in (0.68, 0.36)]
                lay(sheet, disc(x, y, r), *rings)
            y, k = y + 0.52 * r, k + 1
        return
    rows = int(rng.integers(2, 4))
    for row in range(rows):
        base = top + (y1 - top) * row / rows
        period = w / rng.uniform(4, 7)
        x = np.linspace(x0 - 6, x1 + 6, 260)
        crest = base + (y1 - top) * 0.16 * np.sin(2 * np.pi * (x - x0) / period + row * 2.1)
        body = Polygon(
            np.vstack([np.column_stack([x, crest]), [(x1 + 6, y1 + 6), (x0 - 6, y1 + 6)]])
        )
        lines = (
            [LineString(np.column_stack([x, crest + (y1 - top) / rows * 0.4]))]
            if rng.random() < 0.5
            else []
        )
        lay(sheet, body, *lines)


def ships(seed, rng):
    """One ship or two under sail on waves, now with sun, gulls or clouds."""
    sheet = sheet_of(
        rng,
        ("box", "soft", "oval", "arch", "notched", "canted", "ogive"),
        size=(95, 180),
        aspect=(0.85, 1.2),
    )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    top = y1 - h * rng.uniform(0.16, 0.26)
    if rng.random() < 0.4:
        for k in range(int(rng.integers(1, 4))):
            cloud(
                sheet,
                rng,
                x0 + w * (k + rng.uniform(0.1, 0.9)) / 3,
                y0 + h * rng.uniform(0.1, 0.3),
                w * 0.2,
            )
    two = rng.random() < 0.25 and w > h
    for k in range(1 + two):
        size = min((top - y0) * 0.86, w * (0.5 if two else 0.74))
        x = x0 + w * ((0.28 + 0.45 * k) if two else rng.uniform(0.46, 0.54))
        figure = ship(rng)
        put(
            sheet,
            figure,
            x,
            top - size * 0.1,
            size,
            rng.uniform(-0.06, 0.06),
            mirror=rng.random() < 0.4,
        )
    sea(sheet, rng, top, style="scales" if rng.random() < 0.5 else "rollers")
    return finish(f"ships-{seed}", sheet, rng)


def cloud(sheet, rng, x, y, wide):
    """A puffed cloud with a curl or two and a flat, drawn-out foot."""
    tufts = int(rng.integers(3, 6))
    at = np.linspace(-0.42, 0.42, tufts)
    r = (0.15 + 0.1 * np.cos(at * 3)) * rng.uniform(0.85, 1.15, tufts)
    body = shapely.union_all([disc(a, -q * 0.8, q) for a, q in zip(at, r, strict=True)])
    foot = closed([(-0.85, 0.03), (-0.4, -0.07), (0.4, -0.07), (0.85, 0.03), (0, 0.07)], (0, 3))
    whole = shapely.union_all([body, foot])
    curls = (
        [
            LineString(spiral(a, -q * 0.8, q * 0.62, 1.2, start=2.4))
            for a, q in zip(at[::2], r[::2], strict=True)
        ]
        if rng.random() < 0.7
        else []
    )
    put(sheet, [(whole, curls)], x, y, wide)


def scale_arcs(field, r, rings, *, lying):
    """Scales in rows lapped like tiles, each of bands by turns leather and open.

    Returns:
        The leather and the visible arcs.
    """
    x0, y0, x1, y1 = field.bounds
    spots = []
    y, k = y0 - r, 0
    while y < y1 + 2 * r:
        spots += [(x, y) for x in np.arange(x0 - 2 * r + (k % 2) * r, x1 + 2 * r, 2 * r)]
        y, k = y + r * lying, k + 1
    leather, arcs, cover = [], [], Polygon()
    for x, y in spots[::-1]:
        whole = disc(x, y, r)
        if not whole.intersects(field):
            continue
        seen = whole.difference(cover)
        own = shapely.union_all(
            [
                disc(x, y, r * a).difference(disc(x, y, r * b)) if b else disc(x, y, r * a)
                for a, b in rings
            ]
        )
        leather.append(own & seen)
        arcs.append(whole.exterior.difference(cover.buffer(-1e-3)))
        cover = cover.union(whole)
    return shapely.union_all(leather), arcs


def clouds(seed, rng):
    """Clouds and waves: scale arcs cut open between their bands, or a sea of scales under curling clouds."""
    way = seed % 3
    if way == 0:
        sheet = sheet_of(
            rng, ("box", "soft", "oval", "canted", "ogive", "barbed", "notched"), size=(80, 160)
        )
        x0, y0, x1, y1 = sheet.field.bounds
        r = (x1 - x0) / rng.uniform(4.2, 7)
        t = max(0.14, 1.6 / r)
        rings = (
            [(1.0, 1.0 - t), (0.68, 0.68 - t), (0.68 - 1.9 * t, 0)]
            if r > 11 and rng.random() < 0.6
            else [(1.0, 1.0 - t), (0.62, 0)]
        )
        leather, arcs = scale_arcs(sheet.field, r, rings, lying=rng.uniform(0.5, 0.66))
        lay(sheet, leather, *(arcs if rng.random() < 0.6 else []))
        return finish(f"clouds-{seed}", sheet, rng)
    sheet = sheet_of(
        rng,
        ("box", "soft", "oval", "arch", "canted", "barrel"),
        size=(110, 220),
        aspect=(0.45, 0.9) if way == 1 else (0.9, 1.2),
    )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    if rng.random() < 0.5:
        lay(
            sheet,
            disc(
                x0 + w * rng.uniform(0.3, 0.7),
                y0 + h * rng.uniform(0.25, 0.4),
                min(w, h) * rng.uniform(0.1, 0.18),
            ),
        )
    rows = int(rng.integers(2, 4))
    for row in range(rows):
        for k in range(int(rng.integers(2, 4))):
            x = x0 + w * (k + 0.5 + 0.3 * (row % 2) + rng.uniform(-0.2, 0.2)) / 3
            cloud(
                sheet,
                rng,
                x,
                y0 + h * (0.16 + 0.5 * row / rows + rng.uniform(-0.04, 0.04)),
                min(w * 0.2, h * 0.32) * rng.uniform(0.8, 1.2),
            )
    if rng.random() < 0.5:
        for _ in range(int(rng.integers(2, 5))):
            x, y = x0 + w * rng.uniform(0.1, 0.9), y0 + h * rng.uniform(0.1, 0.6)
            s = min(w, h) * 0.06
            gull = shapely.union_all(
                [
                    taper([(x, y), (x + q * s, y - 0.5 * s), (x + q * 2.2 * s, y)], 1.8, 0.6)
                    for q in (1, -1)
                ]
            )
            if free_of(sheet, gull, 1.5):
                lay(sheet, gull)
    sea(sheet, rng, y1 - h * rng.uniform(0.2, 0.34), style="scales")
    return finish(f"clouds-{seed}", sheet, rng)
