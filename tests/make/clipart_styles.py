"""Styles of clip art: each gives forms in painting order on about 100 x 100 mm, as two-tone ornaments are built."""

import math
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, Polygon, affinity

from tests.make.clipart_forms import (
    bezier,
    blob,
    brush,
    disc,
    ink,
    leaf,
    letter,
    outline_of,
    paper,
    ring,
    self_crossing,
    shield,
    spiral,
    star,
    stroke,
    swell,
    wave,
)  # fmt: skip

ROUND = 2 * math.pi


def _at(line, share):
    i = min(len(line) - 2, int(share * (len(line) - 1)))
    step = line[i + 1] - line[i]
    return line[i], math.atan2(step[1], step[0])


def _veined(shape, at, long, turn, rng):
    """A leaf with its midrib and side veins in light tapering strokes, or dark ones on a light leaf."""
    tip = (at[0] + 0.85 * long * math.cos(turn), at[1] + 0.85 * long * math.sin(turn))
    forms = [ink(shape)]
    dark = rng.random() < 0.4
    if dark:
        forms.append(paper(shape.buffer(-rng.uniform(0.25, 0.7))))
    make = ink if dark else paper
    rib = bezier(at, (at[0] + rng.uniform(-2, 2), at[1] + rng.uniform(-2, 2)), tip, tip, 20)
    forms.append(make(brush(rib, rng.uniform(0.4, 1.2), 0.08)))
    for k in range(rng.randrange(0, 5)):
        base, along = _at(rib, 0.15 + 0.15 * k)
        side = along + rng.choice([-1, 1]) * rng.uniform(0.5, 0.9)
        reach = rng.uniform(0.1, 0.3) * long
        end = (base[0] + reach * math.cos(side), base[1] + reach * math.sin(side))
        forms.append(make(brush(np.linspace(base, end, 8), rng.uniform(0.3, 0.7), 0.06)))
    return forms


def vine(rng):
    line = wave((4, rng.uniform(40, 60)), (96, 50), rng.uniform(10, 20), rng.choice([1, 1.5, 2]))
    forms = [ink(brush(line, rng.uniform(1.5, 4), 0.6))]
    for _ in range(rng.randrange(10, 18)):
        at, along = _at(line, rng.uniform(0.02, 0.98))
        turn = along + rng.choice([-1, 1]) * rng.uniform(0.5, 1.4)
        long = rng.uniform(9, 20)
        if rng.random() < 0.7:
            forms += _veined(leaf(at, long, long * rng.uniform(0.35, 0.6), turn, rng, rng.choice([0, 0, 3])), at, long, turn, rng)  # fmt: skip
        else:
            curl = spiral((at[0] + 6 * math.cos(turn), at[1] + 6 * math.sin(turn)), 6, 1.3, turn + math.pi)  # fmt: skip
            forms.append(ink(brush(curl, rng.uniform(0.5, 1.6), 0.15)))
    for _ in range(rng.randrange(0, 9)):
        at = (rng.uniform(10, 90), rng.uniform(25, 75))
        r = rng.uniform(1.2, 3)
        forms += [ink(disc(at, r)), paper(disc((at[0] - r / 4, at[1] - r / 4), r * rng.uniform(0.3, 0.75)))]  # fmt: skip
    return forms


def scrolls(rng):
    forms, count = [], rng.randrange(3, 7)
    for k in range(count):
        turn = ROUND * k / count
        curl = spiral((50 + 26 * math.cos(turn), 50 + 26 * math.sin(turn)), rng.uniform(10, 16), rng.uniform(1.2, 2.4), turn + math.pi, rng.choice([-1, 1]))  # fmt: skip
        forms.append(ink(brush(curl, rng.uniform(2.5, 5), 0.3)))
        if rng.random() < 0.6:
            forms.append(paper(brush(curl[:70], rng.uniform(0.5, 1.4), 0.1)))
        for share in (0.1, 0.3, 0.5):
            at, along = _at(curl, share)
            forms.append(ink(leaf(at, rng.uniform(6, 12), rng.uniform(2, 5), along + rng.uniform(0.3, 1.2), rng)))  # fmt: skip
    if rng.random() < 0.7:
        forms.append(ink(ring((50, 50), 45, rng.uniform(0.3, 2))))
    return forms


