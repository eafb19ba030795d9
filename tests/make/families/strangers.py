"""Strangers: pieces composed another way than the rest, to judge the guess by and never to learn from.

The leather is put together as one area, then opened by sharp or rounded fields; inner lines are drawn on
top of it. So what an eye takes from overlaps elsewhere, it must take from form here.
"""

import itertools

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Point, Polygon, affinity

from tests.make.families.scene import OVERSHOOT, on_page, pieces, pierced, polygons


def stroke(points, width, cap="round"):
    """One pen stroke of one width."""
    return LineString(points).buffer(width / 2, quad_segs=20, cap_style=cap).simplify(0.01)


def drop(x, y, length, width, turn):
    """A drop whose point is at (x, y) and that points away from `turn`."""
    t = np.linspace(0, 2 * np.pi, 70)
    shape = Polygon(
        np.column_stack(
            [length * (1 - np.cos(t)) / 2, width / 2 * np.sin(t) * np.sin(t / 2) ** 1.3]
        )
    ).buffer(0)
    return affinity.translate(affinity.rotate(shape, turn, origin=(0, 0), use_radians=True), x, y)


def arc(x, y, r, start, end, n=48):
    """Points of an arc."""
    a = np.linspace(start, end, n)
    return np.column_stack([x + r * np.cos(a), y + r * np.sin(a)])


def rounded(area, r):
    """Area with its corners rounded by a pen of radius r, both ways."""
    return area.buffer(r, quad_segs=8).buffer(-2 * r, quad_segs=8).buffer(r, quad_segs=8)


def thicket(seed, rng):
    """A grown bush: stems fork and end in drops, all one silhouette, a few ribs inside."""
    w, h = rng.uniform(80, 200), rng.uniform(80, 160)
    outline = shapely.box(0, 0, w, h).buffer(-8).buffer(8)
    field = outline.buffer(-rng.uniform(3, 8))
    parts, ribs = [], []
    unit = min(w, h) * rng.uniform(0.16, 0.24)
    thick = unit * rng.uniform(0.1, 0.2)

    def grow(x, y, aim, size, level):
        bend = rng.uniform(-0.7, 0.7)
        a = aim + bend * np.linspace(0, 1, 12)
        run = np.cumsum(
            np.vstack([[x, y], size / 11 * np.column_stack([np.cos(a[1:]), np.sin(a[1:])])]), axis=0
        )
        parts.append(stroke(run, thick * 0.8**level))
        x, y = run[-1]
        if level == 4 or not field.contains(Point(x, y)):
            leaf = drop(x, y, size * 0.9, size * 0.5, a[-1])
            parts.append(leaf)
            tip = (x + size * 0.6 * np.cos(a[-1]), y + size * 0.6 * np.sin(a[-1]))
            ribs.append(LineString([(x, y), tip]))
            return
        for side in (-1, 1):
            grow(
                x,
                y,
                a[-1] + side * rng.uniform(0.4, 0.9),
                size * rng.uniform(0.75, 0.95),
                level + 1,
            )
        if rng.random() < 0.5:
            mid = run[6]
            parts.append(drop(*mid, size * 0.6, size * 0.3, a[6] + rng.choice([-1, 1]) * 1.1))

    for k in range(int(rng.integers(1, 4))):
        grow(w * rng.uniform(0.3, 0.7), h + 2, -np.pi / 2 + 0.3 * (k - 1), unit * 1.3, 0)
    leather = shapely.union_all(parts)
    ribs = ribs if rng.random() < 0.5 else []
    inside = leather.buffer(-0.5)
    return pierced(f"thicket-{seed}", outline, field, leather, [r & inside for r in ribs])


