"""Guests out of bestiaries: wyverns with ribbed wings."""

import numpy as np
import shapely
from shapely import LineString

from tests.make.families.guests_kit import (
    closed,
    curve,
    disc,
    finish,
    fitted,
    heading,
    lay,
    limb,
    plain,
    plate,
    put,
    rimmed,
    sheet_of,
    taper,
)
from tests.make.families.scene import flip
from tests.make.families.strokes import place, spline


def wing(rng, fingers):
    """A ribbed wing about its shoulder, raised and swept back to -x."""
    wrist = np.array([-0.02, -0.62])
    a = np.linspace(-2.75, -4.2, fingers) + rng.normal(0, 0.04, fingers)
    r = np.linspace(0.88, 0.62, fingers) * rng.uniform(0.94, 1.04, fingers)
    tips = wrist + r[:, None] * np.column_stack([np.cos(a), np.sin(a)])
    ring, corners = [(0.06, 0.04), tuple(wrist)], [0, 1]
    stops = [*tips, np.array([-0.12, 0.08])]
    for k, tip in enumerate(tips):
        corners.append(len(ring))
        ring.append(tuple(tip))
        ring.append(tuple((tip + stops[k + 1]) / 2 * 0.82 + wrist * 0.18))
    corners.append(len(ring))
    ring.append((-0.12, 0.08))
    bones = [curve([wrist, (wrist + t) / 2 + (0.02, -0.03), t]) for t in tips[1:]]
    arm = limb([(0.0, 0.05), (0.1, -0.3), wrist], [0.13, 0.08, 0.06])
    claw = closed(wrist + np.array([(-0.03, 0.0), (0.03, -0.12), (0.05, 0.02)]), (1,))
    return [(closed(ring, corners), bones), (claw, []), (arm, [])]


def wyvern(rng, *, marks):
    """A wyvern facing right: serpent body, wings raised, two legs, a curling tail with a barb."""
    j = rng.uniform(-0.03, 0.03, 12)
    spine = [
        (0.66, -0.56 + j[0]),
        (0.5, -0.62),
        (0.36, -0.42 + j[1]),
        (0.34, -0.14),
        (0.18, 0.1),
        (-0.12, 0.22),
        (-0.4, 0.28 + j[2]),
        (-0.66, 0.46),
        (-0.5, 0.7),
        (-0.16, 0.66 + j[3]),
        (0.06, 0.76),
    ]
    widths = [0.1, 0.11, 0.14, 0.24, 0.32, 0.28, 0.18, 0.12, 0.09, 0.07, 0.05]
    body = limb(spine, widths)
    run = spline(spine, per=12)
    found = []
    fingers = int(rng.integers(3, 6))
    far = [
        (place(s, 0.2, -0.02, 0.42, 0.92), [place(q, 0.2, -0.02, 0.42, 0.92) for q in i])
        for s, i in wing(rng, fingers)
    ]
    found += far if rng.random() < 0.7 else []
    for x, y, knee, foot in (
        (0.2, 0.12, (0.42, 0.3), (0.34, 0.56)),
        (-0.04, 0.2, (0.14, 0.4), (0.0, 0.62)),
    ):
        claws = [
            taper(
                [foot, (foot[0] + 0.08, foot[1] + d * 0.6), (foot[0] + 0.15, foot[1] + d)],
                0.055,
                0.015,
            )
            for d in (-0.03, 0.04, 0.11)
        ]
        found.append(
            (shapely.union_all([limb([(x, y), knee, foot], [0.24, 0.11, 0.07]), *claws]), [])
        )
    if rng.random() < 0.6:
        for i in range(16, 100, int(rng.integers(6, 10))):
            a, half = heading(run, i), np.interp(i / 12, np.arange(11), widths) / 2
            x, y = run[i] + half * 0.8 * np.array([-np.sin(a), np.cos(a)])
            found.append(
                (place(closed([(-0.05, 0), (0.02, 0.09), (0.05, 0)], (0, 1, 2)), x, y, a), [])
            )
    barb = closed(
        [
            (-0.02, -0.02),
            (-0.03, -0.12),
            (0.1, -0.06),
            (0.2, 0.02),
            (0.1, 0.08),
            (-0.03, 0.12),
            (-0.02, 0.02),
        ],
        (1, 3, 5),
    )
    found.append((place(barb, *run[-1], heading(run, len(run) - 1)), []))
    lines = []
    if marks:
        shift = np.interp(np.arange(len(run)) / 12, np.arange(11), widths) * 0.2
        a = np.array([heading(run, i) for i in range(len(run))])
        belly = run - shift[:, None] * np.column_stack([-np.sin(a), np.cos(a)])
        lines.append(LineString(belly[14:96]))
        for i in range(18, 92, 5):
            out = run[i] - 3.2 * shift[i] * np.array([-np.sin(a[i]), np.cos(a[i])])
            lines.append(LineString([belly[i], out]))
    found.append((body, lines))
    horn = taper([(0.62, -0.64), (0.54, -0.76), (0.42, -0.8)], 0.07, 0.012)
    jaw = closed([(0.6, -0.5), (0.74, -0.43), (0.86, -0.4), (0.74, -0.5)], (2,))
    head = closed(
        [
            (0.54, -0.6),
            (0.62, -0.68),
            (0.74, -0.66),
            (0.86, -0.6),
            (0.94, -0.62),
            (0.94, -0.53),
            (0.78, -0.52),
            (0.66, -0.48),
            (0.56, -0.5),
        ],
        (5,),
    )
    found += [
        (horn, []),
        (jaw, []),
        (head, [disc(0.7, -0.6, 0.018).exterior, disc(0.9, -0.58, 0.009).exterior][:1]),
    ]
    return (
        found + wing(rng, fingers)
        if rng.random() < 0.3
        else found
        + [
            (place(s, 0.12, -0.02), [place(q, 0.12, -0.02) for q in i])
            for s, i in wing(rng, fingers)
        ]
    )