def acanthus(rng):
    forms = []
    for k in range(rng.randrange(6, 12)):
        turn = ROUND * k / 9 + rng.uniform(-0.1, 0.1)
        at = (50 + 8 * math.cos(turn), 50 + 8 * math.sin(turn))
        shape = leaf(at, rng.uniform(28, 38), rng.uniform(14, 20), turn, rng, rng.choice([4, 5, 6]))
        forms += _veined(shape, at, 30, turn, rng)
        forms.append(paper(shape.buffer(-1.2).boundary.buffer(rng.uniform(0.1, 0.35))))
    forms += [ink(disc((50, 50), 10)), paper(disc((50, 50), 8)), ink(disc((50, 50), 6))]
    return forms


def beast(rng):
    parts = [blob((50, 52), 20, rng), blob((72, 34), 10, rng)]
    for _ in range(rng.randrange(5, 9)):
        turn = rng.uniform(0, ROUND)
        base = (50 + 18 * math.cos(turn), 52 + 14 * math.sin(turn))
        end = (base[0] + rng.uniform(-26, 26), base[1] + rng.uniform(-26, 26))
        parts.append(brush(bezier(base, (base[0] + 10, base[1] - 10), (end[0] - 8, end[1] + 8), end), rng.uniform(4, 9), 0.2))  # fmt: skip
    forms = [ink(shapely.union_all(parts))]
    for _ in range(rng.randrange(8, 20)):
        x, y = rng.uniform(30, 76), rng.uniform(34, 70)
        if rng.random() < 0.6:
            bow = bezier((x, y), (x + 5, y + 2), (x + 8, y - 4), (x + rng.uniform(6, 16), y + rng.uniform(-6, 6)))  # fmt: skip
            forms.append(paper(swell(bow, rng.uniform(0.5, 2.2))))
        else:
            r = rng.uniform(0.8, 3.5)
            forms += [paper(disc((x, y), r)), ink(disc((x, y), r * rng.uniform(0.2, 0.6)))]
    tail = spiral((24, 44), 12, 1.6, 0.5)
    forms.append(ink(brush(tail, 3, 0.4)))
    return forms


def letters(rng):
    forms = []
    for k in range(5):
        shape = letter(rng.choice("ABDOPQR"), 4 + 19 * k, rng.uniform(26, 34), rng.uniform(22, 36), rng)  # fmt: skip
        forms.append(ink(shape))
        if rng.random() < 0.4:
            forms.append(paper(shape.buffer(-rng.uniform(0.4, 0.9))))
        flourish = spiral((10 + 18 * k, 78), 7, 1.4, rng.uniform(0, 6))
        forms.append(ink(brush(flourish, 1.4, 0.15)))
    if rng.random() < 0.6:
        frame = shapely.box(1, 10, 99, 95)
        forms.append(ink(frame.boundary.buffer(rng.uniform(0.2, 1.5), join_style="mitre")))
    return forms


def border(rng):
    count, tile = rng.randrange(5, 9), 0.0
    tile = 96 / count
    miss = rng.choice([0.0, 0.01, -0.01, 0.03])
    forms = []
    w = rng.uniform(0.4, 1.4)
    for y in (2, 98 - tile):
        for k in range(count):
            x = 2 + k * (tile + miss)
            box = shapely.box(x, y, x + tile, y + tile)
            forms.append(ink(box.difference(box.buffer(-w, join_style="mitre"))))
            at = (x + tile / 2, y + tile / 2)
            forms += [ink(disc(at, tile * 0.33)), paper(disc(at, tile * 0.24))]
            for turn in range(4):
                petal = leaf(at, tile * 0.42, tile * 0.2, turn * math.pi / 2 + math.pi / 4, rng)
                forms.append(ink(petal))
                forms.append(paper(petal.buffer(-tile * rng.uniform(0.02, 0.05))))
    for x in (2, 98 - w):
        forms.append(ink(shapely.box(x, 2 + tile + miss, x + w, 98 - tile)))
    return forms


