"""Guests in openwork: pieces without a rim, and window lattices with ivy woven through."""

import numpy as np
import shapely
from shapely import LineString, Polygon, affinity

from tests.make.families.guests_kit import (
    Sheet,
    bare,
    closed,
    disc,
    finish,
    heading,
    lay,
    lid,
    put,
    ribbon,
    sheet_of,
    under,
)
from tests.make.families.guests_sky import crescent, sun_of
from tests.make.families.strokes import band, place, spline, star


def hoop(sheet, r, thick):
    """A ring about the origin."""
    lay(sheet, disc(0, 0, r, 180).difference(disc(0, 0, r - thick, 180)))


def _sun(sheet, rng, r):
    """A sun whose rays end on a hoop, or a crescent that holds a star."""
    hoop(sheet, r, r * rng.uniform(0.05, 0.09))
    if rng.random() < 0.6:
        put(
            sheet,
            sun_of(rng, face=rng.random() < 0.5, ring=rng.random() < 0.5),
            0,
            0,
            r * rng.uniform(0.97, 1.12),
        )
        return
    put(sheet, crescent(rng, face=rng.random() < 0.5), 0, 0, r, rng.uniform(-0.4, 0.4))
    for k in range(int(rng.integers(3, 6))):
        a = -1.2 + 2.4 * (k + rng.uniform(0.3, 0.7)) / 5
        far = r * rng.uniform(0.35, 0.8)
        shape = place(
            star(r * rng.uniform(0.1, 0.17), 5, 0.42), far * np.cos(a), far * np.sin(a), a
        )
        lay(sheet, shape)


def _comb(sheet, rng, r):
    """A piece of honeycomb with its own edge, some cells shut: left out, or drawn with a domed lid."""
    side = r * rng.uniform(0.17, 0.26)
    wall = max(1.8, side * rng.uniform(0.2, 0.32))
    a = np.arange(6) * np.pi / 3
    hexagon = np.column_stack([np.cos(a), np.sin(a)]) * side
    spots = np.array(
        [(1.5 * i, np.sqrt(3) * (j + (i % 2) / 2)) for i in range(-6, 7) for j in range(-6, 7)]
    )
    cells = [hexagon + spot * side for spot in spots]
    cells = [Polygon(c) for c in cells if np.hypot(*c.mean(axis=0)) < r * rng.uniform(0.85, 1.05)]
    whole = shapely.union_all([c.buffer(wall / 2, join_style="mitre") for c in cells])
    is_open = [rng.random() < 0.85 for _ in cells]
    inner = [c.buffer(-wall / 2, join_style="mitre") for c in cells]
    open_cells = [c for c, shown in zip(inner, is_open, strict=True) if shown]
    shut = [c for c, shown in zip(inner, is_open, strict=True) if not shown]
    lids = [line for c in shut for line in lid(c)] if rng.random() < 0.5 else []
    lay(
        sheet,
        max(shapely.get_parts(whole), key=lambda p: p.area).difference(
            shapely.union_all(open_cells)
        ),
        *lids,
    )


def _straps(sheet, rng, r):
    """Rings or squares that overlap in rows, with a boss here and there."""
    step = r * rng.uniform(0.52, 0.7)
    wide = max(2.0, step * rng.uniform(0.1, 0.16))
    round_ones = rng.random() < 0.5
    for i in range(-2, 3):
        for j in range(-1, 2):
            x, y = step * i, step * j
            whole = (
                disc(0, 0, step * 0.62)
                if round_ones
                else shapely.box(-step * 0.5, -step * 0.5, step * 0.5, step * 0.5)
            )
            shape = whole.difference(whole.buffer(-wide, join_style="mitre"))
            for turn in (0,) if round_ones else (0, np.pi / 4):
                lay(sheet, place(shape, x, y, turn))
    if rng.random() < 0.4:
        for i in range(-2, 3):
            for j in range(-1, 2):
                lay(sheet, place(star(step * 0.2, 4, 0.5), step * i, step * j))


def _wreath(sheet, rng, r):
    """A wreath of long leaves on two hoops, with berries."""
    inner, thick = r * rng.uniform(0.5, 0.6), max(1.8, r * rng.uniform(0.035, 0.06))
    hoop(sheet, inner, thick)
    hoop(sheet, r * 0.92, thick)
    count, both = int(rng.integers(10, 20)), rng.random() < 0.5
    lean = rng.uniform(0.3, 0.7)
    for k in range(count):
        a = 2 * np.pi * k / count
        long = (r - inner) * rng.uniform(1.1, 1.25)
        leaf = closed(
            [(0, -0.04), (0.4, -0.17), (0.75, -0.13), (1, 0), (0.75, 0.13), (0.4, 0.17), (0, 0.04)],
            (0, 3, 6),
        )
        x, y = (inner - thick) * np.cos(a), (inner - thick) * np.sin(a)
        rib = LineString([(0.08, 0), (0.8, 0)])
        lay(
            sheet,
            place(leaf, x, y, a + lean, long),
            *([place(rib, x, y, a + lean, long)] if both else []),
        )
    if rng.random() < 0.6:
        put(
            sheet,
            [(star(1, int(rng.integers(5, 9)), 0.5), [])],
            0,
            0,
            inner * 1.02,
            rng.uniform(0, 1),
        )


