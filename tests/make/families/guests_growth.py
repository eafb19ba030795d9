"""Guests that grow: trees of life, lilies on whiplash stems."""

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
    mirrored,
    put,
    ribbon,
    sheet_of,
    taper,
    under,
)
from tests.make.families.strokes import place, spiral, spline


def leaf_on(sheet, x, y, turn, long, wide, *, rib, heart=False):
    """A small leaf with its stalk at (x, y)."""
    ring = [(0, -0.05), (0.35, -0.5), (0.75, -0.32), (1, 0), (0.75, 0.32), (0.35, 0.5), (0, 0.05)]
    if heart:
        ring = [
            (0.1, 0),
            (0.0, -0.35),
            (0.3, -0.55),
            (0.75, -0.3),
            (1, 0),
            (0.75, 0.3),
            (0.3, 0.55),
            (0.0, 0.35),
        ]
    points = [(px * long, py * wide) for px, py in ring]
    shape = closed(points, (0, 4) if heart else (0, 3, 6))
    lines = [place(LineString([(0.12 * long, 0), (0.72 * long, 0)]), x, y, turn)] if rib else []
    lay(sheet, place(shape, x, y, turn), *lines)


def bough(sheet, rng, start, aim, long, thick, *, curl, leaves):
    """A bough that bows upward or downward, ends in a curl, and bears leaves on both sides."""
    bend = rng.uniform(0.5, 1.1) * curl
    t = np.linspace(0, 1, 30)
    a = aim + bend * t**1.5
    step = long / 29
    run = start + np.vstack(
        [[0, 0], np.cumsum(step * np.column_stack([np.cos(a[1:]), np.sin(a[1:])]), axis=0)]
    )
    r = long * rng.uniform(0.16, 0.24)
    side = np.array([-np.sin(a[-1]), np.cos(a[-1])]) * np.sign(curl)
    c = run[-1] + r * side
    first = np.arctan2(*(run[-1] - c)[::-1])
    coil = spiral(*c, r, rng.uniform(0.9, 1.25), start=first, hand=np.sign(curl), inner=0.35)
    whole = np.vstack([run, coil[1:]])
    under(sheet, ribbon(run, np.linspace(thick, thick * 0.62, len(run))))
    under(
        sheet,
        shapely.union_all(
            [
                ribbon(whole[n : n + 16], thick * np.linspace(0.62, 0.5, len(whole[n : n + 16])))
                for n in range(29, len(whole) - 2, 15)
            ]
        ),
    )
    for k in range(leaves):
        i = int((0.3 + 0.66 * k / max(leaves, 1)) * 29)
        s = 1 if k % 2 else -1
        turn = heading(run, i) + s * rng.uniform(0.6, 1.1)
        size = long * rng.uniform(0.2, 0.28)
        leaf_on(sheet, *run[i], turn, size, size * 0.6, rib=leaves % 2 == 0)
    return run