def rosette(rng):
    forms, count = [], rng.randrange(6, 15)
    for band in range(3):
        r = 12 + 13 * band
        wide = ROUND * r / count * rng.uniform(0.5, 1.1)
        edge = rng.choice([0.3, 0.5, 0.8])
        for k in range(count):
            turn = ROUND * (k + 0.5 * (band % 2)) / count
            at = (50 + (r - 10) * math.cos(turn), 50 + (r - 10) * math.sin(turn))
            petal = leaf(at, 15, wide, turn, rng)
            forms += [ink(petal), paper(petal.buffer(-edge))]
            if rng.random() < 0.5:
                forms.append(ink(brush(np.linspace(at, (at[0] + 9 * math.cos(turn), at[1] + 9 * math.sin(turn)), 10), 0.7, 0.06)))  # fmt: skip
    forms += [ink(disc((50, 50), 6)), paper(disc((50, 50), 4)), ink(star_shape((50, 50), 3.4))]
    return forms


def star_shape(at, radius, points=5):
    return Polygon(star(at, radius, points, 2)).buffer(0)


def knot(rng):
    """Interlace: each strand a dark band with light inside, on a light band that hides what it passes over."""
    forms = []
    for _ in range(rng.randrange(3, 7)):
        turn, r = rng.uniform(0, math.pi), rng.uniform(22, 42)
        oval = affinity.rotate(affinity.scale(disc((50, 50), r), 1, rng.uniform(0.3, 0.6)), math.degrees(turn)).boundary  # fmt: skip
        wide, gap = rng.uniform(2.5, 5), rng.uniform(0.3, 1)
        points = np.asarray(oval.coords)
        if rng.random() < 0.5:
            forms += [stroke(points, wide + 2 * gap, dark=False), stroke(points, wide)]
            if rng.random() < 0.7:
                forms.append(stroke(points, wide - rng.uniform(0.5, 1.4), dark=False))
        else:
            forms += [paper(oval.buffer(wide / 2 + gap)), ink(oval.buffer(wide / 2))]
            if rng.random() < 0.7:
                forms.append(paper(oval.buffer(wide / 2 - 0.6)))
    return forms


def emblem(rng):
    shape = shield((50, 50), 80, 92) if rng.random() < 0.6 else disc((50, 50), 45)
    forms, dark = [ink(shape)], True
    for _ in range(rng.randrange(1, 6)):
        shape, dark = shape.buffer(-rng.uniform(0.4, 4)), not dark
        forms.append(ink(shape) if dark else paper(shape))
    for _ in range(rng.randrange(5, 14)):
        at = (rng.uniform(28, 72), rng.uniform(24, 62))
        charge = rng.choice([
            star_shape(at, rng.uniform(3, 9)), leaf(at, rng.uniform(8, 20), rng.uniform(4, 8), rng.uniform(0, 6), rng, rng.choice([0, 4])),
            blob(at, rng.uniform(3, 8), rng), shield(at, 12, 14),
        ])  # fmt: skip
        forms.append(paper(charge) if dark else ink(charge))
        for k in range(rng.randrange(0, 3)):
            charge = charge.buffer(-rng.uniform(0.3, 1.2))
            forms.append(ink(charge) if dark == (k % 2 == 0) else paper(charge))
    if rng.random() < 0.5:
        fold = Polygon([(12, 78), (88, 78), (94, 90), (6, 90)])
        forms += [paper(fold.buffer(0.8)), ink(fold), paper(fold.buffer(-0.9))]
    return forms


def woodcut(rng):
    """Contours with hatching: tapering lines with free ends, fanned or parallel."""
    forms = []
    for _ in range(rng.randrange(4, 8)):
        shape = blob((rng.uniform(25, 75), rng.uniform(25, 75)), rng.uniform(10, 22), rng)
        forms += [ink(shape), paper(shape.buffer(-rng.uniform(0.4, 1)))]
        x, y, right, low = shape.bounds
        gap, slant = rng.uniform(0.8, 1.8), rng.uniform(-4, 4)
        for k in range(int((low - y) / gap)):
            level = y + k * gap
            line = shape.intersection(LineString([(x, level), (x + (right - x) * rng.uniform(0.3, 0.6), level + slant)]))  # fmt: skip
            if line.geom_type == "LineString" and line.length > 2:
                forms.append(ink(brush(np.linspace(*np.asarray(line.coords)[[0, -1]], 12), rng.uniform(0.3, 0.7), 0.06)))  # fmt: skip
    return forms


