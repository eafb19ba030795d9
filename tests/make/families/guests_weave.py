"""Guests that weave: ribbons over and under one another, and hounds whose bodies are such ribbons."""

import itertools

import numpy as np
import shapely
from shapely import LineString, Polygon

from tests.make.families.guests_kit import (
    closed,
    curve,
    disc,
    finish,
    lay,
    plate,
    rimmed,
    sheet_of,
    taper,
)
from tests.make.families.scene import OVERSHOOT, pieces
from tests.make.families.strokes import normals, place


def crossings(runs):
    """Places where polylines cross one another or themselves: (run, at, other run, at), at in vertices."""
    segments = np.concatenate([np.stack([r[:-1], r[1:]], axis=1) for r in runs])
    owner = np.repeat(np.arange(len(runs)), [len(r) - 1 for r in runs])
    row = np.concatenate([np.arange(len(r) - 1) for r in runs])
    lines = shapely.linestrings(segments)
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    apart = (owner[first] != owner[second]) | (np.abs(row[first] - row[second]) > 4)
    keep = (first < second) & apart
    found, at = [], []
    for a, b in zip(first[keep].tolist(), second[keep].tolist(), strict=True):
        here, pair = segments[a].mean(axis=0), (owner[a], owner[b])
        step = np.hypot(*(segments[a][1] - segments[a][0]))
        if all(q != pair or np.hypot(*(here - p)) > 3 * step for p, q in at):
            at.append((here, pair))
            found.append((int(owner[a]), int(row[a]), int(owner[b]), int(row[b])))
    return found


def woven(runs, width, *, lead=0):
    """Ribbons along polylines, over and under in turn; `width` is one or one for each vertex of all runs alike.

    Returns:
        The leather they cover, and the lines drawn inside it: the edges of each ribbon where it runs over.
    """
    found = crossings(runs)
    stops = [[] for _ in runs]
    for n, (a, i, b, j) in enumerate(found):
        stops[a].append((i, n, 0))
        stops[b].append((j, n, 1))
    over = [None] * len(found)
    for places in stops:
        turns = [(k % 2, n, which) for k, (_, n, which) in enumerate(sorted(places))]
        votes = [
            1 if (over[n] == which) == (k == 0) else -1
            for k, n, which in turns
            if over[n] is not None
        ]
        start = lead if sum(votes) == 0 else int(sum(votes) < 0)
        for k, n, which in turns:
            if over[n] is None:
                over[n] = which if k == start else 1 - which
    half = [np.broadcast_to(np.asarray(width, dtype=float) / 2, len(r))[:, None] for r in runs]
    sides = [(r + normals(r) * w, r - normals(r) * w) for r, w in zip(runs, half, strict=True)]
    most, inner = float(np.max(width)), []
    for (a, i, b, j), top in zip(found, over, strict=True):
        (k, at), (q, there) = ((a, i), (b, j)) if top == 0 else ((b, j), (a, i))
        patch = _strip(sides[q], *_window(runs[q], there, 3 * most)).buffer(OVERSHOOT)
        first, last = _window(runs[k], at, 3 * most)
        for side in sides[k]:
            inner += pieces([LineString(side[first:last]) & patch])
    chunks = [_strip(s, n, n + 13) for s in sides for n in range(0, len(s[0]) - 1, 12)]
    return shapely.union_all(chunks, grid_size=1e-4), inner


def _strip(sides, first, last):
    """Area between two sides from one vertex up to another."""
    left, right = sides
    return Polygon(np.vstack([left[first:last], right[first:last][::-1]])).buffer(0)


def _window(run, at, reach):
    """First and last vertex of the stretch of a polyline within `reach` of a vertex, at least two of them."""
    far = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
    near = np.flatnonzero(np.abs(far - far[at]) <= reach)
    return max(int(near[0]) - 1, 0), int(near[-1]) + 2


