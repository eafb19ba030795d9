"""Plants: vines, scrolls, leaves, acanthus, lilies, reeds."""

import numpy as np
import shapely
from shapely import LineString

from tests.make.families.frames import panel, roundel, strip
from tests.make.families.scene import Scene, finish
from tests.make.families.strokes import (
    band,
    disc,
    flower,
    leaf,
    lobed,
    normals,
    place,
    spiral,
    spline,
)


def add_leaf(scene, rng, x, y, turn, length, width, *, under=False, lobes=0, cut=0.12):
    """Lay a leaf with some veins; now and then the midrib cuts it in two from base to tip."""
    bend = rng.uniform(-0.35, 0.35)
    if lobes:
        shape, rib = lobed(length, width, lobes, depth=rng.uniform(0.25, 0.45), bend=bend * 0.6)
    else:
        shape, rib = leaf(length, width, bend=bend, fullness=rng.uniform(0.65, 1.0))
    shape = place(shape, x, y, turn)
    if under:
        scene.motifs.insert(0, shape)
        return shape
    scene.motifs.append(shape)
    style = rng.random()
    rib = np.asarray(place(LineString(rib), x, y, turn).coords)
    if style < cut:
        scene.details.append(LineString(rib) & shape)
    elif style < 0.6:
        scene.veins.append((LineString(rib[3:-8]), shape))
    return shape


def settle_veins(scene):
    """Drop the parts of veins that a later motif covers."""
    kept = []
    for vein, owner in scene.veins:
        at = next(i for i, m in enumerate(scene.motifs) if m is owner)
        over = shapely.union_all(scene.motifs[at + 1 :])
        seen = (vein & owner.buffer(-0.4)).difference(over.buffer(0.4))
        kept.extend(p for p in shapely.get_parts(seen) if p.length > 1)
    scene.veins = kept
    seen = []
    for line in scene.details:
        owner = max(scene.motifs, key=lambda m: (m & line).length if m.intersects(line) else 0)
        at = next(i for i, m in enumerate(scene.motifs) if m is owner)
        rest = line.difference(shapely.union_all(scene.motifs[at + 1 :]))
        seen.extend(p for p in shapely.get_parts(rest) if p.length > 0.5)
    scene.details = seen


def vine(seed, rng):
    """Waving stem with leaves on both sides, tendrils and berries."""
    frame = strip(rng)
    x0, y0, x1, y1 = frame.field.bounds
    tall, mid = y1 - y0, (y0 + y1) / 2
    swing = tall * rng.uniform(0.2, 0.33)
    period = tall * rng.uniform(1.1, 1.9)
    x = np.linspace(x0 - 5, x1 + 5, 400)
    stem = np.column_stack([x, mid + swing * np.sin(2 * np.pi * (x - x0) / period)])
    thick = tall * rng.uniform(0.045, 0.09)
    scene = Scene(frame=frame, motifs=[band(stem, thick)])
    n = normals(stem)
    step = period / rng.integers(4, 8)
    lobes = int(rng.choice([0, 0, 3, 5]))
    for k, at in enumerate(np.arange(x0 + step / 2, x1, step)):
        i = int(np.searchsorted(x, at))
        side = 1 if k % 2 else -1
        turn = np.arctan2(*(side * n[i])[::-1]) - side * rng.uniform(0.2, 0.8)
        length = tall * rng.uniform(0.26, 0.46)
        add_leaf(
            scene,
            rng,
            *stem[i],
            turn,
            length,
            length * rng.uniform(0.38, 0.6),
            under=rng.random() < 0.5,
            lobes=lobes,
        )
        if rng.random() < 0.4:
            px, py = stem[i] - side * n[i] * tall * rng.uniform(0.14, 0.24)
            stalk = band([stem[i], (px, py)], thick * 0.6)
            scene.motifs.insert(0, stalk)
            scene.motifs.append(disc(px, py, tall * rng.uniform(0.04, 0.075)))
    settle_veins(scene)
    return finish(f"vine-{seed}", scene, rng, breaks=3 if rng.random() < 0.3 else 0)