def tracery(seed, rng):
    """A round window: spokes, hoops and foils of one bar width, openings only."""
    r = rng.uniform(35, 90)
    outline = Point(0, 0).buffer(r, quad_segs=48)
    field = Point(0, 0).buffer(r * rng.uniform(0.88, 0.95), quad_segs=48)
    count = int(rng.integers(5, 11))
    bar = r * rng.uniform(0.035, 0.06)
    middle = r * rng.uniform(0.22, 0.34)
    foils = []
    for k in range(count):
        a = 2 * np.pi * k / count
        foils.append(
            stroke([(middle * np.cos(a), middle * np.sin(a)), (r * np.cos(a), r * np.sin(a))], bar)
        )
        b = a + np.pi / count
        mid = (middle + r * 0.9) / 2
        c = np.array([mid * np.cos(b), mid * np.sin(b)])
        size = min(mid * np.sin(np.pi / count), (r * 0.9 - middle) / 2) - bar
        n = 3 + seed % 3
        lobes = [
            Point(
                c
                + size
                * 0.5
                * np.array([np.cos(b + 2 * np.pi * j / n), np.sin(b + 2 * np.pi * j / n)])
            ).buffer(size * (0.5 if n == 3 else 0.42))
            for j in range(n)
        ]
        foils.append(
            shapely.union_all(lobes)
            .buffer(bar / 2)
            .difference(shapely.union_all(lobes).buffer(-bar / 2))
        )
        foils.append(Point(c).buffer(size + bar / 2).difference(Point(c).buffer(size - bar / 2)))
    hub = Point(0, 0).buffer(middle + bar / 2).difference(Point(0, 0).buffer(middle - bar / 2))
    star = [
        stroke([(0, 0), (middle * np.cos(a), middle * np.sin(a))], bar)
        for a in 2 * np.pi * np.arange(6) / 6
    ]
    leather = shapely.union_all([*foils, hub, *star, Point(0, 0).buffer(middle * 0.3)])
    return pierced(f"tracery-{seed}", outline, field, leather)


def meander(seed, rng):
    """A key border: one thick line that turns back on itself between two bars, alone or with pegs."""
    tall = rng.uniform(24, 60)
    unit = tall * rng.uniform(0.9, 1.2)
    count = int(rng.integers(3, 8))
    w = unit * count
    edge = tall * rng.uniform(0.08, 0.16)
    outline = shapely.box(-edge, -edge, w + edge, tall + edge)
    field = shapely.box(0, 0, w, tall)
    t = tall * rng.uniform(0.08, 0.12)
    parts = []
    for k in range(count):
        x = unit * k
        u = unit / 6
        key = [
            (x, tall),
            (x, tall * 0.16),
            (x + 4 * u, tall * 0.16),
            (x + 4 * u, tall * 0.68),
            (x + 1.9 * u, tall * 0.68),
            (x + 1.9 * u, tall * 0.42),
        ]
        parts.append(LineString(key).buffer(t / 2, cap_style="square", join_style="mitre"))
        if seed % 2:
            parts.append(stroke([(x + 5 * u, tall), (x + 5 * u, tall * 0.6)], t * 1.2))
    leather = shapely.union_all(parts)
    if rng.random() < 0.5:
        leather = rounded(leather.union(field.buffer(edge / 2).difference(field)), t * 0.3)
    return pierced(f"meander-{seed}", outline, field, leather)


