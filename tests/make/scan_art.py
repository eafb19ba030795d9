"""Line drawings with known centre lines, for scans and photos: four families, any seed.

Everything is mm, y down. Lines that meet share the very point, so that the drawing's own fields are the
faces of its lines.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.ops import polygonize, unary_union

PAGE = (80.0, 60.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Art:
    """Centre lines `(n, 2)` and their widths; `fields` may be marked; `motifs` are never to be opened."""

    size: tuple[float, float]
    lines: tuple[np.ndarray, ...]
    widths: tuple[float, ...]

    @property
    def fields(self) -> tuple[Polygon, ...]:
        """Faces of the lines."""
        return tuple(polygonize(unary_union([LineString(line) for line in self.lines])))


def bezier(*points, steps=48) -> np.ndarray:
    """A flattened cubic."""
    p = np.asarray(points, float)
    t = np.linspace(0, 1, steps + 1)[:, None]
    u = 1 - t
    return u**3 * p[0] + 3 * u * u * t * p[1] + 3 * u * t * t * p[2] + t**3 * p[3]


def border(size, inset=4.0, radius=5.0) -> np.ndarray:
    """A closed border with round corners."""
    w, h = size
    ring = shapely.box(inset + radius, inset + radius, w - inset - radius, h - inset - radius)
    return np.asarray(ring.buffer(radius, quad_segs=24).exterior.coords)


def plain_border(size, inset=4.0) -> np.ndarray:
    """A closed border with square corners."""
    w, h = size
    return np.array(
        [
            (inset, inset),
            (w - inset, inset),
            (w - inset, h - inset),
            (inset, h - inset),
            (inset, inset),
        ]
    )


def vine(seed: int, size=PAGE) -> Art:
    """A waving stem from side to side with pointed leaves, some with a vein."""
    rng = np.random.default_rng(seed)
    w, h = size
    amp, waves = rng.uniform(0.1, 0.16) * h, rng.uniform(1.2, 2.0)
    x = np.linspace(4, w - 4, 400)
    phase = rng.uniform(0, 6.28)
    stem = np.column_stack([x, h / 2 + amp * np.sin(phase + waves * 2 * np.pi * x / w)])
    lines = [border(size), stem]
    pitch = rng.uniform(9, 12)
    for k, at in enumerate(np.arange(10, w - 12, pitch)):
        i = int(np.argmin(np.abs(x - at)))
        j = int(np.argmin(np.abs(x - at - rng.uniform(1.6, 2.4))))
        side = 1 if k % 2 else -1
        reach = rng.uniform(0.2, 0.27) * h
        tip = (stem[i] + stem[j]) / 2 + (rng.uniform(-2, 3), side * reach)
        tip[1] = np.clip(tip[1], 8, h - 8)
        mid = (stem[i] + tip) / 2
        wide = rng.uniform(2.6, 3.6)
        lines.append(
            bezier(stem[i], stem[i] + (-wide, side * 1.5), mid + np.array((-wide, side * 2)), tip)
        )
        lines.append(
            bezier(stem[j], stem[j] + (wide, side * 1.5), mid + np.array((wide, side * 2)), tip)
        )
        if k % 3 == 0:
            lines.append(
                bezier(
                    mid + np.array((0, -side * 1.5)),
                    mid,
                    mid + np.array((0.4, side * 1)),
                    mid + np.array((0.3, side * 2.5)),
                )
            )
    return Art(size=size, lines=tuple(lines), widths=widths(rng, len(lines)))


def lattice(seed: int, size=PAGE) -> Art:
    """Slanting bars crossing each other inside a square border."""
    rng = np.random.default_rng(seed)
    frame = plain_border(size)
    inside = Polygon(frame)
    lines = [frame]
    for angle in (rng.uniform(25, 65), rng.uniform(-65, -25)):
        a = np.radians(angle)
        along, across = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
        step = rng.uniform(8, 12)
        middle = np.array(size) / 2
        for k in np.arange(-8, 9):
            start = middle + across * k * step
            cut = LineString([start - along * 200, start + along * 200]).intersection(inside)
            if cut.length > 6:
                lines.append(np.linspace(cut.coords[0], cut.coords[-1], 40))
    return Art(size=size, lines=tuple(lines), widths=widths(rng, len(lines)))


def rosette(seed: int, size=PAGE) -> Art:
    """A ring of pointed petals round a middle circle, in a border."""
    rng = np.random.default_rng(seed)
    h = size[1]
    middle = np.array(size) / 2
    inner, outer = rng.uniform(0.09, 0.12) * h, rng.uniform(0.32, 0.36) * h
    turn = np.append(np.linspace(0, 2 * np.pi, 180, endpoint=False), 0.0)
    count = int(rng.integers(6, 10))
    lean = rng.uniform(-0.2, 0.2)
    gap = np.pi / count * 0.75
    feet = {
        (k, side): np.mod(2 * np.pi * k / count + side * gap * 0.9, 2 * np.pi)
        for k in range(count)
        for side in (-1, 1)
    }
    ring = np.sort(np.append(turn[:-1], list(feet.values())))
    ring = np.append(ring, ring[0])
    lines = [border(size), middle + inner * np.column_stack([np.cos(ring), np.sin(ring)])]
    lines.append(middle + (outer + 2.2) * np.column_stack([np.cos(turn), np.sin(turn)]))
    for k in range(count):
        a = 2 * np.pi * k / count

        def at(r, angle):
            return middle + r * np.array([np.cos(angle), np.sin(angle)])

        tip = at(outer, a + lean)
        lines += [
            bezier(
                at(inner, feet[k, side]),
                at((inner + outer) / 2, a + side * gap * 1.1),
                at(outer * 0.85, a + lean + side * gap * 0.7),
                tip,
            )
            for side in (-1, 1)
        ]
    return Art(size=size, lines=tuple(lines), widths=widths(rng, len(lines)))


def scroll(seed: int, size=PAGE) -> Art:
    """Spirals that end free, drops, and a band of tiles with sharp corners."""
    rng = np.random.default_rng(seed)
    w, h = size
    lines = [plain_border(size)]
    top = h * 0.62
    lines.append(np.array([(4.0, top), (w - 4.0, top)]))
    count = int(rng.integers(3, 5))
    for k in range(count):
        cx = 4 + (w - 8) * (k + 0.5) / count
        cy = top - rng.uniform(0.24, 0.27) * h
        turn = np.linspace(0, rng.uniform(2.6, 3.6) * np.pi, 300)
        r = np.linspace(1.6, min(0.2 * h, (w - 8) / count * 0.36), 300)
        spiral = np.array([cx, cy]) + r[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
        out = spiral[-1] - spiral[-2]
        out /= np.hypot(*out)
        foot = np.array([cx + rng.uniform(-1, 1), top])
        lines.append(
            np.vstack(
                [
                    spiral,
                    bezier(spiral[-1], spiral[-1] + out * 5, foot + np.array((0, -4)), foot)[1:],
                ]
            )
        )
    step = (w - 8) / int(rng.integers(6, 9))
    for k in range(round((w - 8) / step)):
        x0 = 4 + k * step
        zig = [(x0, top), (x0 + step / 2, h - 4), (x0 + step, top)]
        lines.append(np.array(zig))
        lean = rng.uniform(-0.5, 0.5)
        c = np.array([x0 + step / 2, top + (h - 4 - top) * 0.36])
        d = step * 0.2
        lines.append(
            c + np.array([(-d, -d), (d, -d + lean), (d * 0.6, d), (-d * 0.6, d), (-d, -d)])
        )
    return Art(size=size, lines=tuple(lines), widths=widths(rng, len(lines)))


def widths(rng, count: int) -> tuple[float, ...]:
    """Stroke widths of one hand: near one value."""
    base = rng.uniform(0.4, 0.55)
    return tuple(float(v) for v in base * rng.uniform(0.9, 1.1, count))


FAMILIES = {"vine": vine, "lattice": lattice, "rosette": rosette, "scroll": scroll}