def trees(seed, rng):
    """A tree of life that fills its panel: flared trunk, curling boughs, leaves or fruit, roots below."""
    sheet = sheet_of(
        rng,
        ("oval", "box", "soft", "arch", "ogive", "barbed", "canted"),
        size=(100, 175),
        aspect=(0.95, 1.25),
    )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    mid, foot = (x0 + x1) / 2, y0 + h * rng.uniform(0.76, 0.86)
    crown = y0 + h * rng.uniform(0.2, 0.32)
    thick = w * rng.uniform(0.07, 0.11)
    even = rng.random() < 0.6
    pairs = int(rng.integers(2, 5))
    leaves = int(rng.integers(3, 8))
    sides = (1,) if even else (1, -1)
    for k in range(pairs):
        for s in sides:
            t = (k + 0.5) / pairs
            y = foot + (crown - foot) * (0.3 + 0.7 * t)
            aim = -np.pi / 2 + s * (1.45 - 1.0 * t) + rng.normal(0, 0.08)
            long = w * (0.5 - 0.16 * t) * rng.uniform(0.85, 1.05)
            curl = s * (1 if (k + seed) % 2 else -1) * (-1 if t < 0.4 else 1)
            bough(
                sheet,
                rng,
                np.array([mid + s * thick * 0.2, y]),
                aim,
                long,
                thick * 0.45,
                curl=curl,
                leaves=leaves,
            )
    for s in sides:
        for k in range(int(rng.integers(2, 4))):
            far = w * (0.14 + 0.13 * k)
            end = (mid + s * far * 1.25, foot + h * (0.16 - 0.045 * k))
            under(
                sheet,
                taper(
                    [
                        (mid + s * thick * 0.2, foot - h * 0.04),
                        (mid + s * far * 0.6, foot + h * 0.03),
                        end,
                        (end[0] + s * far * 0.1, end[1] + h * 0.05),
                    ],
                    thick * 0.42,
                    thick * 0.16,
                ),
            )
    if even:
        mirrored(sheet, mid)
    grain = (
        [
            curve(
                [
                    (mid + q * thick, foot),
                    (mid + q * thick * 0.6, (foot + crown) / 2),
                    (mid + q * thick * 0.5, crown),
                ]
            )
            for q in (-0.25, 0.2)
        ]
        if rng.random() < 0.5
        else []
    )
    side = [
        (0.95, foot + h * 0.025),
        (0.52, foot - h * 0.05),
        (0.42, (foot + crown) / 2),
        (0.2, crown),
    ]
    ring = [(mid - q * thick, y) for q, y in side] + [(mid + q * thick, y) for q, y in side[::-1]]
    trunk = closed([*ring, (mid, foot + h * 0.01)], (0, 3, 4, 7))
    lay(sheet, trunk, *grain)
    for k in range(5):
        a = -np.pi / 2 + (k - 2) * 0.5
        leaf_on(sheet, mid, crown + 1, a, w * 0.15, w * 0.085, rib=leaves % 2 == 0)
    if rng.random() < 0.4:
        top = foot + h * 0.1
        x = np.linspace(x0 - 4, x1 + 4, 60)
        ground = top + h * 0.02 * np.sin(5 * (x - x0) / w)
        lay(
            sheet,
            Polygon(
                np.vstack([np.column_stack([x, ground]), [(x1 + 4, y1 + 5), (x0 - 4, y1 + 5)]])
            ),
        )
    return finish(f"trees-{seed}", sheet, rng)


def lily(rng, *, marks):
    """A lily head seen from the side, opening along +x from the origin, about one long."""
    found = []
    for a, long in ((-0.75, 0.9), (0.75, 0.9), (-0.35, 1.0), (0.35, 1.0), (0.0, 0.95)):
        s = np.sign(a) if a else 0
        ring = [
            (0, -0.05),
            (long * 0.4, -0.13),
            (long * 0.75, -0.15),
            (long, s * 0.2),
            (long * 0.72, 0.14),
            (long * 0.4, 0.12),
            (0, 0.05),
        ]
        line = curve([(0.1, 0), (long * 0.45, 0), (long * 0.8, s * 0.05)])
        found.append(
            (place(closed(ring, (0, 3, 6)), 0.1, 0, a), [place(line, 0.1, 0, a)] if marks else [])
        )
    cup = closed(
        [(-0.06, 0), (0.05, -0.1), (0.3, -0.12), (0.36, 0), (0.3, 0.12), (0.05, 0.1)], (0,)
    )
    return [*found, (cup, [])]


def stem_of(rng, mid, s, k, count, box):
    """Run of one lily stem to side `s`, the k-th from the middle: out, back and out again."""
    x0, y0, x1, y1 = box
    w, h = x1 - x0, y1 - y0
    out = (0.3 + 0.08 * rng.random()) * (k + 1) / count + 0.02
    top = y0 + h * (0.24 + 0.2 * k + rng.uniform(0, 0.06))
    low = y1 - h * (0.3 + 0.05 * (count - k))
    points = [
        (0.02, y1 + 4),
        (0.04 + out * 0.3, y1 - h * 0.16),
        (out * 1.05, low),
        (out * 0.55, low * 0.45 + top * 0.55),
        (out * 0.95, top + h * 0.09),
        (out * 0.8, top),
    ]
    return spline([(mid + s * q * w, y) for q, y in points], per=20)


