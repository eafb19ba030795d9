"""Medleys: pieces put together at random from layouts, units and bars, for breadth rather than beauty."""

import numpy as np
import shapely
from shapely import LineString, Polygon

from tests.make.families.frames import panel, roundel, strip
from tests.make.families.scene import Scene, finish
from tests.make.families.strokes import (
    band,
    blob,
    disc,
    flower,
    heart,
    leaf,
    lobed,
    moon,
    place,
    ring,
    spiral,
    spline,
    star,
    whole,
)


def unit(rng):
    """A shape about the origin, some 2 across and pointing along +x, as a function of nothing."""
    kind = int(rng.integers(0, 14))
    k = int(rng.integers(3, 9))
    a, b = rng.uniform(0.35, 0.95), rng.uniform(0.5, 1.4)
    depth = rng.uniform(0.2, 0.5)
    corners = np.column_stack(
        [np.cos(2 * np.pi * np.arange(k) / k), np.sin(2 * np.pi * np.arange(k) / k)]
    )
    t = np.linspace(0, 1, 60)
    drop = np.column_stack([1 - 2 * t, a * np.sin(np.pi * t**b)])
    makers = [
        lambda: place(leaf(2, 1.3 * a, fullness=b)[0], -1, 0),
        lambda: place(lobed(2, 1.4 * a, k, depth=depth)[0], -1, 0),
        lambda: flower(1, k, depth=depth),
        lambda: star(1, k, a),
        lambda: heart(0.8),
        lambda: moon(0.9),
        lambda: disc(0, 0, 0.8),
        lambda: ring(0, 0, 0.9, 0.9 * a),
        lambda: blob(rng, 0.8, wobble=depth),
        lambda: Polygon(corners),
        lambda: shapely.box(-1, -a * 0.7, 1, a * 0.7),
        lambda: whole(Polygon(np.vstack([drop, (drop * [1, -1])[::-1]]))),
        lambda: shapely.union_all([place(leaf(1.4, 0.5)[0], 0, 0, s) for s in (-0.7, 0.0, 0.7)]),
        lambda: band(spiral(0, 0, 0.8, 1.3, inner=0.2), 0.3 * a),
    ]
    return makers[kind]()


def spots(rng, field):
    """Places, headings and the room round each, in one of several layouts over a field."""
    x0, y0, x1, y1 = field.bounds
    w, h = x1 - x0, y1 - y0
    kind = rng.choice(["polar", "grid", "row", "strewn", "path"])
    if kind == "polar":
        count = int(rng.integers(4, 17))
        r = min(w, h) / 2 * rng.uniform(0.3, 0.85)
        c = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
        aim = 2 * np.pi * np.arange(count) / count + rng.uniform(0, 1)
        at = c + r * np.column_stack([np.cos(aim), np.sin(aim)])
        turn = aim + rng.choice([0, np.pi, np.pi / 2])
        return at, turn, min(np.pi * r / count, r * 0.6)
    if kind == "row":
        count = max(2, int(w / h * rng.uniform(0.8, 2.5)))
        x = x0 + w * (np.arange(count) + 0.5) / count
        at = np.column_stack([x, np.full(count, y0 + h * rng.uniform(0.3, 0.7))])
        turn = np.full(count, rng.choice([0, np.pi / 2, -np.pi / 2])) + np.pi * (
            np.arange(count) % 2
        ) * int(rng.integers(0, 2))
        return at, turn, min(w / count / 2, h * 0.42)
    if kind == "path":
        x = np.linspace(x0, x1, int(rng.integers(6, 16)))
        y = (y0 + y1) / 2 + h * rng.uniform(0.1, 0.3) * np.sin(
            2 * np.pi * (x - x0) / w * rng.uniform(0.8, 3)
        )
        turn = rng.uniform(0, 6.3) + np.arange(len(x)) * rng.choice([0.0, np.pi])
        return np.column_stack([x, y]), turn, w / len(x) * 0.6
    pitch = np.sqrt(w * h) / rng.integers(2, 7)
    grid = [
        (x + (pitch / 2 if j % 2 and kind == "grid" else 0), y)
        for j, y in enumerate(np.arange(y0 + pitch / 2, y1, pitch * rng.uniform(0.8, 1.1)))
        for x in np.arange(x0 + pitch / 2, x1, pitch)
    ]
    at = np.array(grid)
    turn = np.full(len(at), rng.choice([0.0, np.pi / 4, np.pi / 2]))
    if kind == "strewn":
        at = at + rng.normal(0, pitch * 0.15, at.shape)
        turn = rng.uniform(0, 6.3, len(at))
    return at, turn, pitch / 2


