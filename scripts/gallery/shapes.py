"""Shapes of the drawing kit: tapered stems, leaves, rounded forms, frames. Lengths mm, angles degrees, y down."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from scripts.gallery.curves import Points, normals, points, smooth, spline
from scripts.gallery.face import Motif

Pairs = Sequence[Sequence[float]] | Points


def stem(through: Pairs, widths: Sequence[float], at: Sequence[float] | None = None) -> Motif:
    """A stroke along a spline whose width runs through `widths` (at even or given stations 0..1)."""
    return Motif(area=stroke(spline(through), widths, at))


def stroke(
    line: Points, widths: Sequence[float], at: Sequence[float] | None = None, *, caps: bool = True
) -> Polygon | MultiPolygon:
    """Area of a stroke along a sampled line, its ends rounded unless `caps` is false."""
    stations = np.linspace(0, 1, len(widths)) if at is None else np.asarray(at)
    half = smooth(stations, widths, np.linspace(0, 1, len(line)))[:, None] / 2
    side = normals(line) * half
    left, right = line + side, line - side
    band = Polygon(np.vstack([left, right[::-1]]))
    if not band.is_valid:
        quads = [
            Polygon([left[k], left[k + 1], right[k + 1], right[k]]) for k in range(len(line) - 1)
        ]
        band = shapely.union_all([q.convex_hull for q in quads])
    if not caps:
        return band
    ends = [shapely.Point(line[k]).buffer(float(half[k, 0]), quad_segs=16) for k in (0, -1)]
    return shapely.union_all([band, *ends], grid_size=1e-5)


def leaf(
    spine: Pairs,
    width: float,
    *,
    belly: float = 0.4,
    ribs: int = 4,
    foot: float = 0.0,
    tip: float = 0.6,
) -> Motif:
    """A leaf along a spline: widest at `belly` of its length, `foot` and `tip` wide at its ends, with veins."""
    line = spline(spine)
    t = np.linspace(0, 1, len(line))
    form = t ** (belly / (1 - belly)) * (1 - t)
    ends = tip + (foot - tip) * (1 - t) ** 2
    half = np.hypot(width * form / form.max(), ends)[:, None] / 2
    side = normals(line) * half
    caps = [shapely.Point(line[k]).buffer(float(half[k, 0]), quad_segs=16) for k in (0, -1)]
    area = shapely.union_all(
        [Polygon(np.vstack([line + side, (line - side)[::-1]])).buffer(0), *caps], grid_size=1e-5
    )
    return Motif(area=area, veins=tuple(_veins(line, half[:, 0], ribs)))


def blob(through: Pairs) -> Motif:
    """A rounded form through points."""
    return Motif(area=Polygon(spline(through, closed=True)).buffer(0))


def rounded(corners: Pairs, radius: float) -> Polygon:
    """A straight-sided form with its corners rounded off."""
    form = Polygon(corners)
    return (
        form.buffer(-radius, quad_segs=24)
        .buffer(2 * radius, quad_segs=24)
        .buffer(-radius, quad_segs=24)
    )


def framed(*edges: Pairs, radius: float) -> Polygon:
    """A form from edges in turn (each a spline through points), its corners rounded."""
    return rounded(np.vstack([spline(edge) for edge in edges]), radius)


def inset(form: Polygon, by: float, radius: float = 0.0) -> Polygon:
    """A frame's inner line: the form drawn in by `by`, its corners of at least `radius`."""
    inner = form.buffer(-by - radius, quad_segs=32).buffer(radius, quad_segs=32)
    return max(inner.geoms, key=lambda g: g.area) if isinstance(inner, MultiPolygon) else inner


def joined(*motifs: Motif) -> Motif:
    """Several motifs as one: no line between them."""
    return Motif(
        area=shapely.union_all([m.area for m in motifs], grid_size=1e-5),
        veins=tuple(v for m in motifs for v in m.veins),
        over=tuple(o for m in motifs for o in m.over),
    )


def with_veins(motif: Motif, *veins: Pairs) -> Motif:
    """The motif with more inner lines, each through points."""
    fresh = tuple(v if isinstance(v, np.ndarray) else spline(v) for v in veins)
    return Motif(area=motif.area, veins=(*motif.veins, *fresh), over=motif.over)


def mirrored(motif: Motif, x: float) -> Motif:
    """The motif reflected at the upright line through `x`."""
    return _each(motif, (-1.0, 0.0, 0.0, 1.0, 2 * x, 0.0))


def placed(
    motif: Motif,
    *,
    at: Sequence[float] = (0, 0),
    turn: float = 0.0,
    size: float = 1.0,
    flip: bool = False,
) -> Motif:
    """The motif flipped left to right, sized, turned clockwise about its own zero, then moved."""
    c, s = size * math.cos(math.radians(turn)), size * math.sin(math.radians(turn))
    f = -1.0 if flip else 1.0
    return _each(motif, (f * c, -s, f * s, c, at[0], at[1]))


def _each(motif: Motif, m: tuple[float, ...]) -> Motif:
    def area(shape: BaseGeometry) -> BaseGeometry:
        return affinity.affine_transform(shape, m)

    turn = np.array([[m[0], m[2]], [m[1], m[3]]])
    veins = tuple(v @ turn + np.array(m[4:]) for v in motif.veins)
    return Motif(area=area(motif.area), veins=veins, over=tuple(area(o) for o in motif.over))


def _veins(line: Points, half: Points, ribs: int) -> list[Points]:
    """A midrib and curved side veins that leave it alternately."""
    if ribs < 0:
        return []
    n = len(line)
    out = [line[int(0.04 * n) : max(int(0.86 * n), int(0.04 * n) + 3)]]
    side, way = normals(line), np.gradient(line, axis=0)
    way /= np.hypot(*way.T)[:, None]
    for k in range(ribs):
        for sign, shift in ((1.0, 0.0), (-1.0, 0.35)):
            i = int(n * (0.14 + 0.6 * (k + shift) / max(ribs, 1)))
            reach = 0.95 * half[min(i + n // 12, n - 1)]
            if reach < 2.2:
                continue
            ahead = way[i] * reach * 0.9
            end = line[i] + ahead + sign * side[i] * reach
            middle = line[i] + ahead * 0.35 + sign * side[i] * reach * 0.5
            out.append(spline(points(line[i], middle, end)))
    return out