def wyverns(seed, rng):
    """A wyvern in a round, panel or shield, or two face to face."""
    two = seed % 3 == 2
    if two:
        tall = rng.uniform(70, 110)
        sheet = rimmed(
            rng,
            plate(
                str(rng.choice(["box", "soft", "canted", "barrel"])),
                min(tall * rng.uniform(1.9, 2.2), 250),
                tall,
                0.2,
            ),
        )
    else:
        sheet = sheet_of(
            rng,
            ("oval", "box", "soft", "arch", "notched"),
            size=(90, 190),
            aspect=(0.95, 1.1),
        )
    x0, y0, x1, y1 = sheet.field.bounds
    marks, over = rng.random() < 0.7, 0.01 if two else rng.choice([-0.06, 0.02])
    figure = wyvern(rng, marks=marks)
    figure = figure if marks else plain(figure[:-3]) + figure[-3:]
    if two:
        mid = (x0 + x1) / 2
        x, y, size = fitted(figure, x0, y0 + over, mid + 1, y1)
        start = len(sheet.layers)
        put(sheet, figure, x, y, size)
        twin = [(flip(s, mid), [flip(q, mid) for q in i]) for s, i in sheet.layers[start:]]
        sheet.layers += twin
        if rng.random() < 0.5:
            lay(sheet, taper([(mid, y1 + 3), (mid + 1, (y0 + y1) / 2), (mid, y0 - 3)], 4.0, 3.0))
    else:
        out = over * (x1 - x0)
        x, y, size = fitted(figure, x0 - out, y0 - out, x1 + out, y1 + out)
        put(sheet, figure, x, y, size, mirror=False)
        if rng.random() < 0.5:
            axis = (x0 + x1) / 2
            sheet.layers = [(flip(s, axis), [flip(q, axis) for q in i]) for s, i in sheet.layers]
    return finish(f"wyverns-{seed}", sheet, rng)