def bars(rng, field):
    """Bands across the field: stems, spokes, hoops, straps one or both ways, waves."""
    x0, y0, x1, y1 = field.bounds
    w, h = x1 - x0, y1 - y0
    cx, cy, r = (x0 + x1) / 2, (y0 + y1) / 2, min(w, h) / 2
    wide = r * rng.uniform(0.05, 0.16)
    kind = int(rng.integers(0, 5))
    if kind == 0:
        rr = r * rng.uniform(0.35, 0.8)
        return [ring(cx, cy, rr, rr - wide)]
    if kind == 1:
        aim = 2 * np.pi * np.arange(rng.integers(3, 13))
        aim = aim / len(aim) + rng.uniform(0, 1)
        far = np.hypot(w, h)
        low = r * rng.uniform(0, 0.3)
        return [
            band([(cx + s * np.cos(a), cy + s * np.sin(a)) for s in (low, far)], wide) for a in aim
        ]
    if kind == 2:
        pitch = wide * rng.uniform(2.5, 6)
        lean = rng.choice([0.0, 0.5, np.pi / 4, np.pi / 2])
        far = np.hypot(w, h)
        u, v = np.array([np.cos(lean), np.sin(lean)]), np.array([-np.sin(lean), np.cos(lean)])
        c = np.array([cx, cy])
        ways = [(u, v), (u * [1, -1], v * [-1, 1])] if rng.random() < 0.6 else [(u, v)]
        made = [
            LineString([c + d * q - far * p, c + d * q + far * p]).buffer(
                wide / 2, cap_style="flat"
            )
            for p, q in ways
            for d in np.arange(-far / 2, far / 2, pitch)
        ]
        made = [m & field.buffer(5) for m in made if m.intersects(field)]
        return [shapely.union_all(made)] if rng.random() < 0.5 else made
    if kind == 3:
        x = np.linspace(x0 - 5, x1 + 5, 200)
        count = rng.uniform(1, 5)
        tall = h * rng.uniform(0.1, 0.35)
        shift = rng.uniform(0, 6.3)
        return [
            band(
                np.column_stack(
                    [x, cy + s * tall * np.sin(2 * np.pi * count * (x - x0) / w + shift)]
                ),
                wide,
            )
            for s in ([1] if rng.random() < 0.5 else [1, -1])
        ]
    runs = []
    for _ in range(int(rng.integers(1, 5))):
        p = [(rng.uniform(x0, x1), rng.uniform(y0, y1)) for _ in range(3)]
        runs.append(band(spline([(rng.uniform(x0, x1), y1 + 5), *p]), wide * 0.7))
    return runs


def layer(rng, scene, field, *, deep=0):
    """Add one layer of units to a scene; now and then fill rings with a field of their own."""
    at, turn, room = spots(rng, field)
    form = unit(rng)
    size = room * rng.uniform(0.45, 1.35)
    inner = disc(0, 0, size * 0.22) if rng.random() < 0.2 else None
    under = rng.random() < 0.3
    hollow = deep == 0 and room > 16 and rng.random() < 0.3
    for p, a in zip(at, turn, strict=True):
        if hollow:
            hoop = room * 0.95
            scene.motifs.append(ring(*p, hoop, hoop * 0.85))
            held = place(form, *p, a, hoop * 0.85 * rng.uniform(0.55, 1.0))
            scene.motifs.append(held)
            continue
        shape = place(form, *p, a, size)
        if under:
            scene.motifs.insert(0, shape)
        else:
            scene.motifs.append(shape)
            if inner is not None:
                scene.details.append((place(inner, *p), len(scene.motifs)))


def medley(frame_of):
    """A family of medleys in frames of one kind."""

    def make(seed, rng):
        frame = frame_of(rng)
        scene = Scene(frame=frame)
        if rng.random() < 0.6:
            scene.motifs.extend(bars(rng, frame.field))
        for _ in range(int(rng.integers(1, 4))):
            layer(rng, scene, frame.field)
        if rng.random() < 0.3:
            scene.motifs.extend(bars(rng, frame.field))
        x0, y0, x1, y1 = frame.field.bounds
        if rng.random() < 0.4:
            r = min(x1 - x0, y1 - y0) * rng.uniform(0.08, 0.2)
            scene.motifs.append(place(unit(rng), (x0 + x1) / 2, (y0 + y1) / 2, -np.pi / 2, r))
        scene.motifs = [m for m in scene.motifs if m.intersects(frame.field)]
        kept = []
        for detail, _ in scene.details:
            edges = [m.boundary.distance(detail) for m in scene.motifs]
            if min(edges, default=0) > 0.3 and any(m.contains(detail) for m in scene.motifs):
                kept.append(detail.exterior)
        scene.details = kept
        return finish(f"medley-{seed}", scene, rng, mirror=rng.random() < 0.15)

    make.__doc__ = "A medley."
    return make


medley_panel, medley_strip, medley_round = medley(panel), medley(strip), medley(roundel)