def guilloche(seed, rng):
    """A border of two ropes that wind about bosses, each rope doubled, drawn by breaks or whole lines."""
    tall = rng.uniform(26, 56)
    eye = tall * rng.uniform(0.55, 0.75)
    count = int(rng.integers(3, 9))
    w = eye * count
    rim = rng.uniform(3, 7)
    field = shapely.box(0, 0, w, tall)
    outline = field.buffer(rim, join_style="mitre" if seed % 2 else "round")
    wide = tall * rng.uniform(0.12, 0.2)
    swing = (tall - wide) / 2 - tall * rng.uniform(0.02, 0.08)
    x = np.linspace(-eye, w + eye, 90 * (count + 2))
    y = swing * np.cos(np.pi * x / eye)
    ropes = [np.column_stack([x, tall / 2 + s * y]) for s in (1, -1)]
    bands = [LineString(r).buffer(wide / 2, cap_style="flat") for r in ropes]
    gap = rng.uniform(0.2, 0.6) if rng.random() < 0.4 else -OVERSHOOT
    over = []
    for k in range(-1, count + 1):
        window = shapely.box(eye * k, -5, eye * (k + 1), tall + 5)
        over.append((bands[(k + seed) % 2] & window).buffer(gap))
    edges = []
    for s, band in enumerate(bands):
        edge = MultiLineString([LineString(band.exterior)]) & field.buffer(OVERSHOOT)
        for k in range(-1, count + 1):
            if (k + seed) % 2 != s:
                edge = edge.difference(over[k + 1])
        edges.append(edge)
    middle = [LineString(r) for r in ropes] if rng.random() < 0.3 else []
    if middle:
        middle = [
            (m & field).difference(
                shapely.union_all([o for k, o in enumerate(over) if (k - 1 + seed) % 2 != s])
            )
            for s, m in enumerate(middle)
        ]
    leather = shapely.union_all(bands)
    bosses = [
        Point(eye * k, tall / 2).buffer((swing - wide / 2) * rng.uniform(0.4, 0.6))
        for k in range(count + 1)
    ]
    bosses = [b & field for b in bosses if not b.intersects(leather)] if rng.random() < 0.7 else []
    ground = field.difference(shapely.union_all([leather, *bosses]))
    lines = [p for e in [*edges, *middle] for p in pieces([e])]
    lines += [LineString(b.exterior) for b in bosses]
    lines += [LineString(outline.exterior), LineString(field.exterior)]
    return on_page(f"guilloche-{seed}", outline, lines, polygons(ground))


def shield(seed, rng):
    """A shield with a rampant beast in one silhouette, claws and tongue, a few lines that part its limbs."""
    w = rng.uniform(60, 170)
    h = w * rng.uniform(1.05, 1.3)
    side = arc(0, h * 0.35, w * 0.5, 0, np.pi / 2.2, 30) * [1, 1.25] + [w / 2, -h * 0.09]
    right = np.vstack([[(w, 0)], [(w, h * 0.35)], side[side[:, 1] > h * 0.36], [(w / 2, h)]])
    outline = Polygon(np.vstack([[(0, 0)], right, (right * [-1, 1] + [w, 0])[::-1]])).buffer(0)
    rim = w * rng.uniform(0.03, 0.07)
    field = outline.buffer(-rim)
    s = w * 0.8
    lean = rng.uniform(-0.08, 0.08)

    def limb(points, wide, thin):
        p = np.array(points) * s
        discs = [
            Point(q).buffer(s * r) for q, r in zip(p, np.linspace(wide, thin, len(p)), strict=True)
        ]
        return shapely.union_all(
            [shapely.union_all(d).convex_hull for d in itertools.pairwise(discs)]
        )

    body = limb([(0.02, 0.2), (0.08, 0.05 + lean), (0.0, -0.15), (-0.05, -0.3)], 0.11, 0.1)
    head = limb([(-0.05, -0.38), (-0.14, -0.4), (-0.22, -0.37)], 0.085, 0.04)
    legs = [
        limb([(-0.05, -0.2), (-0.2, -0.24), (-0.3, -0.18 + lean)], 0.06, 0.03),
        limb([(-0.02, -0.08), (-0.2, -0.06), (-0.3, 0.02)], 0.06, 0.03),
        limb([(0.0, 0.2), (-0.16, 0.22), (-0.14, 0.36), (-0.24, 0.4)], 0.085, 0.03),
        limb([(0.08, 0.22), (0.14, 0.36), (0.06, 0.46), (-0.04, 0.47)], 0.085, 0.03),
    ]
    tail = limb(
        [(0.12, 0.18), (0.28, 0.14), (0.26, -0.05), (0.34, -0.2), (0.24, -0.3)], 0.035, 0.025
    )
    tufts = [drop(0.26 * s, -0.28 * s, 0.16 * s, 0.08 * s, a) for a in (-2.4, -1.7, -1.0)]
    claws = [
        drop(c.centroid.x, c.centroid.y, 0.1 * s, 0.035 * s, np.pi + d)
        for leg in legs
        for c in [
            Point(
                leg.bounds[0] + 0.03 * s,
                (leg & shapely.box(leg.bounds[0], -9e3, leg.bounds[0] + 0.05 * s, 9e3)).centroid.y,
            )
        ]
        for d in (-0.5, 0.1, 0.7)
    ]
    mane = [
        drop(-0.02 * s, (-0.42 + 0.07 * k) * s, 0.16 * s, 0.07 * s, -0.7 + 0.25 * k)
        for k in range(int(rng.integers(0, 6)))
    ]
    place_at = (w / 2 + 0.0 * s, h * 0.43)
    whole = shapely.union_all([body, head, *legs, tail, *tufts, *claws, *mane])
    inner = [legs[k].boundary & body.buffer(-0.01 * s) for k in (1, 2) if rng.random() < 0.7]
    eye = Point(-0.13 * s, -0.42 * s).buffer(0.012 * s).exterior
    inner.append(eye)
    if rng.random() < 0.5:
        whole, inner = (
            affinity.scale(whole, -1, 1, origin=(0, 0)),
            [affinity.scale(i, -1, 1, origin=(0, 0)) for i in inner],
        )
    whole = affinity.translate(whole, *place_at)
    inner = [affinity.translate(i, *place_at) for i in inner]
    bars = []
    if seed % 3 == 1:
        bars.append(shapely.box(-5, h * 0.72, w + 5, h * 0.78))
    if seed % 3 == 2:
        bars.append(stroke([(-5, h * 0.1), (w + 5, h * 0.85)], w * 0.09))
        inner.append(whole.boundary & bars[0].buffer(-0.02))
    leather = shapely.union_all([whole, *bars])
    return pierced(f"shield-{seed}", outline, field, leather, inner)


