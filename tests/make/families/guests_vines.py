"""Guests that climb: grapes on a trellis, tooled flowers in swirling stems."""

import numpy as np
import shapely
from shapely import LineString

from tests.make.families.guests_kit import (
    closed,
    curve,
    disc,
    finish,
    heading,
    lay,
    put,
    ribbon,
    rimmed,
    sheet_of,
    taper,
    under,
)
from tests.make.families.guests_kit import plate as plate_of
from tests.make.families.strokes import band, place, spline


def vine_leaf(rng, *, teeth, veins):
    """A five-lobed vine leaf, stalk at the origin, tip along +x, about one across."""
    tips = [(0.0, 1.0), (0.95, 0.86), (1.9, 0.62)]
    ring = []
    for a, r in tips:
        r *= rng.uniform(0.94, 1.06)
        steps = (
            [(-0.3, 0.78), (-0.14, 0.8), (0, 1.0), (0.14, 0.8), (0.3, 0.78)]
            if teeth
            else [(-0.26, 0.76), (0, 1.0), (0.26, 0.76)]
        )
        ring += [(a + d, r * q) for d, q in steps] + [(a + 0.48, r * 0.46)]
    ring = ring[len(ring) // 6 :] if ring[0][0] < 0 else ring
    half = sorted((a, r) for a, r in ring if a >= 0)
    half[0] = (0.0, half[0][1])
    polar = [*half, (2.75, 0.34), (np.pi, 0.1), *[(-a, r) for a, r in half[:0:-1]]]
    polar.insert(len(half) + 2, (-2.75, 0.34))
    points = [(0.1 + 0.52 * r * np.cos(a), 0.56 * r * np.sin(a)) for a, r in polar]
    shape = closed(points, [k for k, (a, r) in enumerate(polar) if abs(a) in [t for t, _ in tips]])
    lines = (
        [
            LineString([(0.12, 0), (0.1 + 0.42 * r * np.cos(a * s), 0.46 * r * np.sin(a * s))])
            for a, r in tips
            for s in (1, -1)
        ][1:]
        if veins
        else []
    )
    return [(shape, lines)]


def bunch(rng, rows):
    """Grapes hanging from the origin along +y, about one long."""
    r = 0.52 / rows
    found = []
    for k in range(rows):
        n = max(1, min(k + 2, rows - k + 1, 4))
        for j in range(n):
            x = (j - (n - 1) / 2) * 1.85 * r + rng.normal(0, 0.08 * r)
            found.append((disc(x, 0.1 + r + k * 1.62 * r, r), []))
    order = rng.permutation(len(found))
    return [found[k] for k in order]


def grapes(seed, rng):
    """A vine on a trellis: bars square or slanting, a winding stem, leaves and hanging bunches."""
    sheet = sheet_of(rng, ("box", "soft", "arch", "canted", "barrel"), size=(100, 180))
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    bars, wide = int(rng.integers(2, 5)), w * rng.uniform(0.02, 0.035)
    reach = w + h
    if seed % 2:
        for k in range(1, bars + 1):
            x = x0 + w * k / (bars + 1)
            lay(sheet, shapely.box(x - wide / 2, y0 - 5, x + wide / 2, y1 + 5))
        for k in range(1, bars):
            y = y0 + h * k / bars
            lay(sheet, shapely.box(x0 - 5, y - wide / 2, x1 + 5, y + wide / 2))
    else:
        for s in (1, -1):
            for k in range(-2 * bars, 2 * bars):
                x = (x0 + x1) / 2 + w * (k + 0.5) / bars
                lay(
                    sheet,
                    band(
                        np.array(
                            [
                                (x - s * reach, y0 - reach + h / 2),
                                (x + s * reach, y0 + reach + h / 2),
                            ]
                        ),
                        wide,
                        round_ends=False,
                    ),
                )
    swing = rng.uniform(0.18, 0.3) * w
    y = np.linspace(y1 + 4, y0 + h * 0.06, 120)
    mid = (x0 + x1) / 2
    run = np.column_stack(
        [mid + swing * np.sin((y1 - y) / h * np.pi * rng.uniform(1.6, 2.6) + rng.uniform(0, 6)), y]
    )
    lay(sheet, band(run, np.linspace(w * 0.045, w * 0.02, len(run))))
    count = int(rng.integers(4, 7))
    size = min(w, h) * rng.uniform(0.28, 0.38)
    teeth, veins, rows = rng.random() < 0.5, rng.random() < 0.7, int(rng.integers(4, 6))
    spots = []
    for k in range(count):
        i = int((k + 0.5) / count * len(run))
        side = 1 if run[i, 0] < mid else -1
        side = side if rng.random() < 0.75 else -side
        far = rng.uniform(0.15, 0.45) * size
        spots.append(
            (run[i], (run[i, 0] + side * far, run[i, 1] - rng.uniform(-0.1, 0.3) * size), side)
        )
    for (sx, sy), (x, y), side in spots:
        under(
            sheet,
            taper(
                [(sx, sy), ((sx + x) / 2, (sy + y) / 2 - size * 0.05), (x, y)], w * 0.02, w * 0.014
            ),
        )
        turn = (0 if side > 0 else np.pi) + rng.uniform(-0.5, 0.5)
        put(
            sheet,
            vine_leaf(rng, teeth=teeth, veins=veins),
            x,
            y,
            size * rng.uniform(0.9, 1.15),
            turn,
        )
    for k in range(int(rng.integers(2, 5))):
        i = int((k + 0.3) / 4 * len(run))
        side = -1 if run[i, 0] < mid else 1
        x = float(
            np.clip(
                run[i, 0] - side * size * rng.uniform(0.5, 0.9), x0 + 0.3 * size, x1 - 0.3 * size
            )
        )
        y = run[i, 1] - 0.1 * size
        under(
            sheet,
            taper(
                [run[i], ((run[i, 0] + x) / 2, y - size * 0.12), (x, y + size * 0.15)],
                w * 0.018,
                w * 0.016,
            ),
        )
        put(sheet, bunch(rng, rows), x, y, size * rng.uniform(0.9, 1.1))
    return finish(f"grapes-{seed}", sheet, rng)


def tooled_flower(rng, petals, *, lines):
    """A tooled flower about the origin, radius one: heart-shaped petals lapped over one another, a boss."""
    turn, found = rng.uniform(0, 6.3), []
    step = 2 * np.pi / petals
    for k in range(petals):
        a = step * 0.62
        ring = [
            (0.15 * np.cos(-a), 0.15 * np.sin(-a)),
            (0.7 * np.cos(a), -0.7 * np.sin(a)),
            (0.98 * np.cos(a * 0.6), -0.98 * np.sin(a * 0.6)),
            (1.0 * np.cos(a * 0.2), -np.sin(a * 0.2)),
            (0.86, 0),
        ]
        ring += [(x, -y) for x, y in ring[3::-1]]
        petal = closed(ring, (0, 4, 8))
        marks = (
            [curve([(0.35, y * 0.4), (0.6, y), (0.74, y * 1.5)]) for y in (-0.12, 0.0, 0.12)]
            if lines
            else []
        )
        found.append(
            (place(petal, 0, 0, turn + k * step), [place(m, 0, 0, turn + k * step) for m in marks])
        )
    found.append((disc(0, 0, 0.3), [disc(0, 0, 0.2).exterior] if rng.random() < 0.5 else []))
    return found


def tooled_leaf(rng, scallops, *, vein):
    """A leaf along +x, one long, curling to one side, its outer edge scalloped."""
    spine = spline([(0, 0), (0.35, -0.12), (0.72, -0.06), (1.0, 0.16)], per=20)
    ring = [tuple(spine[0])]
    for k in range(scallops):
        for t, out in ((0.15, 0.85), (0.5, 1.05), (0.85, 0.95), (1.0, 0.72)):
            at = (k + t) / (scallops + 0.3)
            i = int(at * (len(spine) - 1))
            ring.append(
                (
                    spine[i, 0] - 0.06 * at,
                    spine[i, 1] - 0.3 * out * np.sin(np.pi * (0.15 + 0.75 * at)),
                )
            )
    corners = [4 * (k + 1) for k in range(scallops)]
    ring.append(tuple(spine[-1]))
    ring += [(0.74, 0.12), (0.36, 0.1)]
    shape = closed(ring, [0, *corners, len(ring) - 3])
    return [(shape, [LineString(spine[2:-6])] if vein else [])]


def carved(seed, rng):
    """Tooled belts, corners and rounds: stems swirl about five-petalled flowers, scalloped leaves fill."""
    way = seed % 3
    if way == 0:
        long, tall = rng.uniform(150, 250), rng.uniform(58, 85)
        sheet = rimmed(
            rng, plate_of(str(rng.choice(["box", "soft", "canted", "barrel"])), long, tall, 0.2)
        )
    else:
        sheet = sheet_of(
            rng,
            ("box", "soft", "notched", "arch") if way == 1 else ("oval",),
            aspect=(0.8, 1.25) if way == 1 else (1, 1),
        )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    if way == 0:
        r = h * 0.47
        n = max(2, round(w / (2.25 * r)))
        spots = [
            (x0 + w * (k + 0.5) / n, (y0 + y1) / 2, r, np.pi, 1 if k % 2 else -1) for k in range(n)
        ]
    elif way == 1:
        r = min(w, h) * rng.uniform(0.23, 0.27)
        spots = [
            (x, y, r, np.arctan2((y0 + y1) / 2 - y, (x0 + x1) / 2 - x) + 0.4, s)
            for x, y, s in (
                (x0 + r, y0 + r, 1),
                (x1 - r, y0 + r, -1),
                (x1 - r, y1 - r, 1),
                (x0 + r, y1 - r, -1),
            )
        ]
    else:
        n = int(rng.integers(3, 6))
        r = w / 2 * np.sin(np.pi / n) / (1 + np.sin(np.pi / n)) * 0.98
        far = w / 2 - r
        spots = [
            ((x0 + x1) / 2 + far * np.cos(a), (y0 + y1) / 2 + far * np.sin(a), r, a + np.pi, 1)
            for a in 2 * np.pi * np.arange(n) / n
        ]
    thick, petals = max(1.8, r * rng.uniform(0.09, 0.14)), int(rng.choice([5, 5, 5, 6]))
    scallops, vein, marks = int(rng.integers(3, 6)), rng.random() < 0.6, rng.random() < 0.5
    for x, y, r, start, hand in spots:
        t = np.linspace(0, 1, 70)
        a = start + hand * 2 * np.pi * rng.uniform(0.8, 0.95) * t
        far = r * (0.88 - 0.4 * t**2.2)
        run = np.column_stack([x + far * np.cos(a), y + far * np.sin(a)])
        tail = run[0] + 0.5 * r * np.array(
            [[np.cos(start - hand * 0.9), np.sin(start - hand * 0.9)]]
        )
        run = np.vstack(
            [spline([tail[0], (tail[0] + run[0]) / 2 + 0.02 * r, run[0]], per=8)[:-1], run]
        )
        under(sheet, ribbon(run, np.linspace(thick * 1.3, thick * 0.7, len(run))))
        for k in range(int(rng.integers(5, 8))):
            i = int((0.16 + 0.84 * k / 7) * (len(run) - 1))
            out = k % 2 == 0
            turn = heading(run, i) + hand * (-0.5 if out else 0.75)
            size = r * rng.uniform(0.62, 0.78) * (1 if out else 0.75)
            put(sheet, tooled_leaf(rng, scallops, vein=vein), *run[i], size, turn, mirror=False)
        put(sheet, tooled_flower(rng, petals, lines=marks), x, y, r * rng.uniform(0.46, 0.54))
    if way:
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        inner = min(w, h) * (0.2 if way == 1 else max(0.12, 0.5 - 2 * r / w) * 0.9)
        put(sheet, tooled_flower(rng, petals + 1, lines=marks), x, y, inner)
    return finish(f"carved-{seed}", sheet, rng)