def head_of(kind, *, marks):
    """A head at the end of a ribbon one wide, facing +x."""
    eye = [disc(0.75, -0.2, 0.13).exterior] if marks else []
    if kind == "hound":
        skull = closed(
            [
                (-0.1, -0.5),
                (0.5, -0.75),
                (1.1, -0.55),
                (1.9, -0.4),
                (2.3, -0.2),
                (2.2, 0.1),
                (1.5, 0.15),
                (1.9, 0.45),
                (1.3, 0.55),
                (0.6, 0.6),
                (-0.1, 0.5),
            ],
            (0, 5, 6, 7, 10),
        )
        ear = closed([(0.45, -0.6), (0.1, -1.2), (-0.7, -1.3), (-0.2, -0.55)], (2,))
        return [(ear, []), (skull, eye)]
    if kind == "bird":
        skull = closed(
            [
                (-0.1, -0.5),
                (0.5, -0.8),
                (1.2, -0.6),
                (1.9, -0.2),
                (2.0, 0.6),
                (1.5, 0.2),
                (1.0, 0.5),
                (0.4, 0.65),
                (-0.1, 0.5),
            ],
            (0, 4, 8),
        )
        crest = closed([(0.5, -0.7), (0.1, -1.3), (-0.6, -1.2), (-0.1, -0.5)], (2,))
        return [(crest, []), (skull, [*eye, curve([(1.15, -0.55), (1.05, 0.0), (1.2, 0.4)])])]
    skull = closed(
        [(-0.1, -0.5), (0.6, -0.85), (1.4, -0.6), (2.1, 0.0), (1.4, 0.6), (0.6, 0.85), (-0.1, 0.5)],
        (0, 3, 6),
    )
    return [
        (skull, [disc(1.0, -0.35, 0.12).exterior, disc(1.0, 0.35, 0.12).exterior] if marks else [])
    ]


def hound_runs(rng, sheet, way, width):
    """Paths of the bodies, tail first."""
    x0, y0, x1, y1 = sheet.field.bounds
    w, h, mid = x1 - x0, y1 - y0, np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    if way == "belt":
        count = int(rng.integers(2, 4))
        pitch = h * rng.uniform(1.3, 1.9)
        x = np.linspace(x0 + 2.6 * width, x1 - 3.0 * width, 560)
        swing = h / 2 - width * rng.uniform(1.0, 1.3)
        shift = rng.uniform(0, 1)
        runs = [
            np.column_stack(
                [x, mid[1] + swing * np.sin(2 * np.pi * ((x - x0) / pitch + k / count + shift))]
            )
            for k in range(count)
        ]
        return [r[::-1] if k % 2 else r for k, r in enumerate(runs)]
    rounds, lobes = [(2, 5), (2, 7), (3, 7), (3, 8), (2, 3), (3, 5)][int(rng.integers(0, 6))]
    count = int(rng.integers(1, 4))
    reach = min(w, h) / 2 - width * 1.1
    mean, swing = rng.uniform(0.55, 0.62), rng.uniform(0.3, 0.36)
    cuts = [round(lobes * k / count) for k in range(count)] + [lobes]
    gap = 1.5 * width / (2 * np.pi * rounds * reach)
    found = []
    for a, b in itertools.pairwise(cuts):
        t = np.linspace(a / lobes + gap * 1.2, b / lobes - gap * 0.6, int(160 * (b - a)))
        turn = 2 * np.pi * rounds * t - np.pi / 2
        r = reach * (mean + swing * np.cos(2 * np.pi * lobes * t)) / (mean + swing)
        found.append(
            mid
            + r[:, None]
            * np.column_stack([w / min(w, h) * np.cos(turn), h / min(w, h) * np.sin(turn)])
        )
    return found


