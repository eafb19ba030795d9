"""Guests from the woods: oak twigs with acorns, mushrooms among ferns."""

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
from tests.make.families.strokes import band, spline


def oak_leaf(rng, lobes, depth, *, veins):
    """An oak leaf along +x, one long: rounded lobes, deep bays, a midrib."""
    side = []
    for k in range(lobes):
        at = 0.14 + 0.72 * k / lobes
        wide = 0.33 * np.sin(np.pi * (0.18 + 0.66 * (k + 0.5) / lobes)) * rng.uniform(0.92, 1.08)
        step = 0.72 / lobes
        side += [
            (at + 0.08 * step, -wide * (1 - depth)),
            (at + 0.45 * step, -wide),
            (at + 0.85 * step, -wide * 0.96),
        ]
    side += [(0.87, -0.1), (0.95, -0.085)]
    ring = [(0, -0.012), *side, (1, 0), *[(x, -y) for x, y in side[::-1]], (0, 0.012)]
    shape = closed(ring, corners=(0, len(ring) - 1))
    lines = []
    if veins:
        lines.append(LineString([(0, 0), (0.9, 0)]))
        for k in range(lobes if veins > 1 else 0):
            at = 0.14 + 0.72 * (k + 0.1) / lobes
            reach = 0.2 * np.sin(np.pi * (0.18 + 0.66 * (k + 0.5) / lobes))
            lines += [LineString([(at, 0), (at + 0.09, s * reach)]) for s in (-1, 1)]
    return [(shape, lines)]


def acorn(rng, *, hatch):
    """An acorn along +x, about one long, cap towards the stalk."""
    nut = closed(
        [(0.3, -0.2), (0.6, -0.22), (0.86, -0.1), (1, 0), (0.86, 0.1), (0.6, 0.22), (0.3, 0.2)],
        (3,),
    )
    cap = closed(
        [
            (0.08, 0),
            (0.14, -0.19),
            (0.3, -0.27),
            (0.42, -0.26),
            (0.45, 0),
            (0.42, 0.26),
            (0.3, 0.27),
            (0.14, 0.19),
        ]
    )
    lines = []
    if hatch:
        for s in np.linspace(-0.3, 0.5, int(rng.integers(3, 6))):
            lines += [
                LineString([(s, -0.3), (s + 0.3, 0.3)]),
                LineString([(s + 0.3, -0.3), (s, 0.3)]),
            ]
    return [(nut, []), (cap, lines)]


