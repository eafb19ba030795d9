"""Weaves: bands that pass over and under one another, lattices, linked rings."""

import itertools

import numpy as np
import shapely
from shapely import LineString

from tests.make.families.frames import panel, roundel, strip
from tests.make.families.scene import OVERSHOOT, Scene, finish
from tests.make.families.strokes import disc, flower, place, star


class Run:
    """A centre line with arc length; closed when it ends where it starts."""

    def __init__(self, points):
        self.points = np.asarray(points, dtype=float)
        self.closed = bool(np.allclose(self.points[0], self.points[-1], atol=1e-9))
        steps = np.hypot(*np.diff(self.points, axis=0).T)
        self.at = np.concatenate([[0], np.cumsum(steps)])
        self.length = self.at[-1]

    def part(self, a, b):
        """Points from arc length a to b; runs on past the end when closed."""
        if self.closed:
            points = np.vstack([self.points[:-1]] * 3 + [self.points[:1]])
            at = np.concatenate(
                [self.at[:-1] + k * self.length for k in (-1, 0, 1)] + [[2 * self.length]]
            )
        else:
            points, at = self.points, self.at
            a, b = max(a, 0.0), min(b, self.length)
        inner = points[(at > a + 1e-9) & (at < b - 1e-9)]
        ends = [np.array([np.interp(s, at, points[:, k]) for k in (0, 1)]) for s in (a, b)]
        return np.vstack([ends[0], inner, ends[1]])


def crossings(runs):
    """Crossings as pairs of `(run, arc length)`."""
    starts = np.vstack([r.points[:-1] for r in runs])
    steps = np.vstack([np.diff(r.points, axis=0) for r in runs])
    run = np.concatenate([np.full(len(r.points) - 1, k) for k, r in enumerate(runs)])
    at = np.concatenate([r.at[:-1] for r in runs])
    size = np.hypot(steps[:, 0], steps[:, 1])
    found = []
    for i in range(len(starts) - 1):
        d = starts[i + 1 :] - starts[i]
        other = steps[i + 1 :]
        det = steps[i, 0] * other[:, 1] - steps[i, 1] * other[:, 0]
        det = np.where(np.abs(det) < 1e-12, np.nan, det)
        s = (d[:, 0] * other[:, 1] - d[:, 1] * other[:, 0]) / det
        t = (d[:, 0] * steps[i, 1] - d[:, 1] * steps[i, 0]) / det
        hit = np.flatnonzero((s >= 0) & (s < 1) & (t >= 0) & (t < 1))
        for j in hit + i + 1:
            a = at[i] + s[j - i - 1] * size[i]
            b = at[j] + t[j - i - 1] * size[j]
            apart = abs(a - b)
            if run[i] == run[j]:
                length = runs[run[i]].length
                if min(apart, length - apart if runs[run[i]].closed else apart) < 1e-6:
                    continue
            found.append(((int(run[i]), a), (int(run[j]), b)))
    return found


def order(runs, places):
    """For each crossing, whether its first band is on top, so that every run alternates."""
    visits = {}
    for k, pair in enumerate(places):
        for side, (run, s) in enumerate(pair):
            visits.setdefault(run, []).append((s, k, side))
    links = {k: [] for k in range(len(places))}
    for run, seen in visits.items():
        seen.sort()
        steps = list(itertools.pairwise(seen))
        if runs[run].closed and len(seen) > 2:
            steps.append((seen[-1], seen[0]))
        for (_, k, side), (_, m, other) in steps:
            links[k].append((m, side == other))
            links[m].append((k, side == other))
    top = {}
    for start in range(len(places)):
        todo = [] if start in top else [start]
        top.setdefault(start, True)
        while todo:
            k = todo.pop()
            for m, differ in links[k]:
                if m not in top:
                    top[m] = (not top[k]) if differ else top[k]
                    todo.append(m)
    return [top[k] for k in range(len(places))]


def weave(runs, width, *, gap=0.0, order_of=order, middle=False):
    """Bands along `runs`, alternately over and under.

    Args:
        runs: centre lines.
        width: band width, mm.
        gap: how far the under band's edges stop short of the over band.
        order_of: says for each crossing whether its first band is on top.
        middle: also draw each band's middle line.

    Returns:
        Bands and the visible lines of their edges.
    """
    places = crossings(runs)
    tops = order_of(runs, places)
    stops = {k: [] for k in range(len(runs))}
    for k, pair in enumerate(places):
        for side, (run, s) in enumerate(pair):
            stops[run].append((s, k, side))
    arcs = {}
    for run, seen in stops.items():
        seen.sort()
        r = runs[run]
        at = [s for s, _, _ in seen]
        cuts = [(a + b) / 2 + 0.0137 for a, b in itertools.pairwise(at)]
        if r.closed and at:
            wrap = (at[-1] + at[0] + r.length) / 2 + 0.0137
            cuts = [wrap - r.length, *cuts, wrap]
        else:
            cuts = [0.0, *cuts, r.length]
        if not at:
            arcs[(run, None, None)] = r.points
        for (_, k, side), a, b in zip(seen, cuts, cuts[1:], strict=False):
            arcs[(run, k, side)] = r.part(a, b)
    bands = {
        key: LineString(p).buffer(width / 2, cap_style="flat", quad_segs=32)
        for key, p in arcs.items()
    }
    owner = {(k, side): key for key in arcs for k, side in [key[1:]] if k is not None}
    lines = []
    for key, points in arcs.items():
        _, k, side = key
        shifts = [width / 2, -width / 2, *([width * 0.02] if middle else [])]
        edges = shapely.multilinestrings([beside(points, d) for d in shifts])
        if k is not None and (side == 0) != tops[k]:
            over = bands[owner[(k, 1 - side)]]
            edges = edges.difference(over.buffer(gap or -OVERSHOOT))
        lines.append(edges)
    return [whole_band(r, width) for r in runs], lines


