"""Motifs whose own lines run side by side as hatching does, at any size and turn: none of them is a mark."""

import numpy as np
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Point, Polygon

from tests.make.scan_art import Art, bezier, plain_border, widths

SIZE = (70.0, 50.0)
Lines = list[np.ndarray]


def feather(rng) -> Lines:
    """A quill with barbs from shaft to vane on both sides."""
    long, wide = rng.uniform(26, 34), rng.uniform(4, 6)
    top, bottom = (
        bezier((0, 0), (long * 0.2, s * wide * 1.3), (long * 0.8, s * wide * 1.3), (long, 0))
        for s in (-1, 1)
    )
    vane = Polygon(np.vstack([top, bottom[::-1]]))
    out = [top, bottom, np.array([(-4.0, 0.0), (long, 0.0)])]
    slant = np.radians(rng.uniform(35, 60))
    for x in np.arange(2.5, long - 2, rng.uniform(1.6, 2.6)):
        for s in (-1, 1):
            far = LineString([(x, 0), (x + 20 * np.cos(slant), s * 20 * np.sin(slant))])
            out.append(np.asarray(far.intersection(vane).coords))
    return out


def ladder(rng) -> Lines:
    """Two rails with rungs square across."""
    long, high, step = rng.uniform(30, 40), rng.uniform(3.5, 6), rng.uniform(1.8, 3)
    rails = [np.array([(0, y), (long, y)]) for y in (0.0, high)]
    ends = [np.array([(x, 0.0), (x, high)]) for x in (0.0, long)]
    rungs = [np.array([(x, 0), (x, high)]) for x in np.arange(step, long - step / 2, step)]
    return [*rails, *ends, *rungs]


def basket(rng) -> Lines:
    """Blocks of strands, level and upright by turns."""
    block, strands = rng.uniform(6, 8), int(rng.integers(3, 5))
    out = []
    for i in range(4):
        for j in range(3):
            x, y = i * block, j * block
            out.append(
                np.array([(x, y), (x + block, y), (x + block, y + block), (x, y + block), (x, y)])
            )
            for k in range(1, strands):
                d = k * block / strands
                one = [(x, y + d), (x + block, y + d)]
                out.append(np.array(one if (i + j) % 2 else [(x + d, y), (x + d, y + block)]))
    return out


def veined_leaf(rng) -> Lines:
    """A leaf with a midrib and straight veins that stop short of its edge."""
    long, wide = rng.uniform(26, 34), rng.uniform(7, 9)
    sides = [
        bezier((0, 0), (long * 0.25, s * wide * 1.3), (long * 0.7, s * wide), (long, 0))
        for s in (-1, 1)
    ]
    leaf = Polygon(np.vstack([sides[0], sides[1][::-1]]))
    out = [*sides, np.array([(0.0, 0.0), (long * 0.9, 0.0)])]
    slant = np.radians(rng.uniform(35, 55))
    for x in np.arange(3.5, long * 0.75, rng.uniform(2.2, 3.2)):
        for s in (-1, 1):
            ray = LineString([(x, 0), (x + 30 * np.cos(slant), s * 30 * np.sin(slant))])
            end = ray.intersection(leaf).length * rng.uniform(0.55, 0.75)
            out.append(np.array([(x, 0), (x + end * np.cos(slant), s * end * np.sin(slant))]))
    return out


def scales(rng) -> Lines:
    """Rows of round scales, each overlapping the next row."""
    r = rng.uniform(2.5, 3.5)
    out = []
    for row in range(4):
        for k in range(6):
            turn = np.linspace(0, np.pi, 40)
            at = np.array((k * 2 * r + (row % 2) * r, row * r))
            out.append(at + r * np.column_stack([np.cos(turn), np.sin(turn)]))
    return out


def echo(rng) -> Lines:
    """Frames in frames."""
    step = rng.uniform(1.5, 2.5)
    w, h = 32, 22
    return [
        np.array([(d, d), (w - d, d), (w - d, h - d), (d, h - d), (d, d)])
        for d in np.arange(0, 4 * step, step)
    ]


def rays(rng) -> Lines:
    """A sun: rays between two rings."""
    inner, outer, count = rng.uniform(4, 5), rng.uniform(10, 12), int(rng.integers(14, 22))
    out = [np.asarray(Point(0, 0).buffer(r, quad_segs=24).exterior.coords) for r in (inner, outer)]
    for k in range(count):
        way = np.array([np.cos(2 * np.pi * k / count), np.sin(2 * np.pi * k / count)])
        out.append(np.array([inner * way, outer * way]))
    return out


def waves(rng) -> Lines:
    """Bands of equal waves from side to side."""
    x = np.linspace(0, 40, 200)
    step, high = rng.uniform(1.8, 3), rng.uniform(1, 2)
    bands = [np.column_stack([x, k * step + high * np.sin(x / 3)]) for k in range(6)]
    ends = [np.array([b[i] for b in bands]) for i in (0, -1)]
    return [*bands, *ends]


MOTIFS = {
    "feather": feather,
    "ladder": ladder,
    "basket": basket,
    "veined leaf": veined_leaf,
    "scales": scales,
    "echo": echo,
    "rays": rays,
    "waves": waves,
}


def motif_art(name: str, seed: int) -> Art:
    """One motif, turned and put in the middle of a bordered sheet."""
    rng = np.random.default_rng(seed + 300)
    own = MOTIFS[name](rng)
    whole = LineString(np.vstack(own))
    turn = rng.uniform(0, 360)
    turned = rotate(whole, turn, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    by = (SIZE[0] / 2 - (x0 + x1) / 2, SIZE[1] / 2 - (y0 + y1) / 2)
    placed = [
        np.asarray(translate(rotate(LineString(v), turn, origin=(0, 0)), *by).coords) for v in own
    ]
    lines = (plain_border(SIZE, 1.5), *placed)
    return Art(size=SIZE, lines=lines, widths=widths(rng, len(lines)))
