"""Shapes, faces with openings and perforated plates, mm, y down."""

import math

import numpy as np
import shapely
from shapely import affinity

from filigree.geometry.curves import CurveTable
from filigree.pattern import Opening, Pattern

NO_CURVES = CurveTable(
    cubics=np.zeros((0, 4, 2)),
    starts=np.zeros((0, 2)),
    ends=np.zeros((0, 2)),
    curve=np.zeros(0, dtype=np.int64),
    spans=np.zeros((0, 2)),
)


def segments(radius, tolerance):
    """Chords of a whole circle within `tolerance` mm (handbook 9), a multiple of 12."""
    count = math.pi / math.acos(1 - min(tolerance / radius, 0.5))
    return 12 * math.ceil(count / 12)


def circle(x, y, radius, tolerance=0.005):
    """A disc round (x, y); vertices on the true circle, four of them on the axes."""
    angle = np.arange(segments(radius, tolerance)) * 2 * np.pi / segments(radius, tolerance)
    return shapely.Polygon(np.c_[x + radius * np.cos(angle), y + radius * np.sin(angle)])


def rectangle(x, y, width, height):
    """A rectangle with its top left corner at (x, y)."""
    return shapely.box(x, y, x + width, y + height)


def square(x, y, side):
    """A square with its top left corner at (x, y)."""
    return rectangle(x, y, side, side)


def hexagon(x, y, flats):
    """A regular hexagon round (x, y), `flats` wide across flats; two flats face along x."""
    angle = np.radians(np.arange(30, 390, 60))
    radius = flats / math.sqrt(3)
    return shapely.Polygon(np.c_[x + radius * np.cos(angle), y + radius * np.sin(angle)])


def slot(x, y, length, width, tolerance=0.005):
    """A slot with round ends along x, `length` over all, round (x, y)."""
    half = (length - width) / 2
    count = segments(width / 2, tolerance) // 2
    angle = np.linspace(-np.pi / 2, np.pi / 2, count + 1)
    right = np.c_[x + half + width / 2 * np.cos(angle), y + width / 2 * np.sin(angle)]
    left = np.c_[x - half - width / 2 * np.cos(angle), y - width / 2 * np.sin(angle)]
    return shapely.Polygon(np.concatenate([right, left]))


def polygon(*points):
    """A polygon through the points."""
    return shapely.Polygon(points)


def _outline(openings, margin):
    left, top, right, bottom = shapely.total_bounds(np.array(openings, dtype=object))
    return shapely.box(left - margin, top - margin, right + margin, bottom + margin)


def land(*openings, outline=None, margin=20.0, turn=0.0):
    """Outline minus openings; the outline is a rectangle `margin` outside all openings."""
    outer = _outline(openings, margin) if outline is None else outline
    face = outer.difference(shapely.union_all(np.array(openings, dtype=object)))
    return affinity.rotate(face, turn, origin=(0, 0))


def opening(number, shape, inlay="red"):
    """An opening of one region."""
    at = shapely.point_on_surface(shape)
    return Opening(
        id=number, regions=(number,), shape=shape, at=(at.x, at.y), area_mm2=shape.area, inlay=inlay
    )


def pattern(*openings, outline=None, margin=20.0):
    """A pattern with the openings numbered from 1 in the order given."""
    outer = _outline(openings, margin) if outline is None else outline
    _, _, right, bottom = outer.bounds
    return Pattern(
        width=right,
        height=bottom,
        outline=outer,
        openings=tuple(opening(k, shape) for k, shape in enumerate(openings, 1)),
        land=outer.difference(shapely.union_all(np.array(openings, dtype=object))),
        curves=NO_CURVES,
    )


def square_grid(columns, rows, pitch):
    """Centres on a square grid, `(n, 2)`."""
    x, y = np.meshgrid(np.arange(columns) * float(pitch), np.arange(rows) * pitch)
    return np.c_[x.ravel(), y.ravel()]


def staggered(columns, rows, pitch):
    """Centres of a 60-degree pattern with rows along x, `(n, 2)`."""
    x, y = np.meshgrid(np.arange(columns) * float(pitch), np.arange(rows) * pitch * math.sqrt(0.75))
    x += (np.arange(rows)[:, None] % 2) * pitch / 2
    return np.c_[x.ravel(), y.ravel()]


def plate(shape, centres, margin=20.0):
    """Copies of `shape` (made round the origin) at the centres, as openings of one land."""
    ring = shapely.get_coordinates(shape.exterior)
    rings = shapely.linearrings(ring[None] + np.asarray(centres)[:, None])
    left, top, right, bottom = shapely.total_bounds(rings)
    outer = shapely.box(left - margin, top - margin, right + margin, bottom + margin)
    return shapely.polygons(shapely.get_exterior_ring(outer), rings)