def beside(points, d):
    """Line at distance d to the left of a smooth run; parts of one run meet where the run was parted."""
    step = np.diff(points, axis=0)
    n = np.column_stack([-step[:, 1], step[:, 0]]) / np.hypot(step[:, 0], step[:, 1])[:, None]
    before, after = np.vstack([n[:1], n]), np.vstack([n, n[-1:]])
    lean = (before + after) / (1 + (before * after).sum(axis=1))[:, None]
    return np.round(points + d * lean, 6)


def whole_band(r, width):
    """The band of a run as one area."""
    return LineString(r.points).buffer(width / 2, cap_style="flat", quad_segs=32)


def plait(seed, rng, *, gap=0.0, name="plait"):
    """Strands waving along a strip, over and under."""
    frame = strip(rng, tall=rng.uniform(34, 60))
    x0, y0, x1, y1 = frame.field.bounds
    tall, mid = y1 - y0, (y0 + y1) / 2
    count = int(rng.integers(2, 5))
    period = tall * rng.uniform(1.2, 2.0)
    swing = tall * rng.uniform(0.27, 0.36)
    x = np.linspace(x0 - 6, x1 + 6, 420)
    shift = rng.uniform(0, 6.3)
    runs = [
        Run(
            np.column_stack([x, mid + swing * np.sin(2 * np.pi * (x / period + k / count) + shift)])
        )
        for k in range(count)
    ]
    width = tall * rng.uniform(0.05, 0.075 + 0.15 / count)
    bands, lines = weave(runs, width, gap=gap, middle=rng.random() < 0.2)
    scene = Scene(frame=frame, strands=bands, strand_lines=lines)
    return finish(f"{name}-{seed}", scene, rng)


def broken_plait(seed, rng):
    """A plait whose under strands stop a little short of the over strands."""
    return plait(seed, rng, gap=rng.uniform(0.25, 0.7), name="broken-plait")


def knot(seed, rng):
    """A closed knot of one or two bands (rosette curves), sometimes through a ring."""
    frame = roundel(rng) if rng.random() < 0.6 else panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    cx, cy, r = (x0 + x1) / 2, (y0 + y1) / 2, min(x1 - x0, y1 - y0) / 2
    lobes, winds = [(3, 2), (5, 2), (4, 3), (5, 3), (7, 2), (7, 3)][int(rng.integers(0, 6))]
    a = np.linspace(0, 2 * np.pi * winds, 260 * winds)
    depth = rng.uniform(0.3, 0.42)
    radius = (
        r
        * (0.98 - depth)
        * (1 + depth * 1.0 * np.cos(lobes * a / winds + 0.3))
        / (1 + depth)
        * 1.25
    )
    radius = radius * min(1.0, 0.9 * r / radius.max())
    knotted = np.column_stack([cx + radius * np.cos(a), cy + radius * np.sin(a)])
    knotted[-1] = knotted[0]
    runs = [Run(knotted)]
    if rng.random() < 0.5:
        b = np.linspace(0, 2 * np.pi, 300)
        rr = (radius.min() + radius.max()) / 2
        loop = np.column_stack([cx + rr * np.cos(b), cy + rr * np.sin(b)])
        loop[-1] = loop[0]
        runs.append(Run(loop))
    width = r * rng.uniform(0.07, 0.13)
    gap = rng.uniform(0.25, 0.7) if rng.random() < 0.3 else 0.0
    bands, lines = weave(runs, width, gap=gap, middle=rng.random() < 0.15)
    scene = Scene(frame=frame, strands=bands, strand_lines=lines)
    return finish(f"knot-{seed}", scene, rng)