def oaks(seed, rng):
    """Oak twigs with lobed leaves and acorns: a branch across a panel, a wreath, or a band."""
    way = seed % 3
    lobes, depth, veins = int(rng.integers(3, 5)), rng.uniform(0.45, 0.62), int(rng.integers(0, 3))
    if way == 2:
        long, tall = rng.uniform(170, 250), rng.uniform(58, 80)
        sheet = rimmed(rng, plate_of(str(rng.choice(["box", "soft", "barrel"])), long, tall, 0.2))
    else:
        sheet = sheet_of(
            rng,
            ("oval", "soft", "box", "notched") if way == 0 else ("oval",),
            aspect=(0.8, 1.2) if way == 0 else (1, 1),
        )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    if way == 0:
        run = spline(
            [
                (x0 - 3, y1 - 0.1 * h),
                (x0 + 0.3 * w, y0 + rng.uniform(0.5, 0.75) * h),
                (x0 + 0.62 * w, y0 + rng.uniform(0.3, 0.55) * h),
                (x0 + 0.86 * w, y0 + 0.14 * h),
            ],
            per=20,
        )
        size, count = min(w, h) * rng.uniform(0.38, 0.46), int(rng.integers(6, 10))
    elif way == 1:
        a = np.linspace(0, 2 * np.pi, 160)
        run = np.column_stack(
            [(x0 + x1) / 2 + 0.33 * w * np.cos(a), (y0 + y1) / 2 + 0.33 * h * np.sin(a)]
        )
        size, count = w * rng.uniform(0.27, 0.33), int(rng.integers(12, 17))
    else:
        x = np.linspace(x0 - 4, x1 + 4, 160)
        run = np.column_stack(
            [x, (y0 + y1) / 2 + h * 0.15 * np.sin(2 * np.pi * x / (h * rng.uniform(1.6, 2.4)))]
        )
        size, count = h * rng.uniform(0.44, 0.54), int(w / h * 4.4)
    thick = max(1.6, size * rng.uniform(0.06, 0.1))
    lay(sheet, band(run, np.linspace(thick * 1.4, thick * (1.4 if way else 0.7), len(run))))
    hatch = rng.random() < 0.5
    for k in range(count + (way == 0)):
        i = min(int((k + 0.7) / (count + 0.4) * len(run)), len(run) - 1)
        side = 1 if k % 2 else -1
        turn = heading(run, i) + side * rng.uniform(0.7, 1.0)
        if way == 0 and k == count:
            i, turn = len(run) - 2, heading(run, len(run) - 2)
        x, y = run[i]
        stalk = size * 0.16
        foot = (x + stalk * np.cos(turn), y + stalk * np.sin(turn))
        under(
            sheet,
            band(
                np.array(
                    [(x, y), foot, (foot[0] + stalk * np.cos(turn), foot[1] + stalk * np.sin(turn))]
                ),
                thick * 0.7,
            ),
        )
        put(
            sheet,
            oak_leaf(rng, lobes, depth, veins=veins),
            *foot,
            size * rng.uniform(0.88, 1.06),
            turn,
        )
    every = int(rng.integers(1, 4))
    for k in range(0, count, every):
        i = min(int((k + 1.1) / (count + 0.4) * len(run)), len(run) - 1)
        for side in (1, -1)[: int(rng.integers(1, 3))]:
            turn = heading(run, i) + side * rng.uniform(0.3, 0.6)
            reach = size * rng.uniform(0.1, 0.25)
            x, y = run[i] + reach * np.array([np.cos(turn), np.sin(turn)])
            lay(
                sheet,
                taper(
                    [run[i], (x + 0.1 * size * np.cos(turn), y + 0.1 * size * np.sin(turn))],
                    thick * 0.7,
                    thick * 0.7,
                ),
            )
            put(sheet, acorn(rng, hatch=hatch), x, y, size * 0.46, turn)
    return finish(f"oaks-{seed}", sheet, rng, cut=0.06)


def mushroom(rng, kind):
    """A mushroom standing at the origin, one high (up is -y)."""
    lean = rng.uniform(-0.1, 0.1)
    w = rng.uniform(0.36, 0.5)
    stem = taper([(0, 0.06), (lean * 0.4, -0.3), (lean, -0.75)], rng.uniform(0.2, 0.28), 0.13)
    brim = -rng.uniform(0.55, 0.64)
    if kind == 0:
        dome = closed(
            [
                (lean - w, brim),
                (lean - w * 0.8, -0.82),
                (lean, -1.0),
                (lean + w * 0.8, -0.82),
                (lean + w, brim),
                (lean, brim + 0.09),
            ],
            (0, 4),
        )
    elif kind == 1:
        dome = closed(
            [
                (lean - w * 0.8, brim + 0.1),
                (lean - w * 0.42, -0.72),
                (lean, -1.04),
                (lean + w * 0.42, -0.72),
                (lean + w * 0.8, brim + 0.1),
                (lean, brim + 0.02),
            ],
            (0, 4),
        )
    else:
        dome = closed(
            [
                (lean - w * 1.1, -0.86),
                (lean, -0.8),
                (lean + w * 1.1, -0.86),
                (lean + w * 0.6, brim - 0.02),
                (lean, brim + 0.05),
                (lean - w * 0.6, brim - 0.02),
            ],
            (0, 2),
        )
    lines = []
    if kind == 0 and rng.random() < 0.6:
        lines = [
            disc(lean + x * w, y, r).exterior
            for x, y, r in (
                (-0.4, -0.78, 0.055),
                (0.1, -0.86, 0.07),
                (0.48, -0.74, 0.05),
                (-0.1, -0.68, 0.04),
            )
        ]
    elif rng.random() < 0.6:
        lines = [
            curve([(lean + x * w * 0.2, -0.9), (lean + x * w * 0.7, brim + 0.15)])
            for x in (-0.8, -0.3, 0.3, 0.8)
        ]
    skirt = closed(
        [
            (lean * 0.7 - 0.1, -0.5),
            (lean * 0.7 + 0.1, -0.5),
            (lean * 0.7 + 0.17, -0.38),
            (lean * 0.7, -0.41),
            (lean * 0.7 - 0.17, -0.38),
        ],
        (0, 1, 2, 4),
    )
    return [(stem, []), *([(skirt, [])] if rng.random() < 0.4 else []), (dome, lines)]


