"""Figures: beasts, birds, fish, letters, free motifs, fields within fields."""

import numpy as np
import shapely
from shapely import LineString, Polygon

from tests.make.families.frames import inset, panel, roundel, strip
from tests.make.families.plants import add_leaf, settle_veins
from tests.make.families.scene import Scene, finish, flip
from tests.make.families.strokes import (
    band,
    blob,
    disc,
    flower,
    heart,
    leaf,
    moon,
    place,
    ring,
    spline,
    star,
)


def tapered(points, wide, thin, per=14):
    """Limb or tail: smooth, wide at the root."""
    run = spline(points, per=per)
    return band(run, np.linspace(wide, thin, len(run)))


def beast(rng, size):
    """A walking beast, about `size` long: shapes undermost first, eyes, loose lines."""
    w = rng.uniform(0.9, 1.1, 12)
    tail = tapered(
        [(-0.42, -0.05), (-0.62, -0.2 * w[0]), (-0.58, -0.45), (-0.4, -0.42 * w[1])], 0.07, 0.035
    )
    tuft = place(leaf(0.2, 0.12)[0], -0.42, -0.42 * w[1], 0.4)

    def leg(x, bow):
        return tapered([(x, 0.05), (x + bow, 0.25), (x - 0.02, 0.42), (x + 0.07, 0.45)], 0.15, 0.07)

    far = [leg(-0.25 * w[2], 0.06), leg(0.33 * w[3], -0.05)]
    body = place(blob(rng, 0.2, wobble=0.08), 0, 0).buffer(0)
    body = shapely.union_all(
        [
            shapely.transform(body, lambda c: c * [2.2, 0.95]),
            tapered([(0.3, -0.05), (0.42, -0.25), (0.45, -0.4)], 0.27, 0.17),
        ]
    )
    near = [leg(-0.36 * w[4], 0.05), leg(0.2 * w[5], -0.04)]
    head = shapely.union_all(
        [
            shapely.transform(disc(0, 0, 0.13), lambda c: c * [1.1, 0.9] + [0.5, -0.42]),
            tapered([(0.52, -0.4), (0.66, -0.36), (0.72, -0.33)], 0.15, 0.09),
        ]
    )
    ear = place(leaf(0.16, 0.09)[0], 0.44, -0.5, -1.9 * w[6])
    mane = [
        place(leaf(0.22, 0.11)[0], 0.4 - 0.05 * k, -0.38 + 0.09 * k, 2.4 + 0.15 * k)
        for k in range(int(rng.integers(0, 5)))
    ]
    parts = [tail, tuft, *far, *mane, body, *near, ear, head]
    eye = disc(0.52, -0.45, 0.022)
    mouth = LineString([(0.62, -0.35), (0.7, -0.33)])
    return parts, [eye], [mouth], size


def bird(rng, size):
    """A wading bird, about `size` high."""
    w = rng.uniform(0.9, 1.1, 8)
    legs = [
        tapered([(0.02, 0.15), (0.05, 0.32 * w[0]), (0.02, 0.52)], 0.035, 0.025),
        tapered([(-0.06, 0.15), (-0.12, 0.34 * w[1]), (-0.02, 0.5)], 0.035, 0.025),
    ]
    body = place(leaf(0.62, 0.3, bend=-0.15)[0], -0.35, 0.16, -0.25)
    neck = tapered([(0.16, -0.02), (0.27, -0.12), (0.14, -0.28 * w[2]), (0.22, -0.46)], 0.13, 0.05)
    head = disc(0.23, -0.47, 0.05)
    beak = Polygon([(0.25, -0.5), (0.5 * w[3], -0.44), (0.25, -0.44)])
    crest = tapered([(0.2, -0.5), (0.1, -0.54), (0.02, -0.5)], 0.035, 0.01)
    feathers = [
        place(leaf(0.36 - 0.05 * k, 0.12)[0], 0.1 - 0.03 * k, 0.0 + 0.045 * k, 2.75 - 0.12 * k)
        for k in range(int(rng.integers(1, 4)))
    ]
    return (
        [*legs, crest, beak, shapely.union_all([body, neck]), *feathers, head],
        [disc(0.235, -0.475, 0.012)],
        [],
        size,
    )


def fishes(rng, size):
    """A fish, about `size` long."""
    bend = rng.uniform(-0.5, 0.5)
    body, _ = leaf(0.8, 0.3 * rng.uniform(0.85, 1.15), bend=bend, fullness=0.75)
    body = place(body, -0.4, 0)
    tail = [place(leaf(0.28, 0.12)[0], 0.36, 0.0, s * 0.6) for s in (-1, 1)]
    fins = [
        place(leaf(0.24, 0.13)[0], -0.05, -0.12, -0.9),
        place(leaf(0.16, 0.08)[0], 0.02, 0.12, 0.8),
    ]
    gill = LineString(spline([(-0.2, -0.06), (-0.16, 0.0), (-0.2, 0.07)]))
    return [*tail, *fins, body], [disc(-0.29, -0.015, 0.018)], [gill], size