def lattice(seed, rng):
    """Straight bands both ways: woven, crossing plainly, one way on top, or as one net."""
    frame = panel(rng) if rng.random() < 0.6 else strip(rng)
    x0, y0, x1, y1 = frame.field.bounds
    cx, cy, reach = (x0 + x1) / 2, (y0 + y1) / 2, np.hypot(x1 - x0, y1 - y0) / 2 + 5
    pitch = rng.uniform(10, 22)
    width = pitch * rng.uniform(0.2, 0.42)
    angles = [[0.0, np.pi / 2], [np.pi / 4, -np.pi / 4], [0.5, -0.5]][int(rng.integers(0, 3))]
    style = rng.choice(["woven", "plain", "first", "net", "broken"])
    runs, straight = [], []
    for turn in angles:
        u, v = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
        for d in np.arange(-reach + rng.uniform(0, pitch), reach, pitch):
            line = np.array(
                [np.array([cx, cy]) + d * v - reach * u, np.array([cx, cy]) + d * v + reach * u]
            )
            straight.append(line)
            if LineString(line).distance(frame.field) < width:
                runs.append(Run(np.linspace(*line, 40)))
    if style in ("woven", "broken"):
        bands, lines = weave(runs, width, gap=rng.uniform(0.25, 0.7) if style == "broken" else 0.0)
        scene = Scene(frame=frame, strands=bands, strand_lines=lines)
    elif style == "plain":
        bands = [whole_band(r, width) for r in runs]
        scene = Scene(frame=frame, strands=bands, strand_lines=[b.boundary for b in bands])
    elif style == "first":
        scene = Scene(frame=frame, motifs=[whole_band(r, width) for r in runs])
    else:
        scene = Scene(frame=frame, motifs=[shapely.union_all([whole_band(r, width) for r in runs])])
        if rng.random() < 0.4:
            boss = disc(0, 0, width * 0.9) if rng.random() < 0.5 else place(flower(width, 6), 0, 0)
            half = len(angles)
            first = [
                r
                for r in runs
                if abs((r.points[-1] - r.points[0]) @ [np.sin(angles[0]), -np.cos(angles[0])]) < 1
            ]
            second = [r for r in runs if r not in first]
            for p in first[: len(first)]:
                for q in second:
                    hit = LineString(p.points) & LineString(q.points)
                    if hit.geom_type == "Point" and half:
                        scene.motifs.append(place(boss, hit.x, hit.y))
    return finish(f"lattice-{seed}", scene, rng)


def rings(seed, rng):
    """Linked rings in rows, over and under."""
    frame = panel(rng) if rng.random() < 0.5 else strip(rng)
    x0, y0, x1, y1 = frame.field.bounds
    rows = int(rng.integers(1, 4)) if y1 - y0 > 60 else 1
    r = min((y1 - y0) / rows * rng.uniform(0.38, 0.47), 28)
    pitch = r * rng.uniform(1.35, 1.7)
    high = (y1 - y0) / rows
    width = r * rng.uniform(0.16, 0.26)
    a = np.linspace(0, 2 * np.pi, 120)
    runs = []
    for row in range(rows):
        for x in np.arange(x0 + pitch * rng.uniform(0.3, 0.6), x1, pitch):
            points = np.column_stack([x + r * np.cos(a), y0 + high * (row + 0.5) + r * np.sin(a)])
            points[-1] = points[0]
            runs.append(Run(points))
    bands, lines = weave(runs, width, gap=0.4 if rng.random() < 0.2 else 0.0)
    scene = Scene(frame=frame, strands=bands, strand_lines=lines)
    if rng.random() < 0.3:
        for run in runs[::2]:
            shape = place(star(r * 0.3, 6), *run.points[:-1].mean(axis=0))
            if shape.distance(shapely.union_all(bands)) > 0.8:
                scene.motifs.append(shape)
    return finish(f"rings-{seed}", scene, rng)


def basket(seed, rng):
    """Wide strips woven closely: small square openings between them."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    pitch = rng.uniform(12, 20)
    width = pitch * rng.uniform(0.5, 0.72)
    runs = [
        Run(np.linspace((x, y0 - 4), (x, y1 + 4), 30))
        for x in np.arange(x0 + rng.uniform(0, pitch), x1, pitch)
    ]
    runs += [
        Run(np.linspace((x0 - 4, y), (x1 + 4, y), 30))
        for y in np.arange(y0 + rng.uniform(0, pitch), y1, pitch)
    ]
    bands, lines = weave(runs, width)
    return finish(f"basket-{seed}", Scene(frame=frame, strands=bands, strand_lines=lines), rng)


def ribbon(seed, rng):
    """One ribbon wandering through itself, drawn as crossing outlines."""
    frame = panel(rng)
    x0, y0, x1, y1 = frame.field.bounds
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    kx, ky = [(2, 3), (3, 4), (3, 5), (4, 5)][int(rng.integers(0, 4))]
    t = np.linspace(0, 2 * np.pi, 900)
    swing = 0.44
    lean = np.pi / 2 + np.pi * (1 - kx) / (2 * ky)  # farthest from a curve that runs back on itself
    points = np.column_stack(
        [cx + swing * (x1 - x0) * np.sin(kx * t + lean), cy + swing * (y1 - y0) * np.sin(ky * t)]
    )
    points[-1] = points[0]
    width = min(x1 - x0, y1 - y0) * rng.uniform(0.04, 0.07)
    bands, lines = weave(
        [Run(points)], width, gap=rng.uniform(0.25, 0.6) if rng.random() < 0.3 else 0.0
    )
    frame_scene = Scene(frame=frame, strands=[s & frame.field for s in bands], strand_lines=lines)
    return finish(f"ribbon-{seed}", frame_scene, rng)


__all__ = ["basket", "broken_plait", "knot", "lattice", "plait", "ribbon", "rings"]
