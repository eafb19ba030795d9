"""Repeats: tiles, friezes, rosettes, mandalas, waves, feathers."""

import numpy as np
import shapely
from shapely import LineString, Polygon

from tests.make.families.frames import panel, roundel, strip
from tests.make.families.scene import OVERSHOOT, Scene, finish
from tests.make.families.strokes import (
    band,
    disc,
    flower,
    heart,
    leaf,
    lobed,
    place,
    ring,
    spiral,
    spline,
    star,
)
from tests.make.families.weaves import Run, weave


def cells(rng, box, pitch):
    """Edges of a tiling over `box`: hexagons, triangles, squares with octagons, kites."""
    x0, y0, x1, y1 = box
    kind = rng.integers(0, 4)
    edges = set()

    def polygon(points):
        for a, b in zip(points, np.roll(points, -1, axis=0), strict=True):
            key = tuple(sorted([tuple(np.round(a, 6)), tuple(np.round(b, 6))]))
            edges.add(key)

    if kind == 0:
        r = pitch / np.sqrt(3)
        for j, y in enumerate(np.arange(y0 - pitch, y1 + 2 * pitch, 1.5 * r)):
            for x in np.arange(x0 - pitch, x1 + pitch, pitch) + (j % 2) * pitch / 2:
                polygon(
                    [
                        (x + r * np.sin(k * np.pi / 3), y + r * np.cos(k * np.pi / 3))
                        for k in range(6)
                    ]
                )
    elif kind == 1:
        h = pitch * np.sqrt(3) / 2
        for j, y in enumerate(np.arange(y0 - h, y1 + h, h)):
            for x in np.arange(x0 - 2 * pitch, x1 + pitch, pitch) + (j % 2) * pitch / 2:
                polygon([(x, y), (x + pitch, y), (x + pitch / 2, y + h)])
                polygon([(x, y), (x - pitch / 2, y + h), (x + pitch / 2, y + h)])
    elif kind == 2:
        c = pitch * 0.2929
        for y in np.arange(y0 - pitch, y1 + pitch, pitch):
            for x in np.arange(x0 - pitch, x1 + pitch, pitch):
                polygon(
                    [
                        (x + c, y),
                        (x + pitch - c, y),
                        (x + pitch, y + c),
                        (x + pitch, y + pitch - c),
                        (x + pitch - c, y + pitch),
                        (x + c, y + pitch),
                        (x, y + pitch - c),
                        (x, y + c),
                    ]
                )
    else:
        for j, y in enumerate(np.arange(y0 - pitch, y1 + pitch, pitch * 0.6)):
            for x in np.arange(x0 - pitch, x1 + pitch, pitch) + (j % 2) * pitch / 2:
                polygon(
                    [
                        (x, y - 0.6 * pitch),
                        (x + pitch / 2, y),
                        (x, y + 0.6 * pitch),
                        (x - pitch / 2, y),
                    ]
                )
    return [LineString(e) for e in sorted(edges)]