def put(scene, made, x, y, turn=0.0, *, mirror=False):
    """Lay a figure into the scene; eyes and loose lines that lie on it stay visible."""
    parts, eyes, loose, size = made

    def move(shape):
        shape = flip(shape, 0.0) if mirror else shape
        return place(shape, x, y, turn, size)

    scene.motifs.extend(move(p) for p in parts)
    scene.details.extend(move(e).exterior for e in eyes)
    scene.veins.extend(move(v) for v in loose)


def tidy_details(scene):
    """Keep details that lie wholly on their figures and clear of every edge."""
    cover = shapely.union_all(scene.motifs)
    edges = shapely.union_all([m.boundary for m in scene.motifs])
    scene.details = [d for d in scene.details if cover.contains(d) and d.distance(edges) > 0.25]
    scene.veins = [v for v in scene.veins if cover.contains(v)]


def beasts(seed, rng):
    """Beasts among leaves or alone, facing either way."""
    frame = (
        panel(rng, size=rng.uniform(120, 190))
        if rng.random() < 0.6
        else strip(rng, tall=rng.uniform(50, 80))
    )
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    count = 1 if w < h * 1.2 else max(2, int(w / h * 0.8))
    for k in range(count):
        x = x0 + w * (k + 0.5) / count
        size = min(h * 0.85, w / count * 0.72) * rng.uniform(0.85, 1.0)
        if rng.random() < 0.6:
            for _ in range(int(rng.integers(2, 6))):
                lx, ly = (
                    x + rng.uniform(-0.6, 0.6) * size,
                    (y0 + y1) / 2 + rng.uniform(-0.5, 0.6) * size,
                )
                length = size * rng.uniform(0.25, 0.45)
                add_leaf(
                    scene,
                    rng,
                    lx,
                    ly,
                    rng.uniform(0, 6.3),
                    length,
                    length * 0.4,
                    lobes=int(rng.choice([0, 3])),
                    cut=0,
                )
        put(
            scene,
            beast(rng, size),
            x,
            (y0 + y1) / 2 + size * 0.02,
            rng.normal(0, 0.05),
            mirror=rng.random() < 0.5,
        )
    scene.veins = [v if not isinstance(v, tuple) else v[0] for v in scene.veins]
    tidy_details(scene)
    scene.veins = [v for v in scene.veins if v.length < 0.2 * h]
    return finish(f"beasts-{seed}", scene, rng)


def herons(seed, rng):
    """Wading birds among reeds."""
    frame = panel(rng, size=rng.uniform(120, 180), rim=rng.uniform(4, 8))
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    for x in np.linspace(x0 + 0.1 * w, x1 - 0.1 * w, int(rng.integers(5, 10))):
        lean = rng.normal(0, 0.1) * w
        run = spline(
            [
                (x, y1 + 4),
                (x + lean * 0.3, y1 - 0.3 * h),
                (x + lean, y1 - h * rng.uniform(0.5, 0.85)),
            ]
        )
        scene.motifs.append(
            band(run, w * rng.uniform(0.02, 0.04) * (1 - np.linspace(0, 1, len(run)) ** 1.6) + 0.15)
        )
    for k in range(int(rng.integers(1, 4))):
        size = h * rng.uniform(0.5, 0.75)
        put(
            scene,
            bird(rng, size),
            x0 + w * (0.25 + 0.25 * k),
            y1 - size * 0.5,
            mirror=rng.random() < 0.5,
        )
    tidy_details(scene)
    return finish(f"herons-{seed}", scene, rng)


def leaping_fish(seed, rng):
    """Fish leaping over curling waves."""
    frame = panel(rng, size=rng.uniform(110, 180))
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    for k in range(int(rng.integers(2, 5))):
        size = w * rng.uniform(0.3, 0.42)
        put(
            scene,
            fishes(rng, size),
            x0 + w * (0.2 + 0.22 * k),
            y0 + h * rng.uniform(0.22, 0.5),
            rng.uniform(-1.2, 1.2),
            mirror=rng.random() < 0.5,
        )
    tidy_details(scene)
    rows = int(rng.integers(2, 5))
    for row in range(rows):
        base = y1 - h * 0.04 * (rows - row)
        period = w * rng.uniform(0.16, 0.26)
        x = np.linspace(x0 - 5, x1 + 5, 300)
        top = base - h * 0.06 * np.abs(np.sin(np.pi * (x - x0) / period + row)) ** 0.7
        scene.motifs.append(
            Polygon(np.vstack([np.column_stack([x, top]), [(x1 + 5, y1 + 5), (x0 - 5, y1 + 5)]]))
        )
    return finish(f"fish-{seed}", scene, rng)


