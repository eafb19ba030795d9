"""Sheets: leather pierced by openings, so that all of it is one shape: cutwork, mazes, wires, panes, crests."""

import itertools

import numpy as np
import shapely
from shapely import LineString, MultiPoint, Point

from tests.make.families.frames import panel, strip
from tests.make.families.scene import pierced
from tests.make.families.strokes import blob, disc, flower, heart, leaf, place, spiral, spline, star


def _rim(rng, shape):
    """A field inside a shape."""
    w = min(shape.bounds[2] - shape.bounds[0], shape.bounds[3] - shape.bounds[1])
    return shape.buffer(-w * rng.uniform(0.03, 0.1), join_style="mitre")


def cutwork(seed, rng):
    """Openings of one or two forms in rows, staggered or not, well apart."""
    outline = (panel(rng) if rng.random() < 0.5 else strip(rng)).outline
    field = _rim(rng, outline)
    x0, y0, x1, y1 = field.bounds
    cell = rng.uniform(9, 24)
    forms = [
        lambda r: place(leaf(2 * r, r * 0.9)[0], -r, 0),
        lambda r: place(shapely.box(-r, -0.3 * r, r, 0.3 * r), 0, 0),
        lambda r: place(star(r, 4, 0.4), 0, 0),
        lambda r: heart(r * 0.8),
        lambda r: place(shapely.box(-r * 0.7, -r * 0.7, r * 0.7, r * 0.7), 0, 0, np.pi / 4),
        lambda r: flower(r, 5),
    ]
    picked = rng.choice(len(forms), 2, replace=False)
    turns = rng.uniform(0, np.pi, 2)
    room = field.buffer(-cell * 0.08)
    openings = []
    for j, y in enumerate(np.arange(y0 + cell / 2, y1, cell)):
        for i, x in enumerate(np.arange(x0 + cell / 2, x1, cell)):
            x += cell / 2 if j % 2 and seed % 2 else 0
            k = (i + j) % 2
            shape = place(forms[picked[k]](cell * 0.4), x, y, turns[k] * (i % 2))
            if room.contains(shape):
                openings.append(shape)
    leather = field.difference(shapely.union_all(openings)) if openings else field.buffer(-3)
    return pierced(f"cutwork-{seed}", outline, field, leather)


def maze(seed, rng):
    """Thick lines along a square or slanting grid, turning and ending at will."""
    outline = (panel(rng) if rng.random() < 0.5 else strip(rng)).outline
    field = _rim(rng, outline)
    x0, y0, x1, y1 = field.bounds
    pitch = rng.uniform(8, 18)
    width = pitch * rng.uniform(0.18, 0.4)
    steps = [(1, 0), (0, 1)] if rng.random() < 0.6 else [(1, 0.5), (1, -0.5), (0, 1)]
    share = rng.uniform(0.35, 0.6)
    lines = []
    for x in np.arange(x0 - pitch, x1 + pitch, pitch):
        for y in np.arange(y0 - pitch, y1 + pitch, pitch):
            lines += [
                LineString([(x, y), (x + pitch * dx, y + pitch * dy)])
                for dx, dy in steps
                if rng.random() < share
            ]
    net = shapely.union_all(lines).buffer(width / 2, cap_style="square", join_style="mitre")
    if rng.random() < 0.4:
        net = net.buffer(-width * 0.15).buffer(width * 0.3).buffer(-width * 0.15)
    held = [p for p in shapely.get_parts(net) if p.intersects(field.boundary) or rng.random() < 0.5]
    return pierced(f"maze-{seed}", outline, field, shapely.union_all(held))