def initial(seed, rng):
    """A round-bodied letter over a winding stem with drops, in a square."""
    size = rng.uniform(60, 180)
    outline = shapely.box(0, 0, size, size)
    field = outline.buffer(-size * rng.uniform(0.03, 0.07), join_style="mitre")
    c = size / 2
    fat, thin = size * rng.uniform(0.1, 0.15), size * rng.uniform(0.04, 0.07)
    bowl = size * 0.26
    letters = [
        [
            stroke(arc(c, c, bowl, 0.7, 5.6), fat),
            stroke([(c - bowl, c), (c + bowl * 0.7, c)], thin),
        ],
        [
            stroke(arc(c, c, bowl, 0, 2 * np.pi), fat),
            stroke(arc(c + bowl * 0.2, c - bowl, bowl, 2.6, 4.6), thin),
        ],
        [
            stroke([(c - bowl, c - bowl * 1.4), (c - bowl, c + bowl * 1.4)], fat),
            stroke(arc(c - bowl, c, bowl * 1.4, -np.pi / 2, np.pi / 2), fat * 0.8),
        ],
        [
            stroke(arc(c - bowl * 0.62, c + bowl, bowl * 0.7, np.pi, 2 * np.pi), fat * 0.7),
            stroke(arc(c + bowl * 0.62, c + bowl, bowl * 0.7, np.pi, 2 * np.pi), fat * 0.7),
        ],
    ]
    letter = shapely.union_all(letters[seed % 4])
    swirl = size * rng.uniform(0.3, 0.4)
    t = np.linspace(0, 1, 160)
    turns = rng.uniform(1.2, 2.2)
    a = rng.uniform(0, 6.3) + 2 * np.pi * turns * t
    radius = swirl * (1.15 - 0.8 * t)
    run = np.column_stack([c + radius * np.cos(a), c + radius * np.sin(a)])
    stem = stroke(run, thin * 0.7)
    drops = []
    for i in range(8, 150, int(rng.integers(12, 22))):
        d = np.arctan2(*(run[i + 1] - run[i])[::-1])
        drops.append(drop(*run[i], size * 0.12, size * 0.055, d + rng.choice([-1, 1]) * 0.8))
    vine = shapely.union_all([stem, *drops])
    inner = [vine.boundary.difference(letter.buffer(-OVERSHOOT)), letter.boundary]
    merged = rng.random() < 0.3
    leather = letter.union(vine)
    return pierced(f"initial-{seed}", outline, field, leather, [] if merged else inner)