LETTERS = {  # strokes on a 0..1 by 0..1.4 cell, y down
    "A": [[(0, 1.4), (0.5, 0), (1, 1.4)], [(0.2, 0.95), (0.8, 0.95)]],
    "B": [
        [(0, 0), (0, 1.4)],
        [(0, 0), (0.7, 0.1), (0.7, 0.6), (0, 0.7)],
        [(0, 0.7), (0.9, 0.8), (0.9, 1.3), (0, 1.4)],
    ],
    "D": [[(0, 0), (0, 1.4)], [(0, 0), (0.8, 0.25), (0.8, 1.15), (0, 1.4)]],
    "E": [[(0.9, 0), (0, 0), (0, 1.4), (0.9, 1.4)], [(0, 0.7), (0.7, 0.7)]],
    "H": [[(0, 0), (0, 1.4)], [(1, 0), (1, 1.4)], [(0, 0.7), (1, 0.7)]],
    "K": [[(0, 0), (0, 1.4)], [(0.9, 0), (0, 0.8)], [(0.3, 0.6), (0.95, 1.4)]],
    "M": [[(0, 1.4), (0.1, 0), (0.5, 0.9), (0.9, 0), (1, 1.4)]],
    "R": [
        [(0, 0), (0, 1.4)],
        [(0, 0), (0.8, 0.1), (0.8, 0.65), (0, 0.75)],
        [(0.35, 0.72), (0.95, 1.4)],
    ],
    "V": [[(0, 0), (0.5, 1.4), (1, 0)]],
    "W": [[(0, 0), (0.25, 1.4), (0.5, 0.4), (0.75, 1.4), (1, 0)]],
    "O": [[(0.5, 0), (1, 0.4), (1, 1), (0.5, 1.4), (0, 1), (0, 0.4), (0.5, 0)]],
}


def letters(seed, rng):
    """Words of stroke letters with serifs; counters are background."""
    frame = strip(rng, rim=rng.uniform(3.5, 8))
    x0, y0, x1, y1 = frame.field.bounds
    size = (y1 - y0) * rng.uniform(0.38, 0.5)
    weight = rng.uniform(0.14, 0.24)
    scene = Scene(frame=frame)
    x = x0 + size * 0.4
    serif = rng.random() < 0.5
    while x + size * 1.2 < x1:
        strokes = LETTERS[str(rng.choice(list(LETTERS)))]
        parts = []
        for stroke in strokes:
            parts.append(
                LineString(stroke).buffer(weight / 2, cap_style="square", join_style="mitre")
            )
            if serif:
                parts.extend(
                    shapely.box(px - weight, py - weight / 3, px + weight, py + weight / 3)
                    for px, py in (stroke[0], stroke[-1])
                    if py in (0, 1.4)
                )
        letter = place(shapely.union_all(parts), x, (y0 + y1) / 2 - 0.7 * size, 0, size)
        scene.motifs.append(letter)
        x += size * rng.uniform(1.3, 1.6)
    if rng.random() < 0.5:
        line = spline([(x0 - 4, y1 - 2), ((x0 + x1) / 2, y1 - size * 0.15), (x1 + 4, y1 - 2)])
        scene.motifs.insert(0, band(line, size * 0.1))
    return finish(f"letters-{seed}", scene, rng)