def scroll(seed, rng):
    """Running scrolls: each branch curls into a flower, leaves lie over the curl."""
    frame = strip(rng)
    x0, y0, x1, y1 = frame.field.bounds
    tall, mid = y1 - y0, (y0 + y1) / 2
    r = tall * rng.uniform(0.36, 0.44)
    count = max(2, round((x1 - x0) / (2.15 * r)))
    gap = (x1 - x0) / count
    thick = tall * rng.uniform(0.05, 0.09)
    scene = Scene(frame=frame)
    for k in range(count):
        cx = x0 + gap * (k + 0.5)
        hand = 1 if k % 2 else -1
        turns = rng.uniform(1.1, 1.7)
        curl = spiral(cx, mid, min(r, gap * 0.47), turns, start=np.pi, hand=hand, inner=0.3)
        run = np.vstack(
            [
                [(cx - gap * 0.62, mid - hand * r * 0.95)],
                [(cx - gap * 0.52, mid - hand * r * 0.5)],
                curl,
            ]
        )
        width = np.interp(np.arange(len(run)), [0, len(run) - 1], [thick * 1.3, thick * 0.7])
        scene.motifs.append(band(run, width))
        for _ in range(int(rng.integers(2, 6))):
            i = int(rng.integers(10, int(len(curl) * 0.6)))
            n = normals(curl)[i] * rng.choice([-1, 1])
            length = r * rng.uniform(0.35, 0.7)
            add_leaf(
                scene,
                rng,
                *curl[i],
                np.arctan2(n[1], n[0]) + hand * rng.uniform(0.3, 0.9),
                length,
                length * rng.uniform(0.35, 0.55),
                under=rng.random() < 0.4,
                lobes=int(rng.choice([0, 0, 3])),
            )
        scene.motifs.append(
            place(flower(r * rng.uniform(0.2, 0.32), int(rng.integers(5, 9))), *curl[-1])
        )
        if rng.random() < 0.6:
            scene.details.append(disc(*curl[-1], r * 0.07).exterior)
    settle_veins(scene)
    return finish(f"scroll-{seed}", scene, rng, breaks=3 if rng.random() < 0.3 else 0)


