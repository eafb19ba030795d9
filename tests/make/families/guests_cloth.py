"""Guests from cloth: paisley drops, pomegranates in an ogee net."""

import numpy as np
import shapely
from shapely import LineString

from tests.make.families.guests_kit import (
    closed,
    curve,
    disc,
    finish,
    free_of,
    lay,
    pierce,
    plate,
    put,
    ribbon,
    rimmed,
    sheet_of,
    taper,
    under,
)
from tests.make.families.scene import flip, polygons
from tests.make.families.strokes import flower, place


def drop_shape(rng):
    """A paisley drop about one high, its tip curling to +x."""
    j = rng.uniform(-0.03, 0.03, 6)
    ring = [
        (0.1, -0.6),
        (0.4, -0.72 + j[0]),
        (0.5, -0.6),
        (0.3, -0.54),
        (0.2, -0.36 + j[1]),
        (0.34, -0.08),
        (0.38, 0.18 + j[2]),
        (0.2, 0.38),
        (0, 0.42),
        (-0.24, 0.34),
        (-0.38, 0.1 + j[3]),
        (-0.32, -0.18),
        (-0.14, -0.42 + j[4]),
    ]
    return closed(ring, (2,))


def paisley(rng, *, rings, heart, fringe):
    """A paisley drop of drops within drops, with a fringe of beads or leaves round it.

    Returns:
        The figure and the openings in it.
    """
    shape = drop_shape(rng)
    edge = shape.exterior
    found, holes = [], []
    if fringe:
        count = int(rng.integers(18, 30))
        for k in range(count):
            at = edge.interpolate((k + 0.5) / count, normalized=True)
            if fringe == "beads":
                found.append((disc(at.x, at.y, edge.length / count * 0.46), []))
            else:
                ahead = edge.interpolate(((k + 0.6) / count) % 1, normalized=True)
                turn = np.arctan2(ahead.y - at.y, ahead.x - at.x) + (
                    np.pi / 2 if edge.is_ccw else -np.pi / 2
                )
                leaf = closed(
                    [(-0.03, -0.05), (0.07, -0.05), (0.15, 0), (0.07, 0.05), (-0.03, 0.05)],
                    (0, 2, 4),
                )
                found.append((place(leaf, at.x, at.y, turn + np.pi), []))
    inner, at = [], 0.0
    for step in rings:
        at += step
        inner += [p.exterior for p in polygons(shape.buffer(-at), 0.01)]
    core = max(polygons(shape.buffer(-at)), key=lambda p: p.area)
    found.append((shape, inner))
    middle = core.representative_point()
    x, y = (middle.x + 0.0, 0.1)
    if heart == "open":
        gap = shape.buffer(-0.075).difference(shape.buffer(-0.15))
        bars = shapely.union_all(
            [
                LineString([(x, 0), (x + 2 * np.cos(a), 2 * np.sin(a))]).buffer(0.03)
                for a in (0.3, 1.8, 3.2, 4.7)
            ]
        )
        holes = polygons(gap.difference(bars), 0.004)
        found[-1] = (shape, [])
        found.append((place(flower(0.11, 6), x, y), [disc(x, y, 0.035).exterior]))
    elif heart == "flower":
        for k in range(6):
            petal = closed([(0.02, 0), (0.08, -0.045), (0.14, 0), (0.08, 0.045)], (0, 2))
            found.append((place(petal, x, y, k * np.pi / 3), []))
        found.append((disc(x, y, 0.03), []))
    else:
        found[-1][1].extend(
            disc(x + 0.08 * np.cos(a), y + 0.08 * np.sin(a), 0.025).exterior
            for a in np.arange(5) * 1.257
        )
        found[-1][1].append(disc(x, y, 0.03).exterior)
    return found, holes


