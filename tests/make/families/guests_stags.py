"""Guests of the hunt: horses and stags on grass."""

import numpy as np
import shapely
from shapely import LineString, Polygon

from tests.make.families.guests_kit import (
    closed,
    curve,
    disc,
    finish,
    fitted,
    heading,
    lay,
    limb,
    plate,
    put,
    rimmed,
    sheet_of,
    taper,
)
from tests.make.families.strokes import place, spline

GAITS = {  # far fore, near fore, far hind, near hind: knee or hock, fetlock, hoof
    "stand": [
        [(0.36, 0.24), (0.35, 0.48), (0.38, 0.58)],
        [(0.27, 0.25), (0.25, 0.5), (0.28, 0.6)],
        [(-0.4, 0.27), (-0.33, 0.48), (-0.3, 0.58)],
        [(-0.5, 0.28), (-0.46, 0.5), (-0.43, 0.6)],
    ],
    "trot": [
        [(0.5, 0.16), (0.46, 0.36), (0.52, 0.42)],
        [(0.24, 0.26), (0.16, 0.48), (0.2, 0.58)],
        [(-0.34, 0.28), (-0.2, 0.46), (-0.15, 0.55)],
        [(-0.58, 0.24), (-0.62, 0.46), (-0.58, 0.56)],
    ],
    "leap": [
        [(0.6, 0.08), (0.66, 0.28), (0.76, 0.3)],
        [(0.56, 0.16), (0.56, 0.36), (0.65, 0.4)],
        [(-0.62, 0.16), (-0.8, 0.3), (-0.88, 0.38)],
        [(-0.56, 0.24), (-0.7, 0.4), (-0.76, 0.48)],
    ],
}


def leg(root, joints, thigh):
    """A leg from the body down, with its hoof."""
    shape = limb([root, *joints], [thigh, 0.1, 0.062, 0.07])
    (ax, ay), (bx, by) = joints[1:]
    turn = np.arctan2(by - ay, bx - ax)
    hoof = Polygon([(-0.02, -0.045), (0.07, -0.06), (0.07, 0.06), (-0.02, 0.045)])
    return [(shape, []), (place(hoof, bx, by, turn), [])]


def antler(rng, tines, x, y, turn):
    """A beam with its tines."""
    run = spline([(0, 0), (0.1, -0.16), (0.02, -0.36), (0.1, -0.52)], per=12)
    parts = [taper(run[::6], 0.06, 0.025)]
    for k in range(tines):
        i = int((0.12 + 0.7 * k / tines) * (len(run) - 1))
        long = 0.2 - 0.07 * k / tines
        a = heading(run, i) + 0.95 * (1 if k % 2 == 0 else -1)
        b = a - 0.4 * (1 if k % 2 == 0 else -1)
        mid = run[i] + 0.5 * long * np.array([np.cos(a), np.sin(a)])
        parts.append(
            taper([run[i], mid, mid + 0.55 * long * np.array([np.cos(b), np.sin(b)])], 0.045, 0.018)
        )
    return place(shapely.union_all(parts), x, y, turn)


def hoofed(rng, kind, gait, *, marks):
    """A horse or stag facing right, about one long; its hooves stand near y = 0.66."""
    j = rng.uniform(-0.015, 0.015, 40)
    up = rng.uniform(-0.05, 0.06) if kind == "horse" else rng.uniform(-0.12, -0.04)
    n = 0.03 if kind == "stag" else 0.0
    back = [
        (-0.52, -0.1),
        (-0.46, -0.24 + j[0]),
        (-0.34, -0.3 + j[1]),
        (-0.08, -0.26 + j[2]),
        (0.18, -0.31),
    ]
    neck = [(0.34, -0.5 + up / 2), (0.47, -0.73 + up)]
    face = [
        (0.56, -0.74 + up),
        (0.69, -0.61 + up),
        (0.79, -0.5 + up),
        (0.77, -0.43 + up),
        (0.69, -0.45 + up),
        (0.58, -0.53 + up),
    ]
    low = [
        (0.5 + n, -0.36 + up / 2),
        (0.46, -0.12),
        (0.38, 0.04),
        (0.16, 0.1 + j[4]),
        (-0.1, 0.11 + j[5]),
        (-0.3, 0.04),
        (-0.46, 0.08),
    ]
    trunk = closed([*back, *neck, *face, *low])
    found = []
    far_fore, fore, far_hind, hind = GAITS[gait]
    found += leg((0.34, -0.02), far_fore, 0.15) + leg((-0.34, -0.04), far_hind, 0.22)
    if kind == "horse":
        sweep = rng.uniform(0.0, 0.25) if gait == "stand" else rng.uniform(0.15, 0.4)
        tail = [
            (-0.46, -0.2),
            (-0.6, -0.2 - sweep * 0.3),
            (-0.7 - sweep, 0.05 - sweep),
            (-0.72 - sweep, 0.4 - sweep),
        ]
        hairs = (
            [curve([(x - 0.03, y + d) for x, y in tail[1:]]) for d in (-0.04, 0.03)]
            if marks
            else []
        )
        found.append((taper(tail, 0.07, 0.03, swell=0.1), hairs))
    else:
        found.append((taper([(-0.47, -0.2), (-0.56, -0.2), (-0.6, -0.1)], 0.07, 0.04), []))
        for far in (0.07, 0.0):
            found.append(
                (
                    antler(
                        rng, int(rng.integers(3, 6)), 0.47 + far, -0.74 + up, 0.5 * far * 8 - 0.5
                    ),
                    [],
                )
            )
    found += leg((-0.36, -0.04), hind, 0.27) + leg((0.28, -0.02), fore, 0.17)
    lines = [
        disc(0.6, -0.63 + up, 0.014).exterior,
        LineString([(0.72, -0.47 + up), (0.77, -0.46 + up)]),
    ]
    if marks:
        lines += [
            curve([(0.2, -0.2), (0.24, -0.06), (0.17, 0.03)]),
            curve([(-0.22, -0.18), (-0.2, -0.04), (-0.28, 0.02)]),
        ]
    found.append((trunk, lines))
    found.append((closed([(0.47, -0.73 + up), (0.45, -0.86 + up), (0.53, -0.77 + up)], (1,)), []))
    if kind == "horse":
        for k in range(int(rng.integers(4, 7))):
            t = k / 6
            x, y = 0.5 - 0.3 * t, -0.76 + up * (1 - t) + 0.44 * t
            found.append(
                (
                    taper(
                        [(x, y), (x - 0.1, y + 0.02), (x - 0.13, y + 0.12)], 0.08, 0.015, swell=0.03
                    ),
                    [],
                )
            )
    return found