def _rose(sheet, rng, r):
    """Foils in a ring: a window rose with its own scalloped edge."""
    count = int(rng.integers(6, 13))
    thick = max(2.0, r * rng.uniform(0.05, 0.08))
    far = r * 0.72
    size = far * np.sin(np.pi / count) * rng.uniform(1.02, 1.12) + thick / 2
    for k in range(count):
        a = 2 * np.pi * k / count
        lay(
            sheet,
            affinity.translate(
                disc(0, 0, size).difference(disc(0, 0, size - thick)),
                far * np.cos(a),
                far * np.sin(a),
            ),
        )
    hoop(sheet, far - size + 1.2 * thick + size * 0.4, thick)
    petals = int(rng.choice([5, 6, 8]))
    middle = far - size + 0.8 * thick + size * 0.4
    for k in range(petals):
        leaf = closed([(0, 0), (0.5, -0.2), (1, 0), (0.5, 0.2)], (0, 2))
        lay(sheet, place(leaf, 0, 0, 2 * np.pi * k / petals, middle))
    lay(sheet, disc(0, 0, middle * 0.2))


def openwork(seed, rng):
    """Pieces whose edge is their own figures': suns in hoops, comb, straps, wreaths, window roses."""
    r = rng.uniform(34, 70)
    sheet = Sheet(outline=disc(0, 0, r), field=disc(0, 0, r))
    (_sun, _comb, _straps, _wreath, _rose)[seed % 5](sheet, rng, r)
    return bare(f"openwork-{seed}", sheet, rng, cut=0.3)


def ivy(rng, *, veins):
    """An ivy leaf along +x from its stalk, one long."""
    j = rng.uniform(-0.04, 0.04, 4)
    half = [
        (0.08, 0.12),
        (0.02, 0.42 + j[0]),
        (0.3, 0.34),
        (0.46, 0.56 + j[1]),
        (0.6, 0.3),
        (0.8, 0.16),
    ]
    ring = [(0.1, 0), *[(x, -y) for x, y in half], (1, 0), *half[::-1]]
    corners = [0, 2, 4, 7, 10, 12]
    lines = (
        [
            LineString([(0.14, 0), (0.86, 0)]),
            *(LineString([(0.14, 0), (0.4, s * 0.44)]) for s in (1, -1)),
        ]
        if veins
        else []
    )
    return [(closed(ring, corners), lines)]


def lattices(seed, rng):
    """A window lattice, square, slanting or of lozenges, with ivy wound over and under its bars."""
    sheet = sheet_of(
        rng, ("arch", "ogive", "box", "soft", "oval", "hexagon"), size=(80, 160), aspect=(0.9, 1.45)
    )
    x0, y0, x1, y1 = sheet.field.bounds
    w, h = x1 - x0, y1 - y0
    cells = int(rng.integers(3, 7))
    step, wide = w / cells, max(1.7, w * rng.uniform(0.018, 0.032))
    lean = (0.0, 1.0, rng.uniform(1.3, 1.8))[seed % 3]
    reach, mid = w + h, (x0 + x1) / 2
    first, second = [], []
    for k in range(-4 * cells, 4 * cells + 1):
        at = mid + (k + 0.5 * (cells % 2 == 0)) * step
        if lean:
            d = np.array([1.0, lean]) / np.hypot(1, lean)
            c = np.array([at, (y0 + y1) / 2])
            first.append(band(np.array([c - d * reach, c + d * reach]), wide, round_ends=False))
            second.append(
                band(
                    np.array([c - d * [1, -1] * reach, c + d * [1, -1] * reach]),
                    wide,
                    round_ends=False,
                )
            )
        else:
            first.append(shapely.box(at - wide / 2, y0 - 5, at + wide / 2, y1 + 5))
            second.append(
                shapely.box(
                    x0 - 5,
                    y0 + (k + 0.5) * step - wide / 2,
                    x1 + 5,
                    y0 + (k + 0.5) * step + wide / 2,
                )
            )
    stems = []
    for s in (1, -1)[: int(rng.integers(1, 3))]:
        swing = rng.uniform(0.12, 0.22) * w
        y = np.linspace(y1 + 4, y0 + h * rng.uniform(0.05, 0.3), 120)
        run = np.column_stack(
            [
                mid
                + s * w * rng.uniform(0.05, 0.2)
                + swing * np.sin((y1 - y) / h * np.pi * rng.uniform(2, 3.4) + s),
                y,
            ]
        )
        stems.append(run)
    thick = max(1.7, w * rng.uniform(0.018, 0.028))
    for shape in first:
        lay(sheet, shape)
    for run in stems:
        lay(sheet, ribbon(run, np.linspace(thick * 1.3, thick * 0.8, len(run))))
    for shape in second:
        lay(sheet, shape)
    veins = rng.random() < 0.6
    size = w * rng.uniform(0.14, 0.22)
    for run in stems:
        for k in range(int(rng.integers(6, 11))):
            i = min(int((k + rng.uniform(0.3, 0.7)) / 10 * len(run)), len(run) - 2)
            turn = heading(run, i) + (1 if k % 2 else -1) * rng.uniform(0.7, 1.3)
            far = size * rng.uniform(0.15, 0.4)
            foot = run[i] + far * np.array([np.cos(turn), np.sin(turn)])
            stalk = spline(
                [
                    run[i],
                    (run[i] + foot) / 2 + 0.1 * far,
                    foot + 0.15 * size * np.array([np.cos(turn), np.sin(turn)]),
                ]
            )
            under(sheet, ribbon(stalk, thick * 0.7))
            put(sheet, ivy(rng, veins=veins), *foot, size * rng.uniform(0.85, 1.15), turn)
    return finish(f"lattices-{seed}", sheet, rng)