def leaves(seed, rng):
    """Leaves strewn over the field, overlapping, of one make."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    size = (x1 - x0) * rng.uniform(0.2, 0.34)
    lobes = int(rng.choice([0, 0, 3, 4]))
    scene = Scene(frame=frame)
    cells = max(2, int((x1 - x0) / (size * rng.uniform(0.6, 0.85))))
    rows = max(2, int((y1 - y0) / (size * 0.72)))
    spots = [
        (x0 + (i + 0.5) * (x1 - x0) / cells, y0 + (j + 0.5) * (y1 - y0) / rows)
        for i in range(cells)
        for j in range(rows)
    ]
    for k in rng.permutation(len(spots)):
        x, y = np.array(spots[k]) + rng.normal(0, size * 0.1, 2)
        turn = rng.uniform(0, 2 * np.pi)
        length = size * rng.uniform(0.8, 1.3)
        start = (x - length / 2 * np.cos(turn), y - length / 2 * np.sin(turn))
        add_leaf(scene, rng, *start, turn, length, length * rng.uniform(0.3, 0.48), lobes=lobes)
    settle_veins(scene)
    return finish(f"leaves-{seed}", scene, rng, breaks=2 if rng.random() < 0.3 else 0)


def acanthus(seed, rng):
    """Fans of lobed leaves whose lobes overlap one another, springing from curled stems."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    fans = int(rng.integers(2, 5))
    for k in range(fans):
        cx = x0 + w * (k % 2 * 0.5 + 0.25) + rng.normal(0, w * 0.03)
        cy = y0 + h * ((k // 2) * 0.5 + (0.25 if fans > 2 else 0.5)) + rng.normal(0, h * 0.03)
        aim = rng.uniform(0, 2 * np.pi)
        stem = spline(
            [
                (cx, cy),
                (cx - w * 0.14 * np.cos(aim), cy - w * 0.14 * np.sin(aim)),
                (cx - w * 0.3 * np.cos(aim + 0.5), cy - w * 0.3 * np.sin(aim + 0.5)),
            ]
        )
        scene.motifs.insert(0, band(stem, np.linspace(w * 0.05, w * 0.02, len(stem))))
        count = int(rng.integers(4, 8))
        spread = rng.uniform(2.0, 3.4)
        order = sorted(range(count), key=lambda i: -abs(i - (count - 1) / 2))
        for i in order:
            turn = aim + spread * (i / (count - 1) - 0.5)
            length = w * rng.uniform(0.2, 0.3)
            add_leaf(
                scene,
                rng,
                cx,
                cy,
                turn,
                length,
                length * rng.uniform(0.35, 0.5),
                lobes=int(rng.integers(3, 6)),
                cut=0.05,
            )
        scene.motifs.append(disc(cx, cy, w * rng.uniform(0.02, 0.04)))
    settle_veins(scene)
    return finish(f"acanthus-{seed}", scene, rng, mirror=rng.random() < 0.3)


def lilies(seed, rng):
    """Water lilies: opened flowers of overlapping petals, notched pads, stems under them."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    spots = [
        (x0 + w * fx, y0 + h * fy)
        for fx, fy in [(0.25, 0.3), (0.72, 0.25), (0.5, 0.62), (0.2, 0.78), (0.8, 0.75)]
    ]
    for x, y in spots:
        stem = spline(
            [
                (x, y),
                (x + rng.normal(0, w * 0.06), (y + y1) / 2),
                (x + rng.normal(0, w * 0.08), y1 + 5),
            ]
        )
        scene.motifs.append(band(stem, w * rng.uniform(0.015, 0.03)))
    for k in rng.permutation(len(spots)):
        x, y = np.array(spots[k]) + rng.normal(0, w * 0.03, 2)
        if rng.random() < 0.55:
            petals = int(rng.integers(5, 9))
            length = w * rng.uniform(0.13, 0.2)
            aim = rng.uniform(0, 6.3)
            for i in range(petals):
                add_leaf(
                    scene,
                    rng,
                    x,
                    y,
                    aim + 2 * np.pi * i / petals,
                    length,
                    length * rng.uniform(0.5, 0.62),
                    cut=0,
                )
            scene.motifs.append(disc(x, y, length * 0.24))
        else:
            r = w * rng.uniform(0.1, 0.16)
            notch = place(
                shapely.Polygon([(0, 0), (2 * r, 0.3 * r), (2 * r, -0.3 * r)]),
                0,
                0,
                rng.uniform(0, 6.3),
            )
            scene.motifs.append(place(disc(0, 0, r).difference(notch), x, y))
    settle_veins(scene)
    return finish(f"lilies-{seed}", scene, rng)


def reeds(seed, rng):
    """Tapering blades that spring from the foot, cross and overlap, with a few bulrushes."""
    frame = panel(rng, rim=rng.uniform(3.5, 8))
    x0, y0, x1, y1 = frame.field.bounds
    w, h = x1 - x0, y1 - y0
    scene = Scene(frame=frame)
    for x in np.linspace(x0 + 0.08 * w, x1 - 0.08 * w, int(rng.integers(6, 12))):
        lean = rng.normal(0, 0.16) * w
        top = y1 - h * rng.uniform(0.45, 0.92)
        run = spline(
            [
                (x, y1 + 4),
                (x + lean * 0.25, (y1 * 2 + top) / 3),
                (x + lean * 0.6, (y1 + 2 * top) / 3),
                (x + lean, top),
            ]
        )
        foot = w * rng.uniform(0.025, 0.055)
        if rng.random() < 0.25:
            scene.motifs.append(band(run, foot * 0.5))
            scene.motifs.append(band(run[-14:], foot * 1.6))
        else:
            scene.motifs.append(band(run, foot * (1 - np.linspace(0, 1, len(run)) ** 1.6) + 0.15))
    return finish(f"reeds-{seed}", scene, rng, breaks=2 if rng.random() < 0.3 else 0)


def wreath(seed, rng):
    """A ring of overlapping leaves round a flower, in a round frame."""
    frame = roundel(rng)
    r = (frame.field.bounds[2] - frame.field.bounds[0]) / 2
    scene = Scene(frame=frame)
    count = int(rng.integers(9, 20))
    mid = r * rng.uniform(0.62, 0.75)
    a = np.linspace(0, 2 * np.pi, 200)
    scene.motifs.append(band(np.column_stack([mid * np.cos(a), mid * np.sin(a)]), r * 0.06))
    for k in range(count):
        a = 2 * np.pi * k / count
        length = r * rng.uniform(0.26, 0.36)
        for side in (-1, 1):
            add_leaf(
                scene,
                rng,
                mid * np.cos(a),
                mid * np.sin(a),
                a + np.pi / 2 + side * rng.uniform(0.6, 0.9),
                length,
                length * 0.42,
            )
    for k in range(5):
        add_leaf(scene, rng, 0, 0, 2 * np.pi * k / 5, r * 0.36, r * 0.22, cut=0)
    scene.motifs.append(disc(0, 0, r * 0.09))
    settle_veins(scene)
    return finish(f"wreath-{seed}", scene, rng)


def chopped(rest, whole):
    """Would a leaf be left in bits, or mostly hidden?"""
    bits = [p for p in shapely.get_parts(rest) if p.area > 0.02 * whole.area]
    return len(bits) != 1 or rest.area < 0.4 * whole.area


def foliage(seed, rng):
    """Crowded leaves and rounds of several sizes that leave small pockets; some carry an inner contour."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    size = (x1 - x0) * rng.uniform(0.16, 0.3)
    share = rng.uniform(0.66, 0.84)
    lobes = int(rng.choice([0, 0, 3]))
    contour = rng.random() < 0.35
    scene = Scene(frame=frame)
    seen: list = []
    for _ in range(160):
        x, y = rng.uniform(x0, x1), rng.uniform(y0, y1)
        length = size * rng.uniform(0.6, 1.3)
        turn = rng.uniform(0, 2 * np.pi)
        trial = Scene(frame=frame)
        if rng.random() < 0.2:
            trial.motifs.append(place(flower(length * 0.32, int(rng.integers(5, 9))), x, y))
        else:
            start = (x - length / 2 * np.cos(turn), y - length / 2 * np.sin(turn))
            wide = length * rng.uniform(0.35, 0.55)
            add_leaf(trial, rng, *start, turn, length, wide, lobes=lobes, cut=0.1)
        shape = trial.motifs[0]
        rest = [s - shape if s.intersects(shape) else s for s in seen]
        whole = [
            m & frame.field if a is not s else None
            for a, s, m in zip(rest, seen, scene.motifs, strict=True)
        ]
        if any(b is not None and chopped(a, b) for a, b in zip(rest, whole, strict=True)):
            continue
        if (shape & frame.field).area < 0.5 * shape.area:
            continue
        seen = [*rest, shape & frame.field]
        scene.motifs += trial.motifs
        scene.veins += trial.veins
        scene.details += trial.details
        if sum(s.area for s in seen) > share * frame.field.area:
            break
    settle_veins(scene)
    if contour:
        for i, m in enumerate(scene.motifs):
            over = shapely.union_all(scene.motifs[i + 1 :])
            inner = m.buffer(-size * 0.05)
            if not over.intersects(m) and inner.geom_type == "Polygon" and frame.field.contains(m):
                scene.details = [d for d in scene.details if not d.intersects(m)]
                scene.veins = [v for v in scene.veins if not v.intersects(m)]
                scene.details.append(inner.exterior)
    return finish(f"foliage-{seed}", scene, rng)
