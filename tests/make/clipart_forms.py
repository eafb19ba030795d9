"""Forms of clip art: random curves, leaves, brush strokes and letters, in mm; y down."""

import math
from dataclasses import dataclass
from random import Random

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, affinity


@dataclass(frozen=True)
class Form:
    """One thing painted: an area, or a line with its width; `rings` keeps a path that crosses itself."""

    shape: shapely.Geometry
    ink: bool
    width: float = 0.0
    rings: tuple = ()
    rule: str = "nonzero"


def ink(shape):
    return Form(shape, ink=True)


def paper(shape):
    return Form(shape, ink=False)


def stroke(points, width, *, dark=True):
    return Form(LineString(points), ink=dark, width=width)


def self_crossing(rings, rule, *, dark=True):
    """A path written as it stands, filled by its rule."""
    return Form(LineString(rings[0]), ink=dark, rings=tuple(rings), rule=rule)


def bezier(a, b, c, d, count=40):
    t = np.linspace(0, 1, count)[:, None]
    a, b, c, d = (np.asarray(p, dtype=float) for p in (a, b, c, d))
    return (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d


def spiral(at, radius, turns, start, sense=1, count=110):
    t = np.linspace(0, 1, count)
    r = radius * (1 - t) + 0.06 * radius
    angle = start + sense * 2 * math.pi * turns * t
    return np.column_stack([at[0] + r * np.cos(angle), at[1] + r * np.sin(angle)])


def wave(start, end, height, swings, count=160):
    t = np.linspace(0, 1, count)
    along = np.subtract(end, start)
    across = np.array([-along[1], along[0]]) / np.hypot(*along)
    return (
        np.asarray(start)
        + t[:, None] * along
        + (height * np.sin(2 * math.pi * swings * t))[:, None] * across
    )


def outline_of(points, widths):
    """Ring round a line of changing width; it may cross itself."""
    points = np.asarray(points, dtype=float)
    step = np.gradient(points, axis=0)
    step /= np.hypot(*step.T)[:, None] + 1e-9
    across = np.column_stack([-step[:, 1], step[:, 0]]) * (np.asarray(widths) / 2)[:, None]
    return np.concatenate([points + across, (points - across)[::-1]])


def brush(points, wide, end=0.05, power=1.0):
    """A stroke of the brush that grows thin towards its end."""
    t = np.linspace(0, 1, len(points)) ** power
    return Polygon(outline_of(points, wide + (end - wide) * t)).buffer(0)


def swell(points, wide, tip=0.08):
    """A calligraphic stroke: thin at both ends."""
    t = np.linspace(0, 1, len(points))
    return Polygon(outline_of(points, tip + (wide - tip) * np.sin(math.pi * t))).buffer(0)


def leaf(at, long, wide, turn, rng, lobes=0):
    t = np.linspace(0, 1, 48)
    half = wide / 2 * np.sin(math.pi * t**0.8)
    if lobes:
        half = half * (0.72 + 0.28 * np.abs(np.cos(lobes * math.pi * t)))
    middle = rng.uniform(-0.25, 0.25) * long * np.sin(math.pi * t / 2) ** 2
    ring = np.concatenate(
        [
            np.column_stack([long * t, middle + half]),
            np.column_stack([long * t, middle - half])[::-1],
        ]
    )
    shape = Polygon(ring).buffer(0)
    return affinity.translate(affinity.rotate(shape, math.degrees(turn), origin=(0, 0)), *at)


def blob(at, radius, rng, count=9, rough=0.3):
    angles = np.sort(np.array([rng.uniform(0, 2 * math.pi) for _ in range(count)]))
    r = radius * np.array([rng.uniform(1 - rough, 1 + rough) for _ in range(count)])
    ring = np.column_stack([at[0] + r * np.cos(angles), at[1] + r * np.sin(angles)])
    return Polygon(ring).buffer(radius * 0.25).buffer(-radius * 0.12)


def disc(at, radius):
    return Point(at).buffer(radius, quad_segs=12)


def ring(at, radius, width):
    return Point(at).buffer(radius, quad_segs=24).boundary.buffer(width / 2)


def star(at, radius, points, step, turn=0.0):
    """Corners of a star drawn in one go, crossing itself."""
    angles = turn + 2 * math.pi * step * np.arange(points) / points
    return np.column_stack([at[0] + radius * np.cos(angles), at[1] + radius * np.sin(angles)])


def shield(at, wide, high):
    x, y = at
    right = bezier(
        (x + wide / 2, y - high / 2), (x + wide / 2, y + high / 6), (x + wide / 4, y + high / 3),
        (x, y + high / 2), 24,
    )  # fmt: skip
    left = np.column_stack([2 * x - right[::-1, 0], right[::-1, 1]])
    return Polygon(np.concatenate([right, left])).buffer(0)


def letter(which, x, y, size, rng):
    """A letter of broad strokes with serifs, its counters light."""
    pen = size * rng.uniform(0.12, 0.2)
    bowl = Point(0, 0).buffer(1, quad_segs=16)
    parts = []
    if which in "BDPR":
        parts.append(shapely.box(0, 0, pen, size))
        for low, high in {
            "B": ((0, 0.52), (0.45, 1)), "D": ((0, 1),), "P": ((0, 0.55),), "R": ((0, 0.55),),
        }[which]:  # fmt: skip
            round_ = affinity.translate(
                affinity.scale(bowl, size * 0.55, size * (high - low) / 2),
                pen / 2, size * (high + low) / 2,
            ).intersection(shapely.box(0, 0, 2 * size, size))  # fmt: skip
            parts.append(round_.difference(round_.buffer(-pen * 0.8)))
        if which == "R":
            parts.append(LineString([(size * 0.2, size * 0.5), (size * 0.6, size)]).buffer(pen / 2))
    elif which == "A":
        parts.append(LineString([(0, size), (size * 0.35, 0), (size * 0.7, size)]).buffer(pen / 2))
        parts.append(LineString([(0.12 * size, 0.65 * size), (0.58 * size, 0.65 * size)]).buffer(pen / 4))  # fmt: skip
    else:
        oval = affinity.translate(
            affinity.scale(bowl, size * 0.38, size / 2), size * 0.38, size / 2
        )
        parts.append(oval.difference(affinity.scale(oval, 0.55, rng.uniform(0.6, 0.85))))
        if which == "Q":
            parts.append(brush(bezier((size * 0.4, size * 0.7), (size * 0.5, size), (size * 0.7, size), (size * 0.9, size * 1.1)), pen, 0.1))  # fmt: skip
    if which in "ABPR":
        parts.append(shapely.box(-pen * 0.6, size - pen * 0.3, pen * 1.6, size))
    return affinity.translate(shapely.union_all(parts), x, y)


def jittered(shape, rng: Random, size, step):
    """Outline as an old tracing gives it: many nodes, none quite in its place."""
    dense = shapely.segmentize(shape, step)
    dice = np.random.default_rng(rng.randrange(1 << 30))

    def moved(xy):
        places, which = np.unique(xy, axis=0, return_inverse=True)
        return (places + dice.normal(0, size, places.shape))[which.reshape(-1)]

    return shapely.transform(dense, moved).buffer(0)
