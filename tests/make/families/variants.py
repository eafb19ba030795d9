"""Variants: the same drawing by another hand - stretched, wavering, rounded, with other rims and outlines.

Each variant keeps its truth by construction: lines and background go through the same change.
"""

import numpy as np
import shapely
from shapely import LineString, affinity

from tests.make.families.scene import MARGIN, adrift, on_page, pieces, polygons

APART = 0.004  # mm: lines nearer than this to the edge of a field run along it
LEAST = 0.3  # mm2: smaller fields are not drawn
SMALL = (55.0, 400.0)  # mm: shortest and longest long side of a piece


def varied(made, rng):
    """One variant of a drawing; `rng` says which."""
    lines = [LineString(line) for line in made.drawing.lines]
    ground = list(made.background)
    outline = _outline(made)
    if rng.random() < 0.45:
        lines, ground = _redrawn(lines, ground, outline, rng)
    if rng.random() < 0.12:
        lines = lines + _contours(lines, ground, outline, rng.uniform(0.7, 2.0))
    elif rng.random() < 0.05:
        ground = [q for p in ground for q in polygons(p.buffer(-rng.uniform(0.8, 1.8)), 1.0)]
        lines = lines + _rings(ground)
    if rng.random() < 0.12 and len(ground) > 3:
        lines, outline = _without_rim(lines, ground, outline)
    change = _change(outline, rng)
    lines = [change(line) for line in lines]
    ground = [q for p in ground for q in polygons(change(p).buffer(0))]
    name = made.drawing.name.removesuffix(".svg")
    return on_page(f"{name}-varied", change(outline), lines, ground)


def _outline(made):
    """The filled outline of a piece, where it lies on its page."""
    both = shapely.union_all([*made.background, *made.motif]).buffer(APART).buffer(-APART)
    whole = max(polygons(both), key=lambda p: p.area)
    return shapely.Polygon(whole.exterior)


def _rings(areas):
    return [LineString(r) for p in areas for r in (p.exterior, *p.interiors)]


def _redrawn(lines, ground, outline, rng):
    """Each field drawn as one line of its own; corners rounded, lines within the leather all, some or none."""
    old = shapely.union_all(ground)
    edge = shapely.union_all([old.boundary, outline.exterior]).buffer(APART)
    style = rng.choice(["all", "some", "none"], p=[0.4, 0.25, 0.35])
    keep = {"all": 1.0, "some": 0.5, "none": 0.0}[style]
    kept = [line for line in lines if rng.random() < keep]
    inner = [p for line in kept for p in pieces([line.difference(edge)]) if p.length > 0.05]
    if rng.random() < 0.6:
        r = rng.uniform(0.3, 1.2)
        ground = [
            q
            for p in ground
            for q in polygons(p.buffer(-r, quad_segs=6).buffer(r, quad_segs=6), LEAST)
        ]
        new = shapely.union_all(ground).boundary
        inner += [s for line in inner for s in _reaching(line, old.boundary, new)]
    ground = [p for p in ground if p.area > LEAST]
    return [*inner, *_rings(ground), LineString(outline.exterior)], ground


def _reaching(line, old, new):
    """Short lines from the ends of a line that stopped at a corner now rounded to the edge there."""
    found = []
    for end in (line.coords[0], line.coords[-1]):
        point = shapely.Point(end)
        if point.distance(old) < 3 * APART and 3 * APART < point.distance(new) < 3.0:
            found.append(shapely.shortest_line(point, new))
    return found


def _contours(lines, ground, outline, inset):
    """A second line inside each motif."""
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines)]))
    cover = shapely.union_all(ground)
    found = []
    for face in faces:
        if face.distance(outline.exterior) < APART or face.representative_point().within(cover):
            continue
        found += [LineString(p.exterior) for p in polygons(face.buffer(-inset), 4.0)]
    return found


def _without_rim(lines, ground, outline):
    """The border line becomes the outline."""
    rest = outline.buffer(-0.05)
    lines = [line for line in lines if line.intersects(rest)]
    if not lines:
        return lines, outline
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines)]))
    whole = polygons(shapely.union_all(faces).buffer(APART).buffer(-APART))
    if not whole or sum(p.area for p in whole) < 0.4 * outline.area or len(whole) > 1:
        return [*lines, LineString(outline.exterior)], outline
    if adrift(shapely.union_all(whole).difference(shapely.union_all(ground))):
        return [*lines, LineString(outline.exterior)], outline
    return lines, shapely.Polygon(whole[0].exterior)


def _change(outline, rng):
    """Stretching, slanting, scaling and a wavering hand, as one map of shapes."""
    x0, y0, x1, y1 = outline.bounds
    size = max(x1 - x0, y1 - y0)
    scale = np.exp(rng.uniform(np.log(0.55), np.log(2.0))) if rng.random() < 0.6 else 1.0
    scale = float(np.clip(scale, SMALL[0] / size, SMALL[1] / size))
    stretch = rng.uniform(0.75, 1.35) if rng.random() < 0.35 else 1.0
    slant = rng.uniform(-0.25, 0.25) if rng.random() < 0.2 else 0.0
    waver = _waver(rng) if rng.random() < 0.4 else None
    turn = rng.uniform(0, 360) if rng.random() < 0.15 else 0.0

    def change(shape):
        if waver is not None:
            shape = shapely.transform(shapely.segmentize(shape, 1.0), waver)
        shape = affinity.affine_transform(
            shape, [scale * stretch, scale * slant, 0, scale, -MARGIN, -MARGIN]
        )
        return affinity.rotate(shape, turn, origin=(0, 0))

    return change


def _waver(rng):
    """A smooth small displacement of the plane: a few waves of 6 to 60 mm, up to some tenths of a mm."""
    count = 7
    long = np.exp(rng.uniform(np.log(6), np.log(60), count))
    aim = rng.uniform(0, 2 * np.pi, count)
    wave = (2 * np.pi / long)[:, None] * np.column_stack([np.cos(aim), np.sin(aim)])
    phase = rng.uniform(0, 2 * np.pi, count)
    push = rng.normal(0, 1, (count, 2)) * (long**0.6 * rng.uniform(0.01, 0.05))[:, None]

    def move(points):
        return points + np.sin(points @ wave.T + phase) @ push

    return move