def fern(rng, size, bend, pairs):
    """A fern frond growing up from the origin: leaflets in pairs, the tip bowed over."""
    run = size * spline(
        [(0, 0), (bend * 0.12, -0.45), (bend * 0.45, -0.82), (bend * 0.85, -0.88)], per=20
    )
    found = []
    for k in range(pairs):
        t = 0.18 + 0.8 * k / pairs
        i = int(t * (len(run) - 1))
        long = size * 0.3 * np.sin(np.pi * (0.25 + 0.68 * t)) * (1.1 - 0.45 * t)
        for s in (1, -1):
            a = heading(run, i) + s * 1.0
            tip = run[i] + long * np.array([np.cos(a), np.sin(a)])
            mid = (run[i] + tip) / 2 + 0.06 * long * np.array(
                [np.cos(a - s * 1.5), np.sin(a - s * 1.5)]
            )
            found.append(
                (
                    taper(
                        [run[i], mid, tip],
                        long * 0.12,
                        long * 0.03,
                        swell=min(long * 0.25, size * 0.04),
                    ),
                    [],
                )
            )
    found.append((ribbon(run, np.linspace(size * 0.045, size * 0.022, len(run))), []))
    return found


def mushrooms(seed, rng):
    """Mushrooms in tufts with ferns behind them, on a mound of moss."""
    sheet = sheet_of(rng, ("box", "soft", "arch", "oval", "ogive", "hexagon"), aspect=(0.75, 1.2))
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    x = np.linspace(x0 - 5, x1 + 5, 120)
    ground = y1 - h * (
        0.13 + 0.05 * np.sin(np.pi * (x - x0) / w) + 0.02 * np.sin(9 * (x - x0) / w + seed)
    )
    mound = shapely.Polygon(
        np.vstack([np.column_stack([x, ground]), [(x1 + 5, y1 + 5), (x0 - 5, y1 + 5)]])
    )

    def level(at):
        return float(np.interp(at, x, ground))

    for k in range(int(rng.integers(2, 5))):
        at = x0 + w * (0.1 + 0.8 * ((k * 2.4) % 4 + rng.uniform(0.1, 0.9)) / 4)
        bend = rng.uniform(0.5, 1.0) * (1 if at > (x0 + x1) / 2 else -1)
        put(
            sheet,
            fern(rng, h * rng.uniform(0.55, 0.8), bend, int(rng.integers(7, 11))),
            at,
            level(at) + 2,
        )
    kind = int(rng.integers(0, 3))
    count = int(rng.integers(2, 6))
    for k in rng.permutation(count):
        at = x0 + w * (0.14 + 0.72 * (k + 0.5) / count)
        size = min(h * rng.uniform(0.36, 0.62), w * 0.75)
        put(
            sheet,
            mushroom(rng, kind if rng.random() < 0.7 else int(rng.integers(0, 3))),
            at,
            level(at) + h * 0.02,
            size,
        )
    lay(sheet, mound)
    if rng.random() < 0.6:
        for at in np.linspace(x0 + 0.06 * w, x1 - 0.06 * w, int(rng.integers(6, 14))):
            lean = rng.uniform(-0.06, 0.06) * w
            lay(
                sheet,
                taper(
                    [
                        (at, level(at) + h * 0.05),
                        (at + lean * 0.3, level(at) - h * 0.03),
                        (at + lean, level(at) - h * rng.uniform(0.07, 0.13)),
                    ],
                    w * 0.024,
                    0.25,
                ),
            )
    return finish(f"mushrooms-{seed}", sheet, rng, cut=0.04)