def hounds(seed, rng):
    """Interlaced beasts: ribbon bodies over and under, heads of hounds, birds or serpents, tapering tails."""
    way = "belt" if seed % 2 else "round"
    if way == "belt":
        tall = rng.uniform(58, 84)
        sheet = rimmed(
            rng,
            plate(
                str(rng.choice(["box", "soft", "barrel", "hexagon"])),
                rng.uniform(150, 250),
                tall,
                0.2,
            ),
        )
    else:
        sheet = sheet_of(rng, ("oval", "soft", "box", "canted"), size=(95, 170), aspect=(0.9, 1.1))
    x0, y0, x1, y1 = sheet.field.bounds
    width = min(x1 - x0, y1 - y0) * (
        rng.uniform(0.1, 0.13) if way == "belt" else rng.uniform(0.06, 0.08)
    )
    runs = hound_runs(rng, sheet, way, width)
    kind, marks = str(rng.choice(["hound", "bird", "serpent"])), rng.random() < 0.8
    thinned = [width * np.interp(np.arange(len(r)), [0, 60], [0.3, 1.0]) for r in runs]
    same = all(len(r) == len(runs[0]) for r in runs)
    area, inner = woven(runs, thinned[0] if same else width, lead=int(rng.integers(0, 2)))
    lay(sheet, area, *inner)
    for run in runs:
        a = np.arctan2(*(run[-1] - run[-6])[::-1])
        size = width * 1.15
        for shape, lines in head_of(kind, marks=marks):
            lay(
                sheet,
                place(shape, *run[-1], a, size),
                *[place(q, *run[-1], a, size) for q in lines],
            )
        if not same:
            b = np.arctan2(*(run[0] - run[5])[::-1])
            tip = run[0] + 1.6 * width * np.array([np.cos(b + 0.3), np.sin(b + 0.3)])
            lay(sheet, taper([run[0], (run[0] + tip) / 2, tip], width, width * 0.25))
    if way == "round" and rng.random() < 0.6:
        far = rng.uniform(0.3, 0.36) * np.hypot(x1 - x0, y1 - y0)
        for k in range(4):
            a = np.pi / 4 + k * np.pi / 2
            c = np.array(
                [(x0 + x1) / 2 + far * 1.12 * np.cos(a), (y0 + y1) / 2 + far * 1.12 * np.sin(a)]
            )
            r = width * 0.9
            boss = disc(*c, r)
            if area.distance(boss) > 1.2:
                lay(sheet, boss, disc(*c, r * 0.5).exterior)
    return finish(f"hounds-{seed}", sheet, rng)


def eightfold(seed, rng):
    """Tile work in straps: lines of eight directions woven through one another, or squares laid on squares."""
    way = seed % 3
    pitch = rng.uniform(40, 66) if way == 1 else rng.uniform(26, 44)
    nx, ny = (
        (int(rng.integers(2, 4)), 2)
        if way == 1
        else (int(rng.integers(2, 6)), int(rng.integers(2, 5)))
    )
    kind = str(rng.choice(["box", "box", "canted", "soft", "oval", "barbed"]))
    sheet = rimmed(
        rng,
        plate(kind, float(np.clip(nx * pitch, 62, 250)), float(np.clip(ny * pitch, 62, 250)), 0.12),
    )
    x0, y0, x1, y1 = sheet.field.bounds
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    width = max(
        pitch * rng.uniform(0.045, 0.07) if way == 1 else pitch * rng.uniform(0.06, 0.1), 1.6
    )
    if way == 1:
        area, inner = woven(
            _eight_ways(pitch, cx, cy, x1 - x0 + y1 - y0, sheet.field), width, lead=seed % 2
        )
        lay(sheet, area, *(inner if rng.random() < 0.7 else []))
        return finish(f"eightfold-{seed}", sheet, rng)
    spots = [
        (cx + pitch * (i + 0.5 * (way == 2 and j % 2)), cy + pitch * j, i + j)
        for i in range(-4, 5)
        for j in range(-3, 4)
    ]
    half = pitch * rng.uniform(0.36, 0.43) if way == 0 else pitch * rng.uniform(0.3, 0.352)
    boss = rng.random() < 0.5
    for x, y, k in spots:
        for turn in (0, np.pi / 4)[:: 1 if k % 2 else -1]:
            side = shapely.box(-half, -half, half, half)
            strap = side.buffer(width / 2, join_style="mitre") - side.buffer(
                -width / 2, join_style="mitre"
            )
            lay(sheet, place(strap, x, y, turn))
    if boss:
        a = np.arange(8) * np.pi / 4 + np.pi / 8
        for x, y, _ in spots:
            lay(
                sheet,
                Polygon(
                    np.column_stack([x + half * 0.45 * np.cos(a), y + half * 0.45 * np.sin(a)])
                ),
            )
    return finish(f"eightfold-{seed}", sheet, rng, cut=0.3)


def _eight_ways(pitch, cx, cy, reach, field):
    """Pairs of parallel lines square and slanting, as runs of short chords."""
    runs = []
    window = field.envelope.buffer(6, join_style="mitre")
    for s, gap in itertools.product((0, 45, 90, 135), (-1, 1)):
        d = np.array([np.cos(np.radians(s)), np.sin(np.radians(s))])
        n = np.array([-d[1], d[0]])
        step = pitch if s % 90 == 0 else pitch / np.sqrt(2)
        for k in range(-9, 10):
            at = n * (k * step + gap * pitch * 0.207) + (cx, cy)
            line = LineString([at - d * reach, at + d * reach]) & window
            if line.length > 12:
                runs.append(np.asarray(shapely.segmentize(line, 2.9).coords))
    return runs