def whip(rng, mid, s, box):
    """Run of a stem that lashes out and winds back on itself."""
    x0, y0, x1, y1 = box
    w, h = x1 - x0, y1 - y0
    up, far, r = rng.uniform(0.24, 0.4), rng.uniform(0.34, 0.43), w * rng.uniform(0.1, 0.15)
    points = [(0.02, 0.02), (far * 0.35, 0.1), (far * 0.85, up * 0.55), (far, up)]
    run = spline([(mid + s * q * w, y1 + 4 - y * h) for q, y in points], per=16)
    coil = spiral(
        run[-1][0] - s * r,
        run[-1][1],
        r,
        rng.uniform(0.8, 1.3),
        start=0.0 if s > 0 else np.pi,
        hand=-s,
        inner=0.25,
    )
    return np.vstack([run, coil[1:]])


def whiplash(seed, rng):
    """Long stems that lash out and back and bear lilies and strap leaves, from the foot of the panel."""
    sheet = sheet_of(
        rng,
        ("box", "arch", "soft", "ogive", "oval", "notched"),
        size=(80, 135),
        aspect=(1.15, 1.75),
    )
    x0, y0, x1, y1 = box = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    mid = (x0 + x1) / 2
    even = rng.random() < 0.5
    count, marks = int(rng.integers(1, 4)), rng.random() < 0.6
    thick = w * rng.uniform(0.024, 0.04)
    heads = []
    for s in (1,) if even else (1, -1):
        lash = whip(rng, mid, s, box)
        bits = [
            ribbon(
                lash[n : n + 17],
                thick
                * np.linspace(
                    1.3 - 0.8 * n / len(lash),
                    1.3 - 0.8 * min(n + 16, len(lash)) / len(lash),
                    len(lash[n : n + 17]),
                ),
            )
            for n in range(0, len(lash) - 2, 16)
        ]
        lay(sheet, shapely.union_all(bits))
        for k in range(count - (not even and s < 0 and count > 1)):
            way = stem_of(rng, mid, s, k, count, box)
            lay(sheet, ribbon(way, np.linspace(thick * 1.5, thick * 0.9, len(way))))
            heads.append((*way[-1], w * rng.uniform(0.22, 0.28), heading(way, len(way) - 1)))
        blade = spline(
            [
                (mid + s * w * 0.06, y1 + 4),
                (mid + s * w * 0.12, y1 - h * 0.2),
                (mid + s * w * rng.uniform(0.2, 0.3), y1 - h * 0.36),
                (mid + s * w * rng.uniform(0.34, 0.44), y1 - h * rng.uniform(0.2, 0.42)),
            ],
            per=14,
        )
        t = np.linspace(0, 1, len(blade))
        rib = [LineString(blade[6:-8])] if marks else []
        lay(
            sheet, ribbon(blade, thick * (0.6 + 2.2 * np.sin(np.pi * t**0.8)) * (1 - t * 0.8)), *rib
        )
    for x, y, size, turn in heads:
        put(sheet, lily(rng, marks=marks), x, y, size, turn)
    if even:
        mirrored(sheet, mid)
        if rng.random() < 0.6:
            figure = [
                (place(q, 0, 0, -np.pi / 2), [place(i, 0, 0, -np.pi / 2) for i in inner])
                for q, inner in lily(rng, marks=marks)
            ]
            _, _, size = fitted(figure, mid - w * 0.13, y0, mid + w * 0.13, y1)
            y = y0 + h * rng.uniform(0.36, 0.5)
            under(sheet, taper([(mid, y1 + 4), (mid, (y + y1) / 2), (mid, y)], thick * 1.4, thick))
            put(sheet, figure, mid, y, size)
    foot = rng.uniform(0.08, 0.14) * w
    if rng.random() < 0.5:
        lay(sheet, disc(mid, y1, foot), disc(mid, y1, foot * 0.6).exterior)
    else:
        mound = [
            (mid - 3 * foot, y1 + 5),
            (mid - 1.6 * foot, y1 - 0.1 * foot),
            (mid, y1 - 0.8 * foot),
            (mid + 1.6 * foot, y1 - 0.1 * foot),
            (mid + 3 * foot, y1 + 5),
        ]
        lay(sheet, closed(mound, (0, 4)))
    return finish(f"whiplash-{seed}", sheet, rng)
