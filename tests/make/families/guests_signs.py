"""Guests that are written: monograms of broad-pen letters with flourishes."""

import itertools

import numpy as np
import shapely
from shapely import MultiPoint

from tests.make.families.guests_kit import (
    closed,
    disc,
    finish,
    lay,
    ribbon,
    sheet_of,
)
from tests.make.families.strokes import place, spiral, spline

LETTERS = {  # smooth runs on a cell about 1 wide and 1.4 high, y down
    "A": [
        [(0.02, 1.4), (0.3, 0.75), (0.55, 0.0)],
        [(0.5, 0.0), (0.75, 0.7), (1.0, 1.4)],
        [(0.2, 0.95), (0.5, 0.88), (0.85, 0.95)],
    ],
    "B": [
        [(0.15, 0.0), (0.12, 0.7), (0.15, 1.4)],
        [(0.0, 0.1), (0.4, -0.02), (0.82, 0.2), (0.7, 0.55), (0.3, 0.66)],
        [(0.3, 0.66), (0.85, 0.75), (0.95, 1.1), (0.6, 1.4), (0.05, 1.36)],
    ],
    "C": [
        [(0.95, 0.25), (0.7, 0.0), (0.2, 0.2), (0.05, 0.7), (0.2, 1.2), (0.65, 1.4), (0.98, 1.15)]
    ],
    "D": [
        [(0.2, 0.0), (0.17, 0.7), (0.2, 1.4)],
        [(0.0, 0.05), (0.5, 0.0), (0.95, 0.35), (1.0, 0.8), (0.7, 1.3), (0.1, 1.4)],
    ],
    "E": [
        [(0.9, 0.2), (0.6, 0.0), (0.2, 0.15), (0.25, 0.55), (0.6, 0.65)],
        [(0.6, 0.65), (0.1, 0.75), (0.05, 1.15), (0.5, 1.42), (0.95, 1.15)],
    ],
    "G": [
        [
            (0.92, 0.25),
            (0.65, 0.0),
            (0.18, 0.2),
            (0.03, 0.7),
            (0.2, 1.22),
            (0.6, 1.4),
            (0.9, 1.2),
            (0.9, 0.8),
        ],
        [(0.55, 0.82), (0.8, 0.76), (1.02, 0.8)],
    ],
    "H": [
        [(0.15, 0.0), (0.1, 0.7), (0.15, 1.4)],
        [(0.88, 0.0), (0.82, 0.7), (0.9, 1.4)],
        [(0.0, 0.75), (0.5, 0.62), (1.0, 0.7)],
    ],
    "L": [
        [(0.55, 0.05), (0.3, 0.0), (0.25, 0.6), (0.2, 1.15), (0.02, 1.38)],
        [(0.02, 1.36), (0.3, 1.24), (0.6, 1.42), (1.0, 1.25)],
    ],
    "M": [
        [(0.05, 1.4), (0.15, 0.7), (0.2, 0.0)],
        [(0.18, 0.0), (0.35, 0.6), (0.52, 1.1)],
        [(0.5, 1.1), (0.7, 0.5), (0.88, 0.0)],
        [(0.88, 0.0), (0.92, 0.7), (1.05, 1.4)],
    ],
    "P": [
        [(0.2, 0.0), (0.2, 0.7), (0.12, 1.4)],
        [(0.0, 0.12), (0.5, -0.03), (0.95, 0.25), (0.8, 0.68), (0.3, 0.8)],
    ],
    "R": [
        [(0.2, 0.0), (0.2, 0.7), (0.15, 1.4)],
        [(0.0, 0.1), (0.45, -0.03), (0.88, 0.2), (0.75, 0.58), (0.3, 0.7)],
        [(0.4, 0.7), (0.7, 1.1), (1.05, 1.4)],
    ],
    "S": [
        [
            (0.88, 0.22),
            (0.6, 0.0),
            (0.2, 0.15),
            (0.25, 0.5),
            (0.75, 0.85),
            (0.85, 1.2),
            (0.45, 1.42),
            (0.05, 1.15),
        ]
    ],
}


