"""Odd drawings: openings at the edge, in islands, round themselves; slits, waves, arcs, tiles, combs, contacts."""

import math

import numpy as np
import shapely
from shapely import Polygon, affinity, box

from tests.make import circle, hexagon, rectangle, slot, square


def _at_the_edge(rng):
    cut = box(rng.uniform(5, 20), 0, rng.uniform(25, 30), rng.uniform(5, 15))
    return box(0, 0, 60, 40), [cut, circle(45, rng.uniform(18, 22), rng.uniform(5, 9))]


def _in_an_island(rng):
    ring = circle(30, 30, 20).difference(circle(30, 30, 15))
    tied = ring.difference(rectangle(30, 28, 30, rng.uniform(1, 4)))
    return box(0, 0, 60, 60), [tied, circle(30 + rng.uniform(-4, 4), 30, rng.uniform(3, 8))]


def _round_itself(rng):
    ring = circle(30, 30, rng.uniform(15, 22))
    ring = ring.difference(circle(30 + rng.uniform(-2, 2), 30, rng.uniform(6, 12)))
    gap = rng.uniform(0.5, 6)
    tie = affinity.rotate(rectangle(30, 30 - gap / 2, 40, gap), rng.uniform(0, 360), (30, 30))
    return box(0, 0, 60, 60), [ring.difference(tie)]


def _in_contact(rng):
    side = rng.uniform(5, 10)
    return box(0, 0, 60, 40), [
        square(10, 10, side),
        square(10 + side, 10 + side, side),
        circle(45, 20, 6),
    ]


def _waves(rng):
    x = np.linspace(0, 50, 200)
    high, often = rng.uniform(0.5, 1.5), rng.uniform(0.2, 0.7)
    top = np.c_[x + 5, 20 + rng.uniform(1.2, 2) + high * np.sin(often * x)]
    foot = np.c_[x + 5, 18 - high * np.sin(often * x + rng.uniform(0, 3))]
    shapes = [np.r_[top, [[55, 34], [5, 34]]], np.r_[foot, [[55, 6], [5, 6]]]]
    return box(0, 0, 60, 40), [Polygon(s) for s in shapes]


def _slits(rng):
    slits = [rectangle(10, 8 + 5 * k, 60, rng.uniform(0.1, 0.5)) for k in range(5)]
    return box(0, 0, 80, 40), [affinity.rotate(s, rng.uniform(-3, 3)) for s in slits]


def _arcs(rng):
    cuts, inner = [], 8.0
    for _ in range(3):
        outer = inner + rng.uniform(2, 5)
        ring, turn = circle(0, 0, outer).difference(circle(0, 0, inner)), rng.uniform(0, 360)
        count = int(rng.integers(1, 4))
        for k in range(count):
            tie = rectangle(0, -1 - rng.uniform(0, 1), 60, 2)
            ring = ring.difference(affinity.rotate(tie, turn + 360 * k / count, (0, 0)))
        cuts += shapely.get_parts(ring).tolist()
        inner = outer + rng.uniform(0.8, 3)
    return box(-40, -40, 40, 40), cuts


def _tiles(rng):
    side, gap = rng.uniform(4, 9), rng.uniform(0.5, 3)
    step = side + gap
    tiles = [square(i * step, j * step, side) for i in range(4) for j in range(3)]
    return box(-6, -6, 4 * step + 6, 3 * step + 6), tiles


def _honeycomb(rng):
    side = rng.uniform(5, 8)
    step = side + rng.uniform(0.5, 3)
    cells = [
        hexagon((i + (j % 2) / 2) * step, j * step * math.sqrt(0.75), side)
        for i in range(3)
        for j in range(3)
    ]
    edge = shapely.union_all(cells).envelope.buffer(rng.uniform(1, 5), join_style="mitre")
    return edge, cells


def _mask(rng):
    edge = circle(0, 0, 30).union(circle(35, 0, 30)).difference(rectangle(10, 18, 15, 30))
    eyes = [circle(-5, 0, rng.uniform(6, 12)), circle(40, 0, rng.uniform(6, 12))]
    nose = affinity.rotate(slot(10, 0, 12, rng.uniform(2, 6)), rng.uniform(0, 180))
    return edge.difference(circle(17.5, -34, 14)), [*eyes, nose]


def _stars(rng):
    cuts = []
    for k in range(5):
        angle = np.sort(rng.uniform(0, 2 * np.pi, rng.integers(3, 9)))
        far = rng.uniform(3, 11, len(angle))
        star = Polygon(np.c_[10 + 12 * k + 0.6 * far * np.cos(angle), 25 + far * np.sin(angle)])
        star = star.buffer(0).difference(shapely.union_all(cuts).buffer(rng.uniform(0.3, 2)))
        cuts += [part for part in shapely.get_parts(star).tolist() if part.area > 1]
    return box(0, 0, 70, 50), cuts


def _comb(rng):
    count = int(rng.integers(3, 6))
    comb = rectangle(8, 8, 54, 5)
    for k in range(count):
        wide = 52 / count - rng.uniform(1, 5)
        comb = comb.union(rectangle(10 + k * 52 / count, 8, wide, rng.uniform(12, 30)))
    return box(0, 0, 70, 50), [comb]


KINDS = {
    kind.__name__.strip("_").replace("_", " "): kind
    for kind in (
        _at_the_edge,
        _in_an_island,
        _round_itself,
        _in_contact,
        _waves,
        _slits,
        _arcs,
        _tiles,
        _honeycomb,
        _mask,
        _stars,
        _comb,
    )
}


def odd_land(kind, seed):
    """Land of one odd drawing; every second one is turned off the axes."""
    rng = np.random.default_rng(seed)
    outline, cuts = KINDS[kind](rng)
    land = outline.difference(shapely.union_all(cuts))
    return affinity.rotate(land, rng.uniform(0, 360), origin=(0, 0)) if seed % 2 else land