def damask(rng):
    """One half and its mirror image, meeting along the axis but for a hair."""
    half = []
    for _ in range(rng.randrange(7, 13)):
        at = (rng.uniform(8, 50), rng.uniform(8, 92))
        long = rng.uniform(12, 30)
        half += _veined(leaf(at, long, long * 0.45, rng.uniform(-1.5, 1.5), rng, rng.choice([0, 3, 5])), at, long, 0.0, rng)  # fmt: skip
    half.append(ink(brush(spiral((28, 70), 14, 1.5, 0), 4, 0.4)))
    miss = rng.choice([0.0, 0.01, -0.01, 0.02, -0.02])
    window = shapely.box(0, 0, 50, 100)
    forms = []
    for form in half:
        part = form.shape.intersection(window)
        if part.is_empty:
            continue
        mirrored = affinity.translate(affinity.scale(part, -1, 1, origin=(50, 0)), miss, 0)
        forms += [type(form)(p, ink=form.ink) for p in (part, mirrored)]
    return forms


def outlined(rng):
    """White shapes with dark outlines laid over one another."""
    forms = []
    for _ in range(rng.randrange(12, 30)):
        at = (rng.uniform(15, 80), rng.uniform(15, 80))
        shape = rng.choice([leaf(at, rng.uniform(12, 28), rng.uniform(6, 13), rng.uniform(0, 6), rng, rng.choice([0, 4])), blob(at, rng.uniform(4, 12), rng)])  # fmt: skip
        width = rng.uniform(0.3, 1.1)
        if rng.random() < 0.5 and shape.geom_type == "Polygon":
            forms += [paper(shape), stroke(np.asarray(shape.exterior.coords), width)]
        else:
            forms += [ink(shape.buffer(width / 2)), paper(shape.buffer(-width / 2))]
        if rng.random() < 0.5:
            forms.append(stroke(bezier(at, (at[0] + 3, at[1]), (at[0] + 4, at[1] + 4), (at[0] + 9, at[1] + 3), 12), width * 0.7))  # fmt: skip
    return forms


def flourish(rng):
    """Loops of a pen that swells, each one outline that crosses itself."""
    forms = []
    for _ in range(rng.randrange(4, 8)):
        t = np.linspace(0, ROUND * rng.uniform(1.2, 2.2), 150)
        a, b = rng.uniform(14, 30), rng.uniform(8, 20)
        line = np.column_stack([
            50 + a * np.sin(t * rng.choice([1, 2])) + rng.uniform(-10, 10) + t * rng.uniform(-1, 3),
            50 + b * np.cos(t * rng.choice([1, 1.5, 3])) + rng.uniform(-14, 14),
        ])  # fmt: skip
        widths = rng.uniform(0.5, 2.5) * (0.25 + np.sin(np.linspace(0, math.pi * 3, 150)) ** 2)
        forms.append(self_crossing([outline_of(line, widths)], rng.choice(["nonzero", "nonzero", "evenodd"])))  # fmt: skip
    forms.append(ink(star_shape((50, 50), 5)))
    return forms


def lattice(rng):
    forms, wide = [], rng.choice([0.6, 1.0, 1.6, 3.0, 5.0])
    gap = rng.uniform(11, 18)
    for k in range(-6, 14):
        for sign in (1, -1):
            line = LineString([(k * gap - 40, 50 - sign * 80), (k * gap + 80, 50 + sign * 80)]).intersection(shapely.box(6, 6, 94, 94))  # fmt: skip
            if not line.is_empty:
                forms.append(stroke(np.asarray(line.coords), wide))
    frame = shapely.box(6, 6, 94, 94).exterior
    forms.append(stroke(np.asarray(frame.coords), wide * rng.uniform(1, 2)))
    for _ in range(rng.randrange(3, 10)):
        at = (rng.uniform(15, 85), rng.uniform(15, 85))
        forms += [ink(disc(at, 3.4)), paper(disc(at, 2.4)), ink(disc(at, rng.uniform(0.4, 1.6)))]
    return forms