def pen(points, broad, thin, angle):
    """Stroke of a broad pen held at an angle, through points."""
    run = spline(points, per=10)
    nib = np.array(
        [
            (-broad / 2, -thin / 2),
            (broad / 2, -thin / 2),
            (broad / 2, thin / 2),
            (-broad / 2, thin / 2),
        ]
    )
    c, s = np.cos(angle), np.sin(angle)
    nib = nib @ np.array([[c, s], [-s, c]])
    return shapely.union_all(
        [MultiPoint(np.vstack([nib + a, nib + b])).convex_hull for a, b in itertools.pairwise(run)]
    )


def written(name, broad, thin, angle):
    """Strokes of one letter in the order of writing."""
    return [pen(points, broad, thin, angle) for points in LETTERS[name]]


def flourish(sheet, rng, x, y, aim, long, thick, hand):
    """A swash that springs from (x, y), bows out and ends in a curl, with a leaf or a bead on it."""
    t = np.linspace(0, 1, 30)
    a = aim + hand * rng.uniform(0.5, 1.0) * np.sin(np.pi * t * 1.1)
    step = long / 29 * np.column_stack([np.cos(a), np.sin(a)])
    run = np.array([x, y]) + np.vstack([[0, 0], np.cumsum(step[1:], axis=0)])
    r = long * rng.uniform(0.16, 0.24)
    turn = -hand
    c = run[-1] + r * turn * np.array([-np.sin(a[-1]), np.cos(a[-1])])
    coil = spiral(
        *c, r, rng.uniform(0.9, 1.4), start=np.arctan2(*(run[-1] - c)[::-1]), hand=turn, inner=0.3
    )
    parts = [ribbon(run, thick * (0.6 + 0.7 * np.sin(np.pi * t)))]
    parts += [ribbon(coil[n : n + 16], thick * 0.6) for n in range(0, len(coil) - 2, 15)]
    lay(sheet, shapely.union_all([*parts, disc(*coil[-1], thick * 0.8)]))
    if rng.random() < 0.6:
        i = int(rng.integers(8, 20))
        leaf = closed([(0, -0.03), (0.5, -0.26), (1, 0), (0.5, 0.26), (0, 0.03)], (0, 2, 4))
        lay(sheet, place(leaf, *run[i], a[i] + hand * 0.9, long * 0.3))


def monograms(seed, rng):
    """One or two broad-pen letters, one over the other, with curled flourishes on all sides."""
    sheet = sheet_of(
        rng,
        ("oval", "soft", "box", "canted", "barbed", "notched"),
        size=(80, 165),
        aspect=(0.85, 1.2),
    )
    x0, y0, x1, y1 = sheet.field.bounds
    r = min(x1 - x0, y1 - y0) / 2
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    angle, broad = rng.uniform(-0.9, -0.3), rng.uniform(0.17, 0.25)
    thin = max(0.05, 1.6 / r)
    size = r * rng.uniform(0.78, 0.98)
    thick = max(1.8, size * rng.uniform(0.055, 0.08))
    every = int(rng.choice([4, 6, 8]))
    first = rng.choice([0.0, np.pi / every])
    if rng.random() < 0.55:
        hoop = size * rng.uniform(0.86, 0.92)
        lay(sheet, disc(cx, cy, hoop, 140).difference(disc(cx, cy, hoop - thick, 140)))
    else:
        hoop = size * 0.5
    for k in range(every):
        a = first + 2 * np.pi * k / every
        hand = 1 if k % 2 else -1
        flourish(
            sheet,
            rng,
            cx + hoop * 0.95 * np.cos(a),
            cy + hoop * 0.95 * np.sin(a),
            a - hand * 0.3,
            r * rng.uniform(0.4, 0.6),
            thick,
            hand,
        )
    names = rng.choice(list(LETTERS), size=int(rng.integers(1, 3)), replace=False)
    scale = size * (0.95 if len(names) == 1 else 0.86)
    for k, name in enumerate(names):
        dx = (0.0, -0.3)[len(names) - 1] + 0.5 * k - 0.5
        dy = (0.0, -0.12)[len(names) - 1] + 0.24 * k - 0.7
        for stroke in written(str(name), broad, thin, angle):
            lay(sheet, place(stroke, cx + dx * scale, cy + dy * scale, 0, scale))
    return finish(f"monograms-{seed}", sheet, rng, cut=0.3)