def tiles(seed, rng):
    """Strapwork on a tiling: straps of even width, sometimes with bosses at the joints or stars in the cells."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    pitch = rng.uniform(16, 30)
    edges = cells(rng, (x0, y0, x1, y1), pitch)
    width = pitch * rng.uniform(0.12, 0.22)
    net = shapely.union_all(edges).buffer(width / 2, join_style="mitre", cap_style="flat")
    scene = Scene(frame=frame, motifs=[net])
    joints = sorted({c for e in edges for c in e.coords})
    if rng.random() < 0.4:
        boss = [disc(0, 0, width * 0.95), flower(width * 1.1, 6), star(width * 1.3, 8, 0.6)][
            int(rng.integers(0, 3))
        ]
        scene.motifs.extend(place(boss, *p) for p in joints)
    if rng.random() < 0.5:
        hub = (
            star(pitch * 0.2, int(rng.integers(4, 9)), 0.5)
            if rng.random() < 0.5
            else flower(pitch * 0.2, 6)
        )
        free = [
            p
            for p in shapely.get_parts(frame.field - net)
            if p.geom_type == "Polygon" and p.area > 0.5 * pitch * pitch * 0.4
        ]
        for p in free:
            shape = place(hub, *p.centroid.coords[0])
            if p.buffer(-1).contains(shape):
                scene.motifs.append(shape)
    return finish(f"tiles-{seed}", scene, rng)


def girih(seed, rng):
    """Straps between the middles of a square grid's edges, woven into stars."""
    frame = panel(rng)
    x0, y0, x1, _y1 = frame.field.bounds
    pitch = rng.uniform(22, 36)
    lean = rng.uniform(0.32, 0.5)
    runs = []
    n = int((x1 - x0) / pitch) + 3
    for sign in (1, -1):
        for k in range(-n, 2 * n):
            zig = [
                (
                    x0 + pitch * i * 0.5,
                    y0 + pitch * (k * 0.5) + sign * (pitch * lean if i % 2 else 0),
                )
                for i in range(-1, 2 * n)
            ]
            line = LineString(zig)
            if line.intersects(frame.field):
                runs.append(Run(np.array(line.coords)))
    width = pitch * rng.uniform(0.08, 0.13)
    net = [
        LineString(r.points).buffer(width / 2, join_style="mitre", cap_style="flat") for r in runs
    ]
    merged = rng.random() < 0.5
    scene = Scene(frame=frame, motifs=[shapely.union_all(net)] if merged else net)
    return finish(f"girih-{seed}", scene, rng)