def free(seed, rng):
    """Separate motifs strewn about: stars, moons, hearts, rings, blobs, touching nothing."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    cell = (x1 - x0) / rng.integers(2, 6)
    rows = max(1, int((y1 - y0) / cell))
    scene = Scene(frame=frame)
    kinds = rng.choice(
        ["star", "moon", "heart", "ring", "blob", "flower", "leaf"], size=3, replace=False
    )
    inside = frame.field.buffer(-1.0)
    for i in range(int((x1 - x0) / cell)):
        for j in range(rows):
            r = cell * rng.uniform(0.26, 0.42)
            kind = kinds[(i + j) % 3] if rng.random() < 0.8 else "blob"
            shape = {
                "star": lambda r=r: star(r, int(rng.integers(4, 9)), 0.5),
                "moon": lambda r=r: moon(r),
                "heart": lambda r=r: heart(r),
                "ring": lambda r=r: ring(0, 0, r, r * rng.uniform(0.5, 0.7)),
                "blob": lambda r=r: blob(rng, r, wobble=0.4),
                "flower": lambda r=r: flower(r, int(rng.integers(5, 9))),
                "leaf": lambda r=r: place(leaf(2 * r, r)[0], -r, 0),
            }[kind]()
            shape = place(
                shape, x0 + (i + 0.5) * cell, y0 + (j + 0.5) * (y1 - y0) / rows, rng.uniform(0, 6.3)
            )
            if inside.contains(shape):
                scene.motifs.append(shape)
                if kind in ("flower", "blob") and rng.random() < 0.4:
                    scene.details.append(
                        place(disc(0, 0, r * 0.25).exterior, *shape.centroid.coords[0])
                    )
    return finish(f"free-{seed}", scene, rng)


def nested(seed, rng):
    """Fields within fields: rings of leather with background inside and motifs in that."""
    frame = roundel(rng) if rng.random() < 0.6 else panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    cx, cy, r = (x0 + x1) / 2, (y0 + y1) / 2, min(x1 - x0, y1 - y0) / 2
    scene = Scene(frame=frame)
    mid = r * rng.uniform(0.5, 0.62)
    hoop = r * rng.uniform(0.06, 0.12)
    scene.motifs.append(ring(cx, cy, mid, mid - hoop))
    count = int(rng.integers(4, 11))
    for k in range(count):
        a = 2 * np.pi * k / count
        if seed % 3 == 0:
            shape, _ = leaf(r - mid + 6, (r - mid) * 0.5)
            scene.motifs.insert(
                0,
                place(
                    shape, cx + (mid - hoop / 2) * np.cos(a), cy + (mid - hoop / 2) * np.sin(a), a
                ),
            )
        elif seed % 3 == 1:
            rr = (r + mid) / 2
            size = (r - mid) * 0.32
            scene.motifs.append(place(flower(size, 6), cx + rr * np.cos(a), cy + rr * np.sin(a), a))
        else:
            spoke = [(cx + s * np.cos(a), cy + s * np.sin(a)) for s in (mid - hoop / 2, r * 1.5)]
            scene.motifs.insert(0, band(np.array(spoke), hoop * 0.8))
    kind = rng.integers(0, 3)
    inner = mid - hoop
    if kind == 0:
        scene.motifs.append(place(star(inner * 0.75, int(rng.integers(5, 9)), 0.5), cx, cy, 0.3))
    elif kind == 1:
        for k in range(6):
            add_leaf(scene, rng, cx, cy, k * np.pi / 3, inner * 0.85, inner * 0.36, cut=0)
        scene.motifs.append(disc(cx, cy, inner * 0.15))
    else:
        put(scene, beast(rng, inner * 1.25), cx, cy)
        tidy_details(scene)
    scene.veins = [v for v in scene.veins if not isinstance(v, tuple)] if kind == 2 else scene.veins
    if kind == 1:
        settle_veins(scene)
    return finish(f"nested-{seed}", scene, rng)


def panels(seed, rng):
    """A piece split by bars into panels, each with a motif of its own."""
    frame = strip(rng, tall=rng.uniform(50, 80), rim=rng.uniform(4, 8), bands=False)
    x0, y0, x1, y1 = frame.field.bounds
    count = int(rng.integers(2, 5))
    scene = Scene(frame=frame)
    high, wide = y1 - y0, (x1 - x0) / count
    bar = rng.uniform(3, 6)
    for k in range(1, count):
        scene.motifs.append(
            shapely.box(x0 + k * wide - bar / 2, y0 - 5, x0 + k * wide + bar / 2, y1 + 5)
        )
    for k in range(count):
        x, y = x0 + (k + 0.5) * wide, (y0 + y1) / 2
        r = min(wide - bar, high) / 2 * 0.88
        pick = rng.integers(0, 4)
        if pick == 0:
            put(scene, beast(rng, r * 1.5), x, y)
        elif pick == 1:
            put(scene, fishes(rng, r * 2), x, y, rng.uniform(-0.5, 0.5))
        elif pick == 2:
            scene.motifs.append(place(ring(0, 0, r, r * 0.82), x, y))
            scene.motifs.append(place(star(r * 0.84, 6, 0.5), x, y))
        else:
            field = inset(shapely.box(x - r, y - r, x + r, y + r), r * 0.1)
            for q in range(4):
                shape, _ = leaf(r * 1.25, r * 0.5)
                scene.motifs.append(place(shape, x, y, q * np.pi / 2 + 0.78))
            scene.motifs.append(place(flower(r * 0.3, 8), *field.centroid.coords[0]))
    tidy_details(scene)
    return finish(f"panels-{seed}", scene, rng)