def paisleys(seed, rng):
    """Paisley drops: rows that turn by turns, a pair head to tail in a round, or a border; stems and sprigs between."""
    way = seed % 3
    rings = list(rng.uniform(0.045, 0.07, int(rng.integers(1, 4))))
    heart = str(rng.choice(["open", "flower", "dots"]))
    fringe = rng.choice(["", "beads", "leaves"])
    if way == 0:
        sheet = sheet_of(rng, ("box", "soft", "canted", "arch"), size=(110, 190))
        x0, y0, x1, y1 = sheet.field.bounds
        nx = int(rng.integers(2, 5))
        cell = (x1 - x0) / nx
        ny = max(1, round((y1 - y0) / (cell * 1.25)))
        high = (y1 - y0) / ny
        spots = [
            (
                x0 + cell * (i + 0.5),
                y0 + high * (j + 0.56),
                min(cell / 0.98, high / 1.22) * 0.92,
                (i + j) % 2,
            )
            for i in range(nx)
            for j in range(ny)
        ]
        turn = rng.uniform(-0.2, 0.3)
    elif way == 1:
        sheet = sheet_of(rng, ("oval", "soft", "canted", "notched"), size=(100, 165), aspect=(1, 1))
        x0, y0, x1, y1 = sheet.field.bounds
        r = (x1 - x0) / 2
        count = int(rng.integers(2, 6))
        size = r * (0.98 if count == 2 else 0.9 if count == 3 else 1.5 / count + 0.4)
        spots = [
            (
                (x0 + x1) / 2 + r * 0.52 * np.cos(a),
                (y0 + y1) / 2 + r * 0.52 * np.sin(a),
                size * 0.8,
                a,
            )
            for a in 2 * np.pi * np.arange(count) / count + rng.uniform(0, 1)
        ]
        turn = 0.0
    else:
        tall = rng.uniform(58, 76)
        sheet = rimmed(
            rng, plate(str(rng.choice(["box", "soft", "barrel"])), rng.uniform(150, 250), tall, 0.2)
        )
        x0, y0, x1, y1 = sheet.field.bounds
        n = max(2, round((x1 - x0) / ((y1 - y0) * rng.uniform(0.8, 1.0))))
        spots = [
            (
                x0 + (x1 - x0) * (k + 0.5) / n,
                (y0 + y1) / 2 + (0.06 if k % 2 else -0.06) * (y1 - y0),
                (y1 - y0) * 0.76,
                k % 2,
            )
            for k in range(n)
        ]
        turn = 0.0
    openings = []
    for x, y, size, odd in spots:
        figure, holes = paisley(rng, rings=rings, heart=heart, fringe=fringe)
        a, mirror = (
            (odd + np.pi / 2, False)
            if way == 1
            else (turn + (np.pi if odd and way == 2 else 0), bool(odd) and way == 0)
        )
        put(sheet, figure, x, y, size, a, mirror=mirror)
        openings += [place(flip(q, 0.0) if mirror else q, x, y, a, size) for q in holes]
    if openings:
        pierce(sheet, shapely.union_all(openings))
    size = spots[0][2]
    for _ in range(40):
        x, y = rng.uniform(x0, x1), rng.uniform(y0, y1)
        r = size * rng.uniform(0.07, 0.13)
        sprig = place(flower(1, int(rng.integers(5, 8)), depth=0.4), x, y, rng.uniform(0, 3), r)
        if free_of(sheet, sprig, 0.9) and sheet.field.buffer(-0.9).contains(sprig):
            lay(sheet, sprig, disc(x, y, r * 0.35).exterior)
    return finish(f"paisleys-{seed}", sheet, rng, islands=0.05)


def pomegranate(rng, *, diaper, collar):
    """A pomegranate about one high standing on its stalk at the origin, up is -y."""
    found = []
    for s in (1, -1):
        for k, (turn, long) in enumerate(((0.25, 0.46), (0.75, 0.6), (1.2, 0.66))[: 1 + collar]):
            leaf = closed(
                [
                    (0, -0.05),
                    (long * 0.3, -0.15),
                    (long * 0.7, -0.12),
                    (long, 0.02),
                    (long * 0.6, 0.1),
                    (long * 0.25, 0.1),
                    (0, 0.05),
                ],
                (0, 3, 6),
            )
            moved = place(leaf, 0.02, -0.06 + 0.02 * k, -turn)
            vein = place(
                curve([(0.05, 0), (long * 0.4, -0.02), (long * 0.8, -0.01)]),
                0.02,
                -0.06 + 0.02 * k,
                -turn,
            )
            found.append((moved, [vein]) if s > 0 else (flip(moved, 0.0), [flip(vein, 0.0)]))
    found.insert(0, (taper([(0, 0.3), (0, 0.0), (0, -0.2)], 0.09, 0.08), []))
    for a in (-0.6, 0.6, -0.3, 0.3, 0.0):
        tooth = closed(
            [(-0.05, 0.04), (-0.06, -0.12), (0, -0.24), (0.06, -0.12), (0.05, 0.04)], (0, 2, 4)
        )
        found.append((place(tooth, 0.12 * a, -0.76, a), []))
    body = closed(
        [
            (0, -0.1),
            (0.2, -0.14),
            (0.32, -0.34),
            (0.28, -0.58),
            (0.1, -0.76),
            (-0.1, -0.76),
            (-0.28, -0.58),
            (-0.32, -0.34),
            (-0.2, -0.14),
        ],
        (4, 5),
    )
    lines = []
    if diaper == "net":
        for c in np.arange(-1.0, 1.2, rng.uniform(0.13, 0.2)):
            lines += [
                LineString([(c - 0.5, -0.9), (c + 0.5, 0.1)]),
                LineString([(c + 0.5, -0.9), (c - 0.5, 0.1)]),
            ]
    elif diaper == "slit":
        split = closed([(0, -0.66), (0.13, -0.4), (0, -0.18), (-0.13, -0.4)], (0, 2))
        lines = [
            split.exterior,
            *(
                disc(x, y, 0.028).exterior
                for x, y in ((0, -0.52), (0.045, -0.42), (-0.045, -0.42), (0, -0.32))
            ),
        ]
    elif diaper == "ribs":
        lines = [
            curve([(0.08 * s, -0.74), (0.24 * s, -0.42), (0.1 * s, -0.12)])
            for s in (-1, -0.35, 0.35, 1)
        ]
    found.append((body, lines))
    return found