def frieze(seed, rng):
    """One unit repeated along a strip: palmettes, running curls, hearts, fretted steps, or buds on arcs."""
    frame = strip(rng, tall=rng.uniform(34, 64))
    x0, y0, x1, y1 = frame.field.bounds
    tall = y1 - y0
    unit = tall * rng.uniform(0.7, 1.2)
    count = max(3, int((x1 - x0) / unit))
    unit = (x1 - x0) / count
    scene = Scene(frame=frame)
    kind = int(rng.integers(0, 5))
    foot = y1 - tall * 0.08
    for k in range(-1, count + 1):
        cx = x0 + unit * (k + 0.5)
        if kind == 0:
            petals = 5 if seed % 2 else 7
            for i in sorted(range(petals), key=lambda i, p=petals: -abs(i - p // 2)):
                shape, _ = leaf(tall * (0.75 - 0.06 * abs(i - petals // 2)), unit * 0.17)
                scene.motifs.append(
                    place(shape, cx, foot, -np.pi / 2 + (i - petals // 2) * 1.9 / petals)
                )
            scene.motifs.append(disc(cx, foot, unit * 0.1))
        elif kind == 1:
            curl = spiral(
                cx, y0 + tall * 0.45, unit * 0.32, 1.4, start=np.pi * 0.6, hand=1, inner=0.3
            )
            run = np.vstack(
                [[(cx - unit * 0.62, y1 + 4), (cx - unit * 0.32, y1 - tall * 0.1)], curl]
            )
            scene.motifs.append(band(run, np.linspace(unit * 0.16, unit * 0.08, len(run))))
        elif kind == 2:
            scene.motifs.append(
                place(heart(min(unit, tall) * 0.36), cx, (y0 + y1) / 2, np.pi if k % 2 else 0)
            )
            scene.motifs.append(disc(cx + unit / 2, (y0 + y1) / 2, tall * 0.06))
        elif kind == 3:
            t = unit * 0.12
            steps = [
                (cx - unit / 2, foot),
                (cx - unit / 2, y0 + tall * 0.15),
                (cx + unit * 0.2, y0 + tall * 0.15),
                (cx + unit * 0.2, y0 + tall * 0.65),
                (cx - unit * 0.15, y0 + tall * 0.65),
                (cx - unit * 0.15, y0 + tall * 0.45),
            ]
            scene.motifs.append(
                LineString(steps).buffer(t / 2, cap_style="flat", join_style="mitre")
            )
        else:
            arc = spline(
                [
                    (cx - unit / 2, foot),
                    (cx - unit * 0.3, y0 + tall * 0.35),
                    (cx, y0 + tall * 0.15),
                    (cx + unit * 0.3, y0 + tall * 0.35),
                    (cx + unit / 2, foot),
                ]
            )
            scene.motifs.append(band(arc, tall * 0.09))
            shape, _ = lobed(tall * 0.55, unit * 0.4, 3)
            scene.motifs.append(place(shape, cx, foot, -np.pi / 2))
    if kind in (0, 3, 4):
        scene.motifs.insert(0, shapely.box(x0 - 5, foot - tall * 0.04, x1 + 5, foot + tall * 0.04))
    return finish(f"frieze-{seed}", scene, rng)


def rosette(seed, rng):
    """Petals round a boss, in one to three rows, each over the one behind."""
    frame = roundel(rng)
    r = (frame.field.bounds[2] - frame.field.bounds[0]) / 2
    scene = Scene(frame=frame)
    rows = int(rng.integers(1, 4))
    count = int(rng.integers(5, 13))
    full = rng.uniform(0.72, 1.12)
    for row in range(rows):
        reach = r * full * (1 - 0.26 * row)
        wide = 2 * np.pi * reach * 0.6 / count * rng.uniform(0.5, 1.15)
        for k in range(count):
            a = 2 * np.pi * (k + 0.5 * (row % 2)) / count
            shape, _ = leaf(reach, wide, fullness=1.3)
            shape = place(shape, 0, 0, a)
            scene.motifs.append(shape)
    scene.motifs.append(place(flower(r * 0.2, count), 0, 0))
    if rng.random() < 0.5:
        scene.details.append(disc(0, 0, r * 0.09).exterior)
    return finish(f"rosette-{seed}", scene, rng)


def mandala(seed, rng):
    """Rings of petals, arches and dots about one centre, held by hoops."""
    frame = roundel(rng, size=rng.uniform(110, 170))
    r = (frame.field.bounds[2] - frame.field.bounds[0]) / 2
    scene = Scene(frame=frame)
    count = int(rng.integers(6, 15))
    at = r * 0.16
    scene.motifs.append(disc(0, 0, at))
    while at < r * 0.94:
        deep = min(r * rng.uniform(0.16, 0.28), r - at)
        rr = at + deep
        kind = rng.integers(0, 4)
        for k in range(count):
            a = 2 * np.pi * (k + 0.5 * rng.integers(0, 1)) / count
            if kind == 0:
                scene.motifs.insert(
                    0,
                    place(
                        leaf(deep * 1.3, min(deep, 2 * np.pi * rr / count) * 0.5)[0],
                        (at - deep * 0.1) * np.cos(a),
                        (at - deep * 0.1) * np.sin(a),
                        a,
                    ),
                )
            elif kind == 1:
                size = min(deep, 2 * np.pi * rr / count) * 0.26
                scene.motifs.append(
                    disc((at + deep * 0.45) * np.cos(a), (at + deep * 0.45) * np.sin(a), size)
                )
            elif kind == 2:
                spoke = np.array(
                    [
                        ((at - 1) * np.cos(a), (at - 1) * np.sin(a)),
                        ((rr + 1) * np.cos(a), (rr + 1) * np.sin(a)),
                    ]
                )
                scene.motifs.insert(0, band(spoke, deep * 0.14))
            else:
                half = np.pi / count
                arch = spline(
                    [
                        (at * np.cos(a - half), at * np.sin(a - half)),
                        (
                            (rr - deep * 0.1) * np.cos(a - half * 0.4),
                            (rr - deep * 0.1) * np.sin(a - half * 0.4),
                        ),
                        (
                            (rr - deep * 0.1) * np.cos(a + half * 0.4),
                            (rr - deep * 0.1) * np.sin(a + half * 0.4),
                        ),
                        (at * np.cos(a + half), at * np.sin(a + half)),
                    ]
                )
                scene.motifs.insert(0, band(arch, deep * 0.14))
        if rr < r * 0.94:
            hoop = r * rng.uniform(0.03, 0.05)
            scene.motifs.append(ring(0, 0, rr, rr - hoop))
        at = rr
    return finish(f"mandala-{seed}", scene, rng)


def waves(seed, rng):
    """Curling breakers in rows over a background sky, each with foam curls and a body of its own."""
    frame = panel(rng) if rng.random() < 0.5 else strip(rng, tall=rng.uniform(45, 80))
    x0, y0, x1, y1 = frame.field.bounds
    h = y1 - y0
    scene = Scene(frame=frame)
    rows = 1 if h < 90 else int(rng.integers(1, 4))
    for row in range(rows):
        foot = y0 + h * (row + 1) / rows
        high = h / rows
        unit = high * rng.uniform(0.7, 1.1)
        for x in np.arange(x0 - unit * rng.uniform(0, 1), x1 + unit, unit):
            curl = spiral(
                x + unit * 0.5, foot - high * 0.5, high * 0.3, 1.2, start=np.pi, hand=1, inner=0.35
            )
            run = np.vstack(
                [spline([(x - unit * 0.35, foot + 3), (x, foot - high * 0.2), curl[0]]), curl[1:]]
            )
            scene.motifs.append(band(run, np.linspace(high * 0.22, high * 0.07, len(run))))
        scene.motifs.append(
            shapely.box(
                x0 - 9, foot - high * 0.09, x1 + 9, foot + (5 if row == rows - 1 else high * 0.05)
            )
        )
    return finish(f"waves-{seed}", scene, rng)


def feathers(seed, rng):
    """Wings of overlapping feathers on open ground."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    for side in (-1, 1):
        root = np.array([(x0 + x1) / 2 + side * w * 0.06, y0 + h * 0.62])
        rows = int(rng.integers(2, 4))
        for row in range(rows):
            count = 6 - row
            for k in range(count):
                turn = -np.pi / 2 + side * (0.35 + 1.35 * k / (count - 1))
                length = w * (0.42 - 0.1 * row) * (1 - 0.06 * k)
                shape, rib = leaf(length, w * 0.085, fullness=1.3)
                scene.motifs.append(place(shape, *root, turn))
                if row == 0 and rng.random() < 0.4:
                    scene.veins.append(place(LineString(rib[28:-5]), *root, turn))
    scene.motifs.append(place(flower(w * 0.11, 8), (x0 + x1) / 2, y0 + h * 0.62))
    body = Polygon(
        [
            ((x0 + x1) / 2 - w * 0.05, y0 + h * 0.66),
            ((x0 + x1) / 2 + w * 0.05, y0 + h * 0.66),
            ((x0 + x1) / 2, y0 + h * 0.9),
        ]
    )
    scene.motifs.insert(0, body.buffer(1.5))
    seen = []
    for v in scene.veins:
        edges = shapely.union_all([m.boundary for m in scene.motifs])
        if v.distance(edges) > 0.3:
            seen.append(v)
    scene.veins = seen
    return finish(f"feathers-{seed}", scene, rng, mirror=rng.random() < 0.7)


def rushes(seed, rng):
    """A belt of interlaced rushes: woven strands with leaves laid over the crossings."""
    frame = strip(rng, tall=rng.uniform(36, 60))
    x0, y0, x1, y1 = frame.field.bounds
    tall, mid = y1 - y0, (y0 + y1) / 2
    period = tall * rng.uniform(1.5, 2.2)
    x = np.linspace(x0 - 6, x1 + 6, 400)
    runs = [
        Run(np.column_stack([x, mid + s * tall * 0.3 * np.sin(2 * np.pi * x / period)]))
        for s in (1, -1)
    ]
    bands, lines = weave(runs, tall * rng.uniform(0.07, 0.12))
    laid = []
    for k, px in enumerate(np.arange(np.ceil(x0 / period * 2) * period / 2, x1, period / 2)):
        if rng.random() < 0.7:
            shape, _ = leaf(tall * 0.42, tall * 0.17)
            laid.append(place(shape, px + period / 4, mid, np.pi / 2 if k % 2 else -np.pi / 2))
    over = shapely.union_all(laid).buffer(-OVERSHOOT) if laid else Polygon()
    scene = Scene(
        frame=frame,
        motifs=laid,
        strands=bands,
        strand_lines=[line.difference(over) for line in lines],
    )
    return finish(f"rushes-{seed}", scene, rng)
