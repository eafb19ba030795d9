"""Guests of the air: wings spread wide, bees on their comb."""

import numpy as np
import shapely
from shapely import LineString, Polygon, affinity

from tests.make.families.guests_kit import (
    closed,
    curve,
    disc,
    finish,
    fitted,
    lay,
    lid,
    limb,
    plate,
    put,
    rimmed,
    sheet_of,
    taper,
)
from tests.make.families.scene import flip
from tests.make.families.strokes import place, spline


def feather(long, wide, *, rib, round_tip):
    """A feather along +x from the origin."""
    tip = [(long * 0.9, -wide * 0.42), (long, 0), (long * 0.9, wide * 0.42)]
    ring = [
        (0, -wide * 0.22),
        (long * 0.5, -wide * 0.48),
        *tip,
        (long * 0.5, wide * 0.48),
        (0, wide * 0.22),
    ]
    shape = closed(ring, (0, 6) if round_tip else (0, 3, 6))
    lines = [LineString([(0, 0), (long * 0.86, 0)])] if rib else []
    return shape, lines


def pinion(rng, count, *, rib, round_tip, rows, droop):
    """One wing spread to +x from a shoulder at the origin: long feathers, then rows of shorter ones, then the arm."""
    arm = spline(
        [(0, 0.04), (0.22, -0.2 - 0.1 * droop), (0.5, -0.3), (0.74, -0.22 + droop * 0.2)], per=24
    )
    found = []
    for row in range(rows):
        n = count - row * 2
        for k in range(n):
            t = (k + 0.5) / n
            i = (
                int((0.12 + 0.86 * t) * (len(arm) - 1))
                if row
                else int((0.05 + 0.95 * t) * (len(arm) - 1))
            )
            turn = np.pi * 0.58 - (0.5 + droop * 0.2) * np.pi * t**1.15
            long = (
                (0.52 + 0.2 * np.sin(np.pi * t * 0.8))
                * (1, 0.6, 0.34)[row]
                * rng.uniform(0.97, 1.03)
            )
            wide = 1.02 / count * (1.05, 1.2, 1.3)[row]
            shape, lines = feather(long, wide, rib=rib and row < 2, round_tip=round_tip or row > 0)
            found.append((place(shape, *arm[i], turn), [place(q, *arm[i], turn) for q in lines]))
    found.append(
        (
            limb(
                arm[::24] if len(arm) % 24 == 1 else [*arm[::24], arm[-1]],
                np.linspace(0.16, 0.07, len(arm[::24]) + (len(arm) % 24 != 1)),
            ),
            [],
        )
    )
    return found


def bird_of(rng, kind, *, marks):
    """Body, tail and head of a bird seen from the front or with its head turned."""
    tail = []
    for a in sorted(np.linspace(-0.6, 0.6, int(rng.integers(3, 7)) * 2 - 1), key=lambda a: -abs(a)):
        shape, lines = feather(0.52, 0.15, rib=marks, round_tip=kind == "owl")
        tail.append(
            (
                place(shape, 0, 0.42, np.pi / 2 + a),
                [place(q, 0, 0.42, np.pi / 2 + a) for q in lines],
            )
        )
    body = closed(
        [
            (0, -0.26),
            (0.16, -0.12),
            (0.2, 0.12),
            (0.1, 0.42),
            (0, 0.56),
            (-0.1, 0.42),
            (-0.2, 0.12),
            (-0.16, -0.12),
        ],
        (4,),
    )
    breast = []
    if marks:
        for y in (0.0, 0.12, 0.24):
            breast += [
                curve([(x, y), (x + 0.04, y + 0.06), (x + 0.08, y)])
                for x in np.arange(-0.16, 0.1, 0.08)
            ]
    found = [*tail, (body, [q & body.buffer(-0.02) for q in breast])]
    if kind == "owl":
        head = closed(
            [
                (0, -0.48),
                (0.12, -0.5),
                (0.23, -0.6),
                (0.21, -0.38),
                (0.14, -0.22),
                (0, -0.18),
                (-0.14, -0.22),
                (-0.21, -0.38),
                (-0.23, -0.6),
                (-0.12, -0.5),
            ],
            (2, 8),
        )
        eyes = [disc(s * 0.09, -0.38, r).exterior for s in (1, -1) for r in (0.075, 0.03)]
        beak = closed([(-0.03, -0.33), (0.03, -0.33), (0, -0.25)], (0, 1, 2)).exterior
        return [*found, (head, [*eyes, beak])]
    head = closed(
        [
            (-0.12, -0.16),
            (-0.09, -0.4),
            (0.0, -0.52),
            (0.12, -0.52),
            (0.22, -0.45),
            (0.28, -0.36),
            (0.17, -0.39),
            (0.12, -0.34),
            (0.13, -0.16),
        ],
        (0, 5, 8),
    )
    return [
        *found,
        (
            head,
            [disc(0.08, -0.46, 0.02).exterior, curve([(0.15, -0.5), (0.13, -0.44), (0.15, -0.4)])],
        ),
    ]