def pomegranates(seed, rng):
    """Damask: an ogee net of bands, a pomegranate with leaves in every mesh, bosses on the joints."""
    kinds = ("box", "soft", "canted", "ogive", "arch", "oval")
    sheet = sheet_of(rng, kinds, size=(100, 190), aspect=(0.8, 1.35))
    x0, y0, x1, y1 = sheet.field.bounds
    nx = int(rng.choice([1, 2, 2, 3]))
    pitch = (x1 - x0) / (nx * rng.uniform(0.96, 1.1))
    tall = pitch * rng.uniform(1.3, 1.6)
    wide, bow = max(1.8, pitch * rng.uniform(0.05, 0.09)), rng.uniform(0.75, 1.0)
    mid, level = (x0 + x1) / 2, (y0 + y1) / 2 + (tall / 2 if rng.random() < 0.3 else 0)
    rows = int((y1 - y0) / tall) + 2
    y = np.linspace(level - tall * rows, level + tall * rows, 160 * rows)
    wave = np.cos(2 * np.pi * (y - level) / tall)
    wave = np.sign(wave) * np.abs(wave) ** bow * pitch / 4
    for k in range(-2 * nx - 2, 2 * nx + 3):
        lay(
            sheet,
            ribbon(
                np.column_stack([mid + pitch * (k + 0.5) / 2 + wave * (-1 if k % 2 else 1), y]),
                wide,
            ),
        )
    joint = str(rng.choice(["none", "boss", "flower", "leaf"]))
    diaper, collar = str(rng.choice(["net", "slit", "ribs", "plain"])), int(rng.integers(0, 3))
    size = min(pitch * rng.uniform(0.5, 0.58), tall * 0.5)
    figure = pomegranate(rng, diaper=diaper, collar=collar)
    for j in range(-2 * rows, 2 * rows + 1):
        for i in range(-nx - 1, nx + 2):
            x, foot = mid + pitch * (i + 0.5 * (j % 2)), level + tall * (j + 1) / 2
            if not (x0 - pitch / 2 < x < x1 + pitch / 2 and y0 < foot < y1 + tall):
                continue
            under(
                sheet,
                taper(
                    [(x, foot), (x, foot - tall * 0.15), (x, foot - tall * 0.3)],
                    wide * 0.8,
                    wide * 0.8,
                ),
            )
            put(sheet, figure, x, foot - tall / 2 + size * 0.46, size)
            if joint == "boss":
                lay(sheet, disc(x, foot, wide * 1.3), disc(x, foot, wide * 0.6).exterior)
            elif joint == "flower":
                lay(sheet, place(flower(wide * 2, 6), x, foot), disc(x, foot, wide * 0.7).exterior)
            elif joint == "leaf":
                for s in (1, -1):
                    leaf = closed([(0, -0.2), (0.5, -0.34), (1, 0), (0.5, 0.34), (0, 0.2)], (2,))
                    lay(sheet, place(leaf, x, foot, np.pi / 2 - s * 0.6, wide * 2.6))
    return finish(f"pomegranates-{seed}", sheet, rng, islands=0.05)