def starcross(seed, rng):
    """Straps that part eight-pointed stars from crosses; woven, whole or with a boss in each star."""
    pitch = rng.uniform(18, 40)
    nx, ny = int(rng.integers(2, 6)), int(rng.integers(2, 5))
    field = shapely.box(0, 0, nx * pitch, ny * pitch)
    outline = field.buffer(rng.uniform(3, 8), join_style="mitre")
    r = pitch * 0.5
    turns = np.arange(16) * np.pi / 8
    radius = np.where(np.arange(16) % 2 == 0, r, r * 0.765)
    star = np.column_stack([radius * np.cos(turns), radius * np.sin(turns)])
    strap = pitch * rng.uniform(0.05, 0.09)
    parts, bosses = [], []
    for i in range(nx + 1):
        for j in range(ny + 1):
            x, y = pitch * i, pitch * j
            shape = Polygon(star + np.array([x, y]))
            parts.append(
                shape.buffer(strap / 2, join_style="mitre").difference(
                    shape.buffer(-strap / 2, join_style="mitre")
                )
            )
            bosses.append(Point(x, y).buffer(r * rng.uniform(0.3, 0.34)))
    leather = shapely.union_all(parts)
    inner = []
    if seed % 3 == 0:
        leather = rounded(leather, strap * 0.3)
    if seed % 2:
        leather = leather.union(shapely.union_all(bosses))
        bosses = [b & field for b in bosses]
        inner = [b.exterior for b in bosses]
    return pierced(f"starcross-{seed}", outline, field, leather, inner)


def palmettes(seed, rng):
    """A row of fans of separate drops on small volutes, standing on a bar, with buds between."""
    tall = rng.uniform(30, 70)
    unit = tall * rng.uniform(0.8, 1.1)
    count = int(rng.integers(3, 7))
    rim = tall * 0.08
    field = shapely.box(0, 0, unit * count, tall)
    outline = field.buffer(rim, join_style="mitre")
    parts, inner = [shapely.box(-5, tall * 0.86, unit * count + 5, tall * 0.92)], []
    petals = int(rng.choice([5, 7, 9]))
    spread = rng.uniform(1.9, 2.6)
    for k in range(count):
        x = unit * (k + 0.5)
        for i in range(petals):
            a = -np.pi / 2 + spread * (i / (petals - 1) - 0.5)
            fall = 1 - 0.35 * abs(2 * i / (petals - 1) - 1)
            parts.append(
                drop(
                    x,
                    tall * 0.8,
                    tall * 0.74 * fall,
                    tall * 0.1 * 9 / petals * rng.uniform(0.98, 1.02),
                    a,
                )
            )
        for side in (-1, 1):
            parts.append(
                stroke(arc(x + side * unit * 0.27, tall * 0.74, tall * 0.08, 0, 5.2), tall * 0.035)
            )
            parts.append(
                stroke([(x, tall * 0.84), (x + side * unit * 0.27, tall * 0.83)], tall * 0.035)
            )
        heart = Point(x, tall * 0.8).buffer(tall * 0.075)
        parts.append(heart)
        inner.append(heart.exterior)
        parts.append(drop(x + unit / 2, tall * 0.9, tall * 0.5, tall * 0.12, -np.pi / 2))
    bar = LineString([(-5, tall * 0.86), (unit * count + 5, tall * 0.86)])
    inner.append(bar.difference(shapely.union_all(parts[1:]).buffer(-OVERSHOOT)))
    leather = shapely.union_all(parts)
    return pierced(f"palmettes-{seed}", outline, field, leather, inner if seed % 2 else [])