def wires(seed, rng):
    """Curls of one wire width that touch one another and the rim."""
    outline = (panel(rng) if rng.random() < 0.6 else strip(rng)).outline
    field = _rim(rng, outline)
    x0, y0, x1, y1 = field.bounds
    size = min(x1 - x0, y1 - y0) * rng.uniform(0.2, 0.5)
    wire = size * rng.uniform(0.06, 0.14)
    parts = []
    for x in np.arange(x0 + size / 2, x1, size * 0.92):
        for y in np.arange(y0 + size / 2, y1, size * 0.92):
            hand = 1 if rng.random() < 0.5 else -1
            turns = rng.uniform(0.8, 1.8)
            curl = spiral(x, y, size / 2, turns, start=rng.uniform(0, 6.3), hand=hand, inner=0.25)
            parts.append(LineString(curl).buffer(wire / 2, quad_segs=12).simplify(0.01))
            if rng.random() < 0.6:
                parts.append(disc(*curl[-1], wire * rng.uniform(0.8, 1.6)))
            if rng.random() < 0.5:
                far = np.array([rng.uniform(x0, x1), rng.uniform(y0, y1)])
                bow = spline(
                    [(x, y), (np.array([x, y]) + far) / 2 + rng.normal(0, size * 0.2, 2), far]
                )
                parts.append(LineString(bow).buffer(wire / 2, quad_segs=12).simplify(0.01))
    return pierced(f"wires-{seed}", outline, field, shapely.union_all(parts))


def panes(seed, rng):
    """Panes of uneven form between bars of even width, as of a leaded window; some bars end in bosses."""
    outline = (panel(rng) if rng.random() < 0.6 else strip(rng)).outline
    field = _rim(rng, outline)
    x0, y0, x1, y1 = field.bounds
    pitch = rng.uniform(12, 30)
    spread = rng.uniform(0.05, 0.35)
    points = [
        (x + rng.normal(0, pitch * spread), y + rng.normal(0, pitch * spread))
        for x in np.arange(x0 - pitch, x1 + pitch, pitch)
        for y in np.arange(y0 - pitch, y1 + pitch, pitch)
    ]
    edges = shapely.voronoi_polygons(MultiPoint(points), only_edges=True)
    bar = pitch * rng.uniform(0.08, 0.2)
    net = edges.buffer(bar / 2, join_style="mitre" if rng.random() < 0.5 else "round")
    if rng.random() < 0.5:
        net = net.buffer(bar * 0.4).buffer(-bar * 0.4)
    if rng.random() < 0.3:
        net = net.union(shapely.union_all([disc(*p, bar * 1.4) for p in points]))
    return pierced(f"panes-{seed}", outline, field, net)


def crests(seed, rng):
    """Creatures of many limbs in one silhouette, standing on bars or reaching the rim, eyes drawn."""
    outline = (panel(rng) if rng.random() < 0.6 else strip(rng)).outline
    field = _rim(rng, outline)
    x0, y0, x1, y1 = field.bounds
    tall = y1 - y0
    count = max(1, int((x1 - x0) / tall * rng.uniform(0.8, 1.4)))
    parts, inner = [], []
    if rng.random() < 0.6:
        parts.append(shapely.box(x0 - 5, y1 - tall * 0.1, x1 + 5, y1 - tall * 0.04))
    for k in range(count):
        c = np.array([x0 + (k + 0.5) * (x1 - x0) / count, (y0 + y1) / 2])
        size = min(tall, (x1 - x0) / count) * 0.46
        body = place(blob(rng, size * 0.35, wobble=0.5), *c)
        parts.append(body)
        limbs = int(rng.integers(4, 9))
        for i in range(limbs):
            aim = 2 * np.pi * (i + rng.uniform(-0.3, 0.3)) / limbs
            bend = rng.normal(0, 0.6)
            out = [(0.2, 0), (0.55, bend / 2), (rng.uniform(0.75, 1.25), bend)]
            run = spline(
                [c + size * r * np.array([np.cos(aim + b), np.sin(aim + b)]) for r, b in out]
            )
            fat = np.linspace(rng.uniform(0.12, 0.2), rng.uniform(0.03, 0.08), len(run)) * size / 2
            balls = [Point(p).buffer(f, quad_segs=6) for p, f in zip(run, fat, strict=True)]
            parts += [shapely.union_all(two).convex_hull for two in itertools.pairwise(balls)]
            if rng.random() < 0.5:
                tip = place(leaf(size * 0.35, size * 0.18)[0], *run[-1], aim + bend - 0.5)
                parts.append(tip)
        if rng.random() < 0.7:
            inner.append(disc(*c, size * 0.06).exterior)
        if rng.random() < 0.4:
            inner.append(place(disc(0, 0, size * 0.16).exterior, *c))
    leather = shapely.union_all(parts)
    return pierced(f"crests-{seed}", outline, field, leather, inner)
