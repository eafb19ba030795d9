"""Guests of the sky: suns, moons and stars with plain faces."""

import numpy as np
from shapely import LineString, affinity

from tests.make.families.guests_kit import (
    closed,
    curve,
    disc,
    finish,
    lay,
    put,
    rimmed,
    sheet_of,
    taper,
)
from tests.make.families.guests_kit import plate as plate_of
from tests.make.families.strokes import place, star


def face_lines(r):
    """A plain calm face within a disc of radius r: brows with nose, eyes, mouth."""
    lines = [curve([(0.5, -0.26), (0.28, -0.36), (0.08, -0.2), (0.1, 0.14), (0.02, 0.22)])]
    lines.append(curve([(-0.08, -0.2), (-0.28, -0.36), (-0.5, -0.26)]))
    lines += [
        closed(
            [(s * 0.16, -0.14), (s * 0.3, -0.22), (s * 0.44, -0.14), (s * 0.3, -0.08)], (0, 2)
        ).exterior
        for s in (1, -1)
    ]
    lines += [
        curve(
            [
                (-0.24, 0.42),
                (-0.1, 0.38),
                (0, 0.41),
                (0.1, 0.38),
                (0.24, 0.42),
                (0.0, 0.52),
                (-0.24, 0.42),
            ]
        )
    ]
    return [affinity.scale(q, r, r, origin=(0, 0)) for q in lines]


def sun_of(rng, *, face, ring):
    """A sun about the origin: disc of radius about a half, rays to one."""
    core = rng.uniform(0.42, 0.56)
    count = int(rng.choice([8, 10, 12, 16]))
    style = int(rng.integers(0, 3))
    root = core * 2 * np.sin(np.pi / (2 * count)) * rng.uniform(0.75, 0.95)
    rays = []
    for k in range(2 * count):
        a = np.pi * k / count
        if style == 1 or (style == 0 and k % 2):
            wave = [(core * 0.9, 0), (0.66, 0.055), (0.82, -0.055), (0.98, 0.03)]
            rays.append((place(taper(wave, root, 0.014), 0, 0, a), []))
        elif style == 2 and k % 2:
            continue
        else:
            wide = root * (0.55 if style == 0 else 1.0)
            tip = closed([(core * 0.9, -wide), (1.0, 0), (core * 0.9, wide)], (0, 1, 2))
            rays.append(
                (
                    place(tip, 0, 0, a),
                    [place(LineString([(core * 0.9, 0), (1.0, 0)]), 0, 0, a)] if style == 2 else [],
                )
            )
    inner = face_lines(core * 0.9) if face else []
    if ring:
        inner.append(disc(0, 0, core * 0.86).exterior)
    return [*rays, (disc(0, 0, core), inner)]


def crescent(rng, *, face):
    """A crescent moon about the origin, open to +x, radius one."""
    deep = rng.uniform(0.35, 0.5)
    shape = disc(0, 0, 1, 120).difference(disc(deep + 0.2, 0, 1 - deep * 0.55, 120))
    lines = []
    if face:
        lines = [
            curve([(-0.62, -0.3), (-0.5, -0.36), (-0.4, -0.3)]),
            disc(-0.52, -0.2, 0.05).exterior,
            curve([(-0.5, 0.3), (-0.4, 0.34), (-0.32, 0.28)]),
        ]
    return [(shape, [q & shape.buffer(-0.03) for q in lines])]


def suns(seed, rng):
    """Sun, moon and stars with plain faces, among rays that reach the rim or tied by bridges."""
    way = seed % 3
    face, ring = rng.random() < 0.7, rng.random() < 0.5
    if way == 2:
        sheet = rimmed(
            rng,
            plate_of(
                str(rng.choice(["box", "soft", "oval", "barrel", "canted", "hexagon"])),
                rng.uniform(130, 230),
                rng.uniform(70, 110),
                0.2,
            ),
        )
    else:
        sheet = sheet_of(
            rng,
            ("oval", "soft", "box", "canted", "barbed", "notched"),
            size=(85, 170),
            aspect=(0.9, 1.1),
        )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    mid = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    r = min(w, h) / 2
    spots = []
    if way == 0:
        put(
            sheet,
            sun_of(rng, face=face, ring=ring),
            *mid,
            r * rng.uniform(0.92, 1.12),
            rng.uniform(0, 1),
        )
        spots = [
            mid + 0.82 * np.array([sx * w / 2, sy * h / 2]) for sx in (1, -1) for sy in (1, -1)
        ]
        size = r * 0.13
    elif way == 1:
        put(
            sheet,
            crescent(rng, face=face),
            *mid,
            r * rng.uniform(0.86, 1.02),
            rng.uniform(-0.6, 0.3),
        )
        put(
            sheet,
            sun_of(rng, face=False, ring=ring),
            mid[0] + r * 0.28,
            mid[1],
            r * 0.44,
            rng.uniform(0, 1),
        )
        spots = [
            mid + r * rng.uniform(0.8, 1.1) * np.array([np.cos(a), np.sin(a)])
            for a in rng.uniform(-3.1, 3.1, 16)
        ]
        size = r * 0.14
    else:
        put(
            sheet,
            sun_of(rng, face=face, ring=ring),
            x0 + w * 0.27,
            mid[1],
            r * 0.98,
            rng.uniform(0, 1),
        )
        put(
            sheet,
            crescent(rng, face=face),
            x0 + w * 0.74,
            mid[1],
            r * 0.8,
            rng.choice([0.0, np.pi]),
        )
        spots = [
            np.array([x0 + w * rng.uniform(0.45, 0.95), y0 + h * rng.uniform(0.1, 0.9)])
            for _ in range(10)
        ]
        size = r * 0.17
    points = int(rng.choice([5, 5, 6, 8]))
    for x, y in spots:
        shape = place(star(size * rng.uniform(0.7, 1.1), points, 0.42), x, y, rng.uniform(0, 1))
        near = shape.buffer(1.2)
        if sheet.field.buffer(-1).contains(shape) and not any(
            near.intersects(s) for s, _ in sheet.layers
        ):
            lay(sheet, shape)
    return finish(f"suns-{seed}", sheet, rng)