def wings(seed, rng):
    """A bird displayed with wings spread, or a pair of wings about a disc, feathers apart at the tips."""
    kind = ("eagle", "owl", "pair")[seed % 3]
    marks = rng.random() < 0.6
    count, rows = int(rng.integers(7, 12)), int(rng.integers(2, 4))
    droop = rng.uniform(-0.3, 0.6)
    one = pinion(rng, count, rib=marks, round_tip=rng.random() < 0.5, rows=rows, droop=droop)
    figure = []
    for shape, lines in one:
        moved = affinity.translate(shape, 0.1, -0.06)
        kept = [affinity.translate(q, 0.1, -0.06) for q in lines]
        figure += [(moved, kept), (flip(moved, 0.0), [flip(q, 0.0) for q in kept])]
    if kind == "pair":
        r = rng.uniform(0.17, 0.24)
        rays = int(rng.choice([0, 8, 12]))
        inner = [disc(0, -0.02, r * 0.62).exterior]
        inner += [
            LineString(
                [
                    (r * 0.62 * np.cos(a), r * 0.62 * np.sin(a) - 0.02),
                    (r * np.cos(a), r * np.sin(a) - 0.02),
                ]
            )
            for a in 2 * np.pi * np.arange(rays) / max(rays, 1)
        ]
        figure.append((disc(0, -0.02, r), inner))
        sheet = rimmed(
            rng,
            plate(
                str(rng.choice(["box", "soft", "hexagon", "barrel", "oval"])),
                rng.uniform(130, 240),
                rng.uniform(75, 110),
                0.2,
            ),
        )
    else:
        figure += bird_of(rng, kind, marks=marks)
        sheet = sheet_of(
            rng,
            ("oval", "box", "soft", "arch", "canted", "notched"),
            size=(110, 190),
            aspect=(0.75, 0.95),
        )
    x0, y0, x1, y1 = sheet.field.bounds
    grow = rng.uniform(-0.03, 0.06) * (x1 - x0)
    put(sheet, figure, *fitted(figure, x0 - grow, y0 - grow, x1 + grow, y1 + grow))
    if kind != "pair" and rng.random() < 0.5:
        y = y1 - (y1 - y0) * rng.uniform(0.05, 0.12)
        twig = taper([(x0 - 3, y + 4), ((x0 + x1) / 2, y - 2), (x1 + 3, y + 2)], 4.5, 3.0)
        lay(sheet, twig)
    return finish(f"wings-{seed}", sheet, rng, islands=0.06)


