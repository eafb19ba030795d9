"""Frames: outlines and borders that the generated pieces sit in."""

import numpy as np
import shapely
from shapely import Polygon, affinity

from tests.make.families.scene import Frame
from tests.make.families.strokes import FLAT, disc, spline


def strip(rng, *, long=None, tall=None, rim=None, bands=None):
    """A belt or cuff: straight or round-ended, wide and low."""
    long = long or rng.uniform(150, 260)
    tall = tall or rng.uniform(36, 80)
    shape = shapely.box(0, 0, long, tall)
    ends = rng.integers(0, 3)
    if ends == 1:
        shape = shape.buffer(-tall * 0.2).buffer(tall * 0.2, quad_segs=32)
    elif ends == 2:
        shape = bracer(long, tall)
    return framed(rng, shape, rim, bands)


def panel(rng, *, size=None, rim=None, bands=None):
    """A panel: rectangle, rounded, oval, shield or flap."""
    size = size or rng.uniform(90, 170)
    w, h = size, size * rng.uniform(0.75, 1.3)
    kind = rng.integers(0, 5)
    if kind == 0:
        shape = shapely.box(0, 0, w, h)
    elif kind == 1:
        shape = shapely.box(0, 0, w, h).buffer(-0.2 * w).buffer(0.2 * w, quad_segs=32)
    elif kind == 2:
        shape = affinity.scale(disc(0, 0, w / 2), 1, h / w)
    elif kind == 3:
        shape = flap(w, h)
    else:
        shape = bracer(w, h)
    return framed(rng, shape, rim, bands)


def roundel(rng, *, size=None, rim=None, bands=None):
    """A round piece about the origin."""
    return framed(rng, disc(0, 0, (size or rng.uniform(90, 160)) / 2), rim, bands)


def framed(rng, shape, rim=None, bands=None):
    """Rim and up to two border lines round the field; `rim` 0 leaves the outline alone."""
    if rim is None:
        rim = 0.0 if rng.random() < 0.2 else rng.uniform(3.5, 9)
    if rim == 0:
        return Frame(outline=shape, field=shape)
    field = inset(shape, rim)
    borders = [field]
    if bands if bands is not None else rng.random() < 0.25:
        field = inset(field, rng.uniform(1.8, 4))
        borders.append(field)
    return Frame(outline=shape, field=field, borders=tuple(borders))


def inset(shape, by):
    """Shape smaller all round."""
    return shape.buffer(-by, quad_segs=32, join_style="mitre").simplify(FLAT)


def bracer(w, h):
    """Cuff with bowed long sides and slanting ends."""
    x = np.linspace(0, 1, 60)
    top = np.column_stack([w * (0.04 + 0.92 * x), h * 0.07 * (1 - np.sin(np.pi * x))])
    low = np.column_stack([w * (1 - x), h * (1 - 0.06 * (1 - np.sin(np.pi * x)))])
    return Polygon(np.vstack([top, low])).simplify(FLAT)


def flap(w, h):
    """Satchel flap: straight top, full rounded foot."""
    foot = spline(
        [(w, h * 0.45), (w * 0.93, h * 0.78), (w * 0.5, h), (w * 0.07, h * 0.78), (0, h * 0.45)]
    )
    return Polygon(np.vstack([[(0, 0), (w, 0)], foot])).simplify(FLAT)
