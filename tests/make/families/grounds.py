"""Grounds: hills, quilted petals, arcades, serpents."""

import numpy as np
import shapely
from shapely import LineString, Polygon

from tests.make.families.frames import panel, strip
from tests.make.families.scene import Scene, finish
from tests.make.families.strokes import (
    band,
    blob,
    disc,
    flower,
    leaf,
    place,
    ring,
    spline,
    star,
)


def hills(seed, rng):
    """Hills one before the other under an open sky, with trees, a sun, or clouds."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    if rng.random() < 0.7:
        scene.motifs.append(
            disc(x0 + w * rng.uniform(0.3, 0.7), y0 + h * 0.25, w * rng.uniform(0.07, 0.12))
        )
    for _ in range(int(rng.integers(0, 4))):
        puffs = [disc(k * 0.5, rng.uniform(-0.15, 0.15), rng.uniform(0.3, 0.45)) for k in range(3)]
        scene.motifs.append(
            place(
                shapely.union_all(puffs),
                x0 + w * rng.uniform(0.05, 0.8),
                y0 + h * rng.uniform(0.12, 0.35),
                0,
                w * 0.1,
            )
        )
    rows = int(rng.integers(2, 5))
    for row in range(rows):
        level = y0 + h * (0.5 + 0.45 * row / rows)
        for x in np.linspace(x0 + 0.15 * w, x1 - 0.15 * w, int(rng.integers(2, 6))):
            foot = level + h * 0.05
            top = foot - h * rng.uniform(0.16, 0.34)
            trunk = LineString([(x, foot + h * 0.05), (x, top)]).buffer(w * 0.012, cap_style="flat")
            crown = place(blob(rng, h * rng.uniform(0.06, 0.1), wobble=0.3), x, top)
            scene.motifs.extend([trunk, crown])
        x = np.linspace(x0 - 5, x1 + 5, 200)
        shift, swell = rng.uniform(0, 6.3), rng.uniform(0.02, 0.08)
        line = level + h * swell * np.sin(2 * np.pi * (x - x0) / w * rng.uniform(0.6, 1.8) + shift)
        scene.motifs.append(
            Polygon(np.vstack([np.column_stack([x, line]), [(x1 + 5, y1 + 9), (x0 - 5, y1 + 9)]]))
        )
    return finish(f"hills-{seed}", scene, rng)


def quilt(seed, rng):
    """Petals along the edges of a square or slanting grid, buds in the middles, ground between."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    pitch = rng.uniform(18, 32)
    wide = pitch * rng.uniform(0.22, 0.42)
    slant = rng.random() < 0.5
    petal = place(leaf(pitch * 0.98, wide, fullness=1.0)[0], pitch * 0.01, 0)
    bud = [
        disc(0, 0, pitch * 0.12),
        star(pitch * 0.16, 4, 0.5),
        ring(0, 0, pitch * 0.16, pitch * 0.09),
    ][int(rng.integers(0, 3))]
    scene = Scene(frame=frame)
    joints = []
    for i, x in enumerate(np.arange(x0 - pitch, x1 + pitch, pitch)):
        for y in np.arange(y0 - pitch, y1 + pitch, pitch) + (pitch / 2 if slant and i % 2 else 0):
            turns = (
                [(0.4636, 1.118), (-0.4636, 1.118), (np.pi / 2, 1)]
                if slant
                else [(0, 1), (np.pi / 2, 1)]
            )
            scene.motifs.extend(place(petal, x, y, a, s) for a, s in turns)
            joints.append((x, y))
    joint = flower(pitch * 0.17, 8) if rng.random() < 0.5 else disc(0, 0, pitch * 0.1)
    scene.motifs.extend(place(joint, *p) for p in joints)
    if not slant and rng.random() < 0.6:
        scene.motifs.extend(place(bud, x + pitch / 2, y + pitch / 2) for x, y in joints)
    return finish(f"quilt-{seed}", scene, rng)


def arches(seed, rng):
    """An arcade: columns with caps and feet, round arches, something standing in each bay."""
    frame = strip(rng, tall=rng.uniform(44, 80))
    x0, y0, x1, y1 = frame.field.bounds
    h = y1 - y0
    bay = h * rng.uniform(0.5, 0.8)
    count = max(2, int((x1 - x0) / bay))
    bay = (x1 - x0) / count
    thick = bay * rng.uniform(0.08, 0.14)
    spring = y0 + h * 0.12 + bay / 2
    scene = Scene(frame=frame)
    for k in range(count):
        cx = x0 + bay * (k + 0.5)
        figure = [
            place(leaf(h * 0.45, bay * 0.3)[0], cx, y1 - 1, -np.pi / 2),
            place(flower(bay * 0.22, 6), cx, spring + h * 0.12),
            place(star(bay * 0.22, 5), cx, spring + h * 0.12, 0.3),
        ][(k + seed) % (1 + seed % 3)]
        scene.motifs.append(figure)
        a = np.linspace(np.pi, 2 * np.pi, 60)
        scene.motifs.append(
            band(
                np.column_stack([cx + bay / 2 * np.cos(a), spring + bay / 2 * np.sin(a)]),
                thick,
                round_ends=False,
            )
        )
    for k in range(count + 1):
        x = x0 + bay * k
        scene.motifs.append(shapely.box(x - thick / 2, spring, x + thick / 2, y1 + 3))
        scene.motifs.append(
            shapely.box(
                x - thick * 0.9, spring - thick * 0.5, x + thick * 0.9, spring + thick * 0.5
            )
        )
        scene.motifs.append(shapely.box(x - thick * 0.9, y1 - thick * 0.9, x + thick * 0.9, y1 + 3))
    return finish(f"arches-{seed}", scene, rng)


def serpents(seed, rng):
    """Serpents that taper, cross one another and bite, each over or under as a whole."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    for _ in range(int(rng.integers(2, 6))):
        x, y = x0 + w * rng.uniform(0.1, 0.9), y0 + h * rng.uniform(0.1, 0.9)
        aim, points = rng.uniform(0, 6.3), [(x, y)]
        for k in range(int(rng.integers(5, 9))):
            aim += (1 if k % 2 else -1) * rng.uniform(0.4, 1.2)
            if not frame.field.contains(
                shapely.Point(x + w * 0.13 * np.cos(aim), y + w * 0.13 * np.sin(aim))
            ):
                aim += 2.2
            x, y = x + w * 0.13 * np.cos(aim), y + w * 0.13 * np.sin(aim)
            points.append((x, y))
        run = spline(points)
        body = band(run, np.linspace(w * 0.02, w * rng.uniform(0.045, 0.07), len(run)))
        heading = np.arctan2(*(run[-1] - run[-4])[::-1])
        head = place(leaf(w * 0.13, w * 0.09, fullness=0.7)[0], *run[-1], heading)
        head = place(head, *(-0.02 * w * np.array([np.cos(heading), np.sin(heading)])))
        scene.motifs.append(body)
        scene.motifs.append(head)
        eye = disc(*(run[-1] + w * 0.03 * np.array([np.cos(heading), np.sin(heading)])), w * 0.008)
        scene.details.append(eye.exterior)
    edges = [m.boundary for m in scene.motifs]
    cover = shapely.union_all(scene.motifs)
    scene.details = [
        d for d in scene.details if cover.contains(d) and min(e.distance(d) for e in edges) > 0.2
    ]
    return finish(f"serpents-{seed}", scene, rng)