def bee(rng, *, stripes, open_wings):
    """A bee seen from above, head to -y, about one long."""
    found = []
    for s in (1, -1):
        for x, y, aim, long in ((0.06, -0.1, 0.45, 0.6), (0.06, -0.02, 0.95, 0.42)):
            shape = closed(
                [
                    (0, -0.02),
                    (long * 0.5, -0.13),
                    (long * 0.95, -0.1),
                    (long, 0.0),
                    (long * 0.6, 0.09),
                    (0, 0.03),
                ],
                (0, 5),
            )
            turned = place(shape, x, y, aim - (0.6 if open_wings else 0))
            vein = place(
                LineString([(0.06, 0), (long * 0.7, -0.03)]), x, y, aim - (0.6 if open_wings else 0)
            )
            found.append((turned, [vein]) if s > 0 else (flip(turned, 0.0), [flip(vein, 0.0)]))
    for s in (1, -1):
        found.append(
            (taper([(s * 0.03, -0.34), (s * 0.08, -0.44), (s * 0.17, -0.5)], 0.035, 0.03), [])
        )
        for y, far in ((-0.2, -0.32), (0.06, 0.2)):
            found.append(
                (
                    taper([(s * 0.08, y), (s * 0.24, (y + far) / 2), (s * 0.3, far)], 0.045, 0.025),
                    [],
                )
            )
    tail = closed(
        [
            (0, -0.03),
            (0.15, 0.04),
            (0.18, 0.22),
            (0.1, 0.42),
            (0, 0.54),
            (-0.1, 0.42),
            (-0.18, 0.22),
            (-0.15, 0.04),
        ],
        (4,),
    )
    lines = [curve([(-0.2, y), (0, y + 0.05), (0.2, y)]) for y in np.linspace(0.08, 0.38, stripes)]
    found.append((tail, lines))
    found.append((disc(0, -0.13, 0.15), []))
    found.append(
        (
            affinity.scale(disc(0, -0.3, 0.105), 1.1, 0.9),
            [disc(s * 0.07, -0.31, 0.022).exterior for s in (1, -1)],
        )
    )
    return found


def bees(seed, rng):
    """Comb of hexagons, cells open, left out or shut by a lid, bees crawling over it; flowers at the foot now and then."""
    sheet = sheet_of(
        rng,
        ("box", "soft", "hexagon", "oval", "canted", "arch"),
        size=(85, 170),
        aspect=(0.75, 1.25),
    )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    side = min(w, h) * rng.uniform(0.075, 0.14)
    wall = max(1.5, side * rng.uniform(0.16, 0.3))
    lying = rng.random() < 0.5
    a = np.arange(6) * np.pi / 3 + (0 if lying else np.pi / 6)
    hexagon = np.column_stack([np.cos(a), np.sin(a)]) * side
    part = int(rng.integers(0, 3))
    shut = rng.uniform(0.0, 0.25)
    holes, lids = [], []
    for i in range(-16, 17):
        for j in range(-16, 17):
            d = np.array([1.5 * i, np.sqrt(3) * (j + (i % 2) / 2)]) * side
            c = np.array([(x0 + x1) / 2, (y0 + y1) / 2]) + (d if lying else d[::-1])
            cell = Polygon(hexagon + c).buffer(-wall / 2, join_style="mitre")
            if not sheet.field.intersects(cell):
                continue
            up = (c[0] - x0) / w + (c[1] - y0) / h
            if (
                rng.random() < shut
                or (part == 1 and up > 1.3)
                or (part == 2 and abs(c[1] - y0 - h / 2) > 0.42 * h)
            ):
                lids.append(cell)
            else:
                holes.append(cell)
    comb = sheet.field.buffer(2, join_style="mitre").difference(shapely.union_all(holes))
    rims = [line for cell in lids for line in lid(cell)] if rng.random() < 0.6 else []
    lay(sheet, comb, *rims)
    for _ in range(int(rng.integers(1, 5))):
        size = min(w, h) * rng.uniform(0.3, 0.5)
        x, y = x0 + w * rng.uniform(0.2, 0.8), y0 + h * rng.uniform(0.2, 0.8)
        spot = disc(x, y, size * 0.34)
        if any(spot.intersects(s) for s, _ in sheet.layers[1:]):
            continue
        put(
            sheet,
            bee(rng, stripes=int(rng.integers(3, 6)), open_wings=rng.random() < 0.5),
            x,
            y,
            size,
            rng.uniform(-1.2, 1.2),
        )
    return finish(f"bees-{seed}", sheet, rng)
