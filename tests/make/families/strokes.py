"""Shapes that motifs are made of: bands, leaves, flowers, blobs. All mm, all polygons."""

import itertools

import numpy as np
import shapely
from shapely import LineString, Polygon, affinity

FLAT = 0.008  # mm: how far a flattened curve may stray


def spline(points, *, closed=False, per=14):
    """Smooth curve through points `(n, 2)` (Catmull-Rom), `per` chords a span."""
    p = np.asarray(points, dtype=float)
    q = (
        np.vstack([p[-1], p, p[:2]])
        if closed
        else np.vstack([2 * p[0] - p[1], p, 2 * p[-1] - p[-2]])
    )
    t = np.linspace(0, 1, per, endpoint=False)[:, None]
    spans = [
        0.5
        * (
            2 * q[i + 1]
            + (q[i + 2] - q[i]) * t
            + (2 * q[i] - 5 * q[i + 1] + 4 * q[i + 2] - q[i + 3]) * t**2
            + (3 * q[i + 1] - q[i] - 3 * q[i + 2] + q[i + 3]) * t**3
        )
        for i in range(len(q) - 3)
    ]
    return np.vstack([*spans, q[-2][None]])


def normals(points):
    """Unit normals to the left of a polyline `(n, 2)`."""
    t = np.gradient(np.asarray(points, dtype=float), axis=0)
    t /= np.maximum(np.hypot(t[:, 0], t[:, 1]), 1e-12)[:, None]
    return np.column_stack([-t[:, 1], t[:, 0]])


def band(points, width, *, round_ends=True):
    """Band of one width, or of a width for each point (tapering stem)."""
    points = np.asarray(points, dtype=float)
    if np.ndim(width) == 0:
        cap = "round" if round_ends else "flat"
        return LineString(points).buffer(width / 2, quad_segs=24, cap_style=cap).simplify(FLAT)
    half = np.asarray(width, dtype=float)[:, None] / 2
    n = normals(points)
    ring = Polygon(np.vstack([points + n * half, (points - n * half)[::-1]]))
    if ring.is_valid:
        return ring.simplify(FLAT)
    discs = [
        shapely.Point(p).buffer(max(h, 0.05), quad_segs=16)
        for p, h in zip(points, half[:, 0], strict=True)
    ]
    hulls = [shapely.union_all([a, b]).convex_hull for a, b in itertools.pairwise(discs)]
    whole = shapely.union_all(hulls)
    return max(shapely.get_parts(whole), key=lambda g: g.area).simplify(FLAT)


def disc(x, y, r):
    """A round."""
    steps = max(24, int(np.pi / np.arccos(1 - FLAT / max(r, 0.1))))
    a = np.linspace(0, 2 * np.pi, steps, endpoint=False)
    return Polygon(np.column_stack([x + r * np.cos(a), y + r * np.sin(a)]))


def ring(x, y, outer, inner):
    """A round with a round hole."""
    return disc(x, y, outer).difference(disc(x, y, inner))


def place(shape, x, y, turn=0.0, size=1.0):
    """Scale about the origin, turn by radians, move to (x, y)."""
    c, s = np.cos(turn) * size, np.sin(turn) * size
    return affinity.affine_transform(shape, [c, -s, s, c, x, y])


def leaf(length, width, *, bend=0.0, fullness=1.0):
    """Pointed leaf from the origin along +x; `bend` is how far its middle strays, in widths.

    Returns:
        The leaf and its midrib, points `(n, 2)`.
    """
    t = np.linspace(0, 1, 40)
    spine = np.column_stack([t * length, bend * width * np.sin(np.pi * t) * 0.9])
    half = width / 2 * np.sin(np.pi * t**fullness) ** 0.85
    n = normals(spine)
    shape = Polygon(np.vstack([spine + n * half[:, None], (spine - n * half[:, None])[-2:0:-1]]))
    return whole(shape).simplify(FLAT), spine


def lobed(length, width, lobes, *, depth=0.35, bend=0.0):
    """Leaf with rounded lobes on both sides, as of acanthus or oak, with its midrib."""
    t = np.linspace(0, 1, 40 + 24 * lobes)
    spine = np.column_stack([t * length, bend * width * np.sin(np.pi * t)])
    scallop = np.abs(np.sin(np.pi * lobes * t)) ** 0.6
    half = width / 2 * np.sin(np.pi * t**0.75) ** 0.7 * (1 - depth + depth * scallop)
    n = normals(spine)
    shape = Polygon(np.vstack([spine + n * half[:, None], (spine - n * half[:, None])[-2:0:-1]]))
    return whole(shape).simplify(FLAT), spine


def flower(r, petals, *, depth=0.3, turn=0.0):
    """Scalloped round flower about the origin."""
    a = np.linspace(0, 2 * np.pi, 60 * max(petals, 3), endpoint=False)
    radius = r * (1 - depth + depth * np.abs(np.cos(petals * (a - turn) / 2)) ** 0.8)
    return Polygon(np.column_stack([radius * np.cos(a), radius * np.sin(a)])).simplify(FLAT)


def blob(rng, r, *, wobble=0.2, waves=4):
    """Smooth closed shape about the origin, near a round of radius r."""
    a = np.linspace(0, 2 * np.pi, 150, endpoint=False)
    radius = np.full_like(a, r)
    for k in range(2, waves + 1):
        radius += r * wobble * rng.uniform(0.2, 1) / k * np.cos(k * a + rng.uniform(0, 6.3))
    return Polygon(np.column_stack([radius * np.cos(a), radius * np.sin(a)])).simplify(FLAT)


def star(r, points, inner=0.45):
    """Star with straight edges."""
    a = np.pi * np.arange(2 * points) / points
    radius = np.where(np.arange(2 * points) % 2 == 0, r, r * inner)
    return Polygon(np.column_stack([radius * np.cos(a), radius * np.sin(a)]))


def heart(r):
    """Heart about the origin, about 2 r high."""
    a = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    x = 16 * np.sin(a) ** 3
    y = -(13 * np.cos(a) - 5 * np.cos(2 * a) - 2 * np.cos(3 * a) - np.cos(4 * a))
    return whole(Polygon(np.column_stack([x, y]) * r / 16)).simplify(FLAT)


def moon(r):
    """Crescent about the origin."""
    return disc(0, 0, r).difference(disc(0.45 * r, 0, 0.8 * r))


def spiral(x, y, r, turns, *, start=0.0, hand=1.0, inner=0.12):
    """Points of a spiral from radius r inwards."""
    t = np.linspace(0, 1, int(60 * turns) + 20)
    radius = r * (1 - t) + inner * r * t
    a = start + hand * 2 * np.pi * turns * t
    return np.column_stack([x + radius * np.cos(a), y + radius * np.sin(a)])


def whole(shape):
    """The largest valid polygon of a shape that may cross itself."""
    if shape.is_valid:
        return shape
    return max(shapely.get_parts(shape.buffer(0)), key=lambda g: g.area)