def feathers(rng):
    """Rows of overlapping feathers, each hiding part of those before it."""
    forms = []
    for row in range(rng.randrange(4, 7)):
        for k in range(rng.randrange(6, 10)):
            turn = -0.4 + 0.25 * k + rng.uniform(-0.03, 0.03)
            at = (20 + 3 * row, 80 - 9 * row)
            long = 62 - 9 * row
            shape = leaf(at, long, long * 0.2, turn - 1.2, rng)
            edge = rng.uniform(0.3, 0.6)
            forms += [ink(shape), paper(shape.buffer(-edge))]
            tip = (at[0] + 0.9 * long * math.cos(turn - 1.2), at[1] + 0.9 * long * math.sin(turn - 1.2))  # fmt: skip
            forms.append(ink(brush(np.linspace(at, tip, 16), 0.8, 0.1)))
    return forms


def tree(rng):
    """A silhouette of branches that meet by chance, with leaves as hundreds of specks."""
    parts, tips = [], [((50.0, 96.0), -math.pi / 2, 8.0, 20.0)]
    while tips:
        at, turn, wide, long = tips.pop()
        end = (at[0] + long * math.cos(turn), at[1] + long * math.sin(turn))
        parts.append(brush(bezier(at, ((at[0] + end[0]) / 2 + rng.uniform(-2, 2), (at[1] + end[1]) / 2), end, end, 12), wide, wide * 0.65))  # fmt: skip
        if wide > 1.1:
            tips += [(end, turn + s * rng.uniform(0.25, 0.8), wide * 0.62, long * rng.uniform(0.65, 0.95)) for s in (-1, 1)]  # fmt: skip
    leaves = [blob((rng.uniform(10, 90), rng.uniform(8, 60)), rng.uniform(0.4, 2.4), rng, 6) for _ in range(rng.randrange(100, 260))]  # fmt: skip
    forms = [ink(shapely.union_all(parts))]
    forms += [ink(shape) for shape in leaves]
    forms.append(ink(brush(np.linspace((10, 96), (90, 96), 8), 2.5, 1.0)))
    return forms


def compass(rng):
    points, step = rng.choice([(5, 2), (7, 3), (8, 3), (9, 4), (12, 5)])
    forms = [ink(ring((50, 50), 44, rng.uniform(0.5, 3)))]
    forms.append(self_crossing([star((50, 50), 42, points, step)], rng.choice(["evenodd", "nonzero"])))  # fmt: skip
    if rng.random() < 0.5:
        forms.append(self_crossing([star((50, 50), 26, points, step, 0.2)], "evenodd", dark=False))
    for k in range(points):
        turn = ROUND * (k + 0.5) / points
        at = (50 + 37 * math.cos(turn), 50 + 37 * math.sin(turn))
        forms += [ink(disc(at, 3.5)), paper(disc(at, 2.6))]
        if rng.random() < 0.5:
            forms.append(ink(disc(at, 1.2)))
    return forms


def linework(rng):
    """Lines drawn as thin filled shapes that meet, beside real strokes."""
    forms = []
    nodes = [(rng.uniform(10, 90), rng.uniform(10, 90)) for _ in range(14)]
    for a, b in pairwise(nodes):
        bow = bezier(a, (a[0] + rng.uniform(-20, 20), a[1]), (b[0], b[1] + rng.uniform(-20, 20)), b)
        if rng.random() < 0.6:
            forms.append(ink(swell(bow, rng.uniform(0.5, 1.6), rng.uniform(0.1, 0.5))))
        else:
            forms.append(stroke(bow, rng.uniform(0.25, 1.3)))
    forms.append(stroke(np.asarray(shapely.box(5, 5, 95, 95).exterior.coords), 0.7))
    return forms


STYLES = {
    style.__name__: style
    for style in (
        vine, scrolls, acanthus, beast, letters, border, rosette, knot, emblem, woodcut, damask,
        outlined, flourish, lattice, feathers, tree, compass, linework,
    )
}  # fmt: skip