def grass(sheet, rng, level, x0, x1, tall, count):
    """Blades along the ground."""
    for x in np.linspace(x0, x1, count) + rng.normal(0, (x1 - x0) / count * 0.2, count):
        y, lean, up = level(x), rng.normal(0, 0.35) * tall, tall * rng.uniform(0.5, 1.1)
        lay(
            sheet,
            taper(
                [(x, y + tall * 0.15), (x + lean * 0.25, y - up * 0.5), (x + lean, y - up)],
                max(1.6, tall * 0.16),
                0.3,
            ),
        )


def stags(seed, rng):
    """Horses or stags, standing, trotting or leaping over grass, one to four in one panel or in several."""
    kind = "stag" if rng.random() < 0.55 else "horse"
    gait = str(rng.choice(list(GAITS)))
    count = int(rng.choice([1, 1, 2, 3]))
    if count == 1:
        sheet = sheet_of(
            rng,
            ("box", "soft", "oval", "arch", "notched", "barrel"),
            size=(95, 170),
            aspect=(0.85, 1.15),
        )
    else:
        tall = rng.uniform(62, 90)
        sheet = rimmed(
            rng,
            plate(
                str(rng.choice(["box", "soft", "canted"])),
                min(250, tall * (0.3 + 1.05 * count)),
                tall,
                0.18,
            ),
        )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    if count > 1 and rng.random() < 0.4:
        bar = rng.uniform(3, 5)
        cells = [
            shapely.box(
                x0 + w * k / count + bar / 2 * (k > 0),
                y0,
                x0 + w * (k + 1) / count - bar / 2 * (k < count - 1),
                y1,
            )
            for k in range(count)
        ]
        sheet.field = shapely.MultiPolygon([c & sheet.field for c in cells])
    swell, shift = rng.uniform(0.01, 0.04), rng.uniform(0, 6)
    x = np.linspace(x0 - 5, x1 + 5, 120)
    ground = y1 - h * (0.12 + swell * np.sin(2 * np.pi * (x - x0) / w + shift))
    marks = rng.random() < 0.6
    blades = int(w / rng.uniform(5, 11))
    stand = h * (0.02 if gait != "leap" else -rng.uniform(0.05, 0.1))

    def level(at):
        return float(np.interp(at, x, ground))

    if rng.random() < 0.5:
        grass(sheet, rng, level, x0, x1, h * rng.uniform(0.15, 0.3), blades)
    for k in range(count):
        figure = hoofed(rng, kind, gait, marks=marks)
        cx = x0 + w * (k + 0.5) / count
        half = w / count * 0.5
        _, _, size = fitted(figure, cx - half * 0.94, y0, cx + half * 0.94, y1 - h * 0.06)
        way = rng.random() < 0.5 if count == 1 else (k % 2 == 0) == (seed % 2 == 0)
        put(
            sheet,
            figure,
            cx + (0.1 if way else -0.1) * size,
            level(cx) + stand - 0.62 * size,
            size,
            mirror=way,
        )
    lay(
        sheet,
        Polygon(np.vstack([np.column_stack([x, ground]), [(x1 + 5, y1 + 5), (x0 - 5, y1 + 5)]])),
    )
    grass(sheet, rng, level, x0, x1, h * rng.uniform(0.09, 0.18), blades // 2)
    return finish(f"stags-{seed}", sheet, rng)
