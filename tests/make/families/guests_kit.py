"""Kit of the guests: a sheet on which figures are laid one over the other, plates, and small shapes.

Truth comes by construction: what lies in the field under no figure is background. Islands are tied to
the rest by bridges, crumbs of ground too small to cut are given to the figure beside them.
"""

import itertools
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import LineString, Polygon, affinity

from tests.make.families.scene import OVERSHOOT, flip, on_page, pieces, polygons
from tests.make.families.strokes import FLAT, band, normals, place, spline, whole

LEAST = 2.0  # mm2: a field worth cutting
NARROW = 0.5  # mm: mean width under which a field is no field
SHORT = 1.2  # mm: a vein of which less is seen is not drawn
TAIL = 0.1  # mm: half the width of a slit too fine to cut
HAIR = 0.07  # mm: half the width of leather too fine to be drawn
HOLDS = 0.25  # mm: half the width of leather that is thought to hold
PLATES = (
    "box",
    "soft",
    "canted",
    "notched",
    "oval",
    "arch",
    "ogive",
    "barrel",
    "hexagon",
    "barbed",
)


@dataclass(kw_only=True, eq=False)
class Sheet:
    """A piece in the making.

    Attributes:
        outline: edge of the leather.
        field: where openings may lie; one area or several.
        borders: more closed lines in the rim.
        layers: figures, undermost first: shape and the lines drawn inside it.
    """

    outline: Polygon
    field: Polygon
    borders: tuple = ()
    layers: list = field(default_factory=list)


def lay(sheet, shape, *inner):
    """Lay a figure on top of the rest."""
    sheet.layers.append((shape, list(inner)))


def under(sheet, shape, *inner):
    """Push a figure under the rest."""
    sheet.layers.insert(0, (shape, list(inner)))


def put(sheet, figure, x, y, size=1.0, turn=0.0, *, mirror=False):
    """Lay all layers of a figure drawn about the origin, from the undermost up."""
    for shape, inner in figure:
        both = [flip(s, 0.0) if mirror else s for s in (shape, *inner)]
        moved = [place(s, x, y, turn, size) for s in both]
        lay(sheet, moved[0], *moved[1:])


def pierce(sheet, hole):
    """Cut a true hole through all that was laid."""
    sheet.layers = [(s.difference(hole) if s.intersects(hole) else s, i) for s, i in sheet.layers]


def mirrored(sheet, axis):
    """Keep what was laid and lay its mirror image about x = axis with it, layer by layer."""
    both = []
    for shape, inner in sheet.layers:
        twin = flip(shape, axis)
        if twin.symmetric_difference(shape).area < 0.01 * shape.area:
            both.append((shape, inner))
        else:
            both += [(shape, inner), (twin, [flip(s, axis) for s in inner])]
    sheet.layers = both


def plate(kind, w, h, r=0.2):
    """Outline of a piece, w by h, corners about `r` of the shorter side."""
    r *= min(w, h)
    box = shapely.box(0, 0, w, h)
    if kind == "soft":
        return box.buffer(-r).buffer(r, quad_segs=24)
    if kind == "canted":
        return box.buffer(-r, join_style="mitre").buffer(r, join_style="bevel")
    if kind == "notched":
        return box.difference(shapely.union_all([disc(x, y, r) for x in (0, w) for y in (0, h)]))
    if kind == "oval":
        return affinity.scale(disc(w / 2, h / 2, w / 2), 1, h / w)
    if kind == "arch":
        low = shapely.box(0, w / 2, w, max(h, w))
        return shapely.union_all([low, disc(w / 2, w / 2, w / 2)])
    if kind == "ogive":
        both = disc(w * 0.15, h * 0.55, w * 0.85) & disc(w * 0.85, h * 0.55, w * 0.85)
        top = both & shapely.box(0, -h, w, h * 0.55)
        return shapely.union_all([top, shapely.box(0, h * 0.55 - 0.01, w, h)]).simplify(FLAT)
    if kind == "barrel":
        t = np.linspace(0, np.pi, 40)
        top = np.column_stack([w * t / np.pi, h * 0.08 * (1 - np.sin(t))])
        return Polygon(np.vstack([top, (top * [1, -1] + [0, h])[::-1]]))
    if kind == "hexagon":
        c = min(w, h) * 0.3
        return Polygon([(c, 0), (w - c, 0), (w, h / 2), (w - c, h), (c, h), (0, h / 2)])
    if kind == "barbed":
        q = [disc(x * w, y * h, 0.26 * min(w, h)) for x, y in ((0.5, 0.26), (0.5, 0.74))]
        q += [disc(x * w, y * h, 0.26 * min(w, h)) for x, y in ((0.26, 0.5), (0.74, 0.5))]
        core = shapely.box(0.2 * w, 0.2 * h, 0.8 * w, 0.8 * h)
        return shapely.union_all([*q, core]).simplify(FLAT)
    return box


def sheet_of(rng, kinds=PLATES, *, size=(90, 180), aspect=(0.75, 1.35), rim=None):
    """A sheet with a rim: outline of one of the kinds, border lines now and then."""
    w = rng.uniform(*size)
    h = float(np.clip(w * rng.uniform(*aspect), 58, 250))
    return rimmed(rng, plate(str(rng.choice(kinds)), w, h, rng.uniform(0.1, 0.25)), rim)


def rimmed(rng, outline, rim=None):
    """The sheet of an outline: rim, soft or sharp corners of the field, border lines."""
    short = min(outline.bounds[2] - outline.bounds[0], outline.bounds[3] - outline.bounds[1])
    rim = rim or short * rng.uniform(0.03, 0.085)
    opening = outline.buffer(-rim, quad_segs=24, join_style="mitre").simplify(FLAT)
    if rng.random() < 0.3:
        r = short * rng.uniform(0.03, 0.1)
        opening = opening.buffer(-r).buffer(r, quad_segs=16)
    opening = max(polygons(opening), key=lambda p: p.area)
    lines = int(rng.choice([0, 0, 0, 1, 2]))
    borders = [
        outline.buffer(-rim * (k + 1) / (lines + 1), join_style="mitre") for k in range(lines)
    ]
    return Sheet(outline=outline, field=opening, borders=tuple(borders))


def finish(name, sheet, rng, *, cut=0.1, islands=0.1, bridge=None):
    """Tie, tidy and draw the sheet.

    Args:
        name: family and seed.
        sheet: what was laid.
        rng: says how it is drawn.
        cut: how often only openings and inner lines are drawn, as for a knife.
        islands: how often floating islands are left.
        bridge: width of ties, mm.
    """
    layers = [(s.simplify(FLAT), i) for s, i in sheet.layers if s.intersects(sheet.field)]
    if rng.random() >= islands:
        layers = tied(sheet, layers, bridge or rng.uniform(1.5, 2.8))
    layers = absorbed(sheet, trimmed(layers))
    cover = shapely.union_all([s for s, _ in layers])
    ground = polygons(sheet.field.difference(cover), LEAST)
    style = rng.random()
    edges, inner = drawn(layers, sheet.field)
    if style < cut and len(ground) > 4:
        lines = inner + [LineString(r) for p in ground for r in (p.exterior, *p.interiors)]
    elif cut < style < cut + 0.25:
        rest = shapely.boundary(sheet.field).difference(cover.buffer(-OVERSHOOT))
        lines = inner + edges + pieces([rest])
    else:
        lines = inner + edges + _rings(sheet.field)
    for ring in (sheet.outline, *sheet.borders):
        lines += _rings(ring)
    return on_page(name, sheet.outline, lines, ground)


def bare(name, sheet, rng, *, cut=0.2):
    """Draw a piece without rim: its outline is that of the figures together."""
    layers = [(s.simplify(FLAT), i) for s, i in sheet.layers]
    layers = tied(sheet, layers, rng.uniform(1.8, 3.0), rim=False)
    cover = shapely.union_all([s for s, _ in layers]).buffer(0.02).buffer(-0.02)
    most = max(polygons(cover), key=lambda p: p.area)
    sheet.outline = Polygon(most.exterior)
    sheet.field = sheet.outline
    layers = absorbed(sheet, layers)
    cover = shapely.union_all([s for s, _ in layers])
    ground = polygons(sheet.field.difference(cover).buffer(-0.01).buffer(0.01), LEAST)
    edges, inner = drawn(layers, sheet.field)
    if rng.random() < cut:
        edges = [LineString(r) for p in ground for r in (p.exterior, *p.interiors)]
    return on_page(name, sheet.outline, [*inner, *edges, *_rings(sheet.outline)], ground)


def drawn(layers, within):
    """Visible edges of the layers, and visible lines inside them."""
    shapes = [s for s, _ in layers]
    tree = shapely.STRtree(shapes)
    reach = within.buffer(OVERSHOOT)
    edges, inner = [], []
    for i, (shape, lines) in enumerate(layers):
        over = [shapes[j] for j in tree.query(shape, predicate="intersects") if j > i]
        hide = shapely.union_all(over).buffer(-OVERSHOOT) if over else Polygon()
        edges += pieces([(shape.boundary & reach).difference(hide)])
        if lines:
            own = shape.buffer(OVERSHOOT) & reach
            inner += [p for line in lines for p in pieces([(line & own).difference(hide)])]
    return edges, [p for p in inner if p.length > SHORT or p.is_closed]


def tied(sheet, layers, width, *, rim=True):
    """Tie each island to the nearest leather by a bridge that runs under both."""
    bridges = []
    leather = shapely.union_all([s for s, _ in layers])
    if rim:
        border = sheet.outline.difference(sheet.field.buffer(-0.02))
        leather = shapely.union_all([leather & sheet.field, border])
    for _ in range(60):
        parts = polygons(leather.buffer(-HOLDS, quad_segs=2), 0.6)
        if len(parts) < 2:
            break
        part = min(parts, key=lambda p: p.area)
        rest = shapely.union_all([p for p in parts if p is not part])
        ends = np.asarray(shapely.shortest_line(part, rest).coords)
        aim = ends[1] - ends[0]
        aim = aim / max(np.hypot(*aim), 1e-9)
        over = 0.65 * width
        bridges.append(band(np.array([ends[0] - aim * over, ends[1] + aim * over]), width))
        leather = leather | (bridges[-1] & sheet.outline if rim else bridges[-1])
    return [*((b, []) for b in bridges), *layers]


def trimmed(layers):
    """Take from each figure what would be seen of it only as a hair beside the figure over it."""
    shapes = [s for s, _ in layers]
    tree = shapely.STRtree(shapes)
    for i, shape in enumerate(shapes):
        over = [shapes[j] for j in tree.query(shape, predicate="intersects") if j > i]
        if not over:
            continue
        seen = shape.difference(shapely.union_all(over))
        thin = seen.difference(seen.buffer(-HAIR, quad_segs=1).buffer(1.5 * HAIR, quad_segs=2))
        hairs = [
            p for p in polygons(thin, 0.03) if p.length > 2.0 and 2 * p.area / p.length < 2 * HAIR
        ]
        if hairs:
            shapes[i] = shape.difference(shapely.union_all(hairs).buffer(0.02, quad_segs=1))
    return [(s, inner) for s, (_, inner) in zip(shapes, layers, strict=True)]


def absorbed(sheet, layers):
    """Give crumbs and slits of ground to the figure that has most edge with them."""
    for _ in range(2):
        shapes = [s for s, _ in layers]
        ground = polygons(sheet.field.difference(shapely.union_all(shapes)), 0.0)
        crumbs = [p for p in ground if p.area < LEAST or 2 * p.area / p.length < NARROW]
        sound = shapely.union_all([p for p in ground if p.area >= LEAST])
        tails = sound.difference(sound.buffer(-TAIL, quad_segs=2).buffer(1.1 * TAIL, quad_segs=2))
        crumbs += polygons(tails, 0.03)
        if not crumbs:
            break
        tree = shapely.STRtree(shapes)
        for crumb in crumbs:
            near = crumb.buffer(0.02, quad_segs=2)
            beside = list(tree.query(near, predicate="intersects"))
            if beside:
                best = max(beside, key=lambda j: (shapes[j].boundary & near).length)
                shapes[best] = shapely.union_all([shapes[best], near])
        layers = [(s, inner) for s, (_, inner) in zip(shapes, layers, strict=True)]
    return layers


def closed(points, corners=(), per=10):
    """Smooth closed shape through points; those numbered in `corners` stay sharp."""
    p = [tuple(q) for q in points]
    if not corners:
        return whole(Polygon(spline(p, closed=True, per=per)))
    first = min(corners)
    p = p[first:] + p[: first + 1]
    stops = [*sorted(c - first for c in corners), len(p) - 1]
    runs = [
        spline(p[a : b + 1], per=per) if b - a > 1 else np.array(p[a : b + 1])
        for a, b in itertools.pairwise(stops)
    ]
    return whole(Polygon(np.vstack(runs)))


def taper(points, wide, thin, *, per=12, swell=0.0):
    """Stroke through points from one width to another, fuller in the middle by `swell`."""
    run = spline(points, per=per)
    t = np.linspace(0, 1, len(run))
    return ribbon(run, wide + (thin - wide) * t + swell * np.sin(np.pi * t))


def ribbon(run, width):
    """Stroke along a polyline with a width for each vertex, round at both ends when wide there."""
    half = np.broadcast_to(np.asarray(width, dtype=float) / 2, len(run))[:, None]
    n = normals(run)
    sides = whole(Polygon(np.vstack([run + n * half, (run - n * half)[::-1]])).buffer(0))
    reach = float(half.max())
    ends = [disc(*run[k], half[k, 0]) for k in (0, -1) if half[k, 0] > 0.3 * reach]
    return max(polygons(shapely.union_all([sides, *ends]), 0.0), key=lambda p: p.area)


def disc(x, y, r, steps=72):
    """A round."""
    a = np.linspace(0, 2 * np.pi, steps, endpoint=False)
    return Polygon(np.column_stack([x + r * np.cos(a), y + r * np.sin(a)]))


def lid(cell):
    """Lines of a shut cell of a comb: its edge, and three folds of the wax; a bare cell would be open."""
    corners = shapely.get_coordinates(cell.exterior)[:-1:2]
    return [cell.exterior, *(LineString([cell.centroid.coords[0], c]) for c in corners)]


def curve(points, per=12):
    """Smooth line through points."""
    return LineString(spline(points, per=per))


def heading(run, i):
    """Direction of a polyline at vertex i, radians."""
    a, b = run[max(i - 1, 0)], run[min(i + 1, len(run) - 1)]
    return float(np.arctan2(b[1] - a[1], b[0] - a[0]))


def polar(radii, turn=0.0, corners=()):
    """Smooth closed shape about the origin, radii at equal angles."""
    a = turn + 2 * np.pi * np.arange(len(radii)) / len(radii)
    r = np.asarray(radii)
    return closed(np.column_stack([r * np.cos(a), r * np.sin(a)]), corners)


def limb(points, widths, per=12):
    """Stroke through points with a width at each."""
    run = spline(points, per=per)
    at = np.linspace(0, len(points) - 1, len(run))
    return ribbon(run, np.interp(at, np.arange(len(points)), widths))


def fitted(figure, x0, y0, x1, y1):
    """Place and size at which a figure just fills a box, for `put`: x, y, size."""
    a0, b0, a1, b1 = shapely.total_bounds([s for s, _ in figure])
    size = min((x1 - x0) / (a1 - a0), (y1 - y0) / (b1 - b0))
    return (x0 + x1) / 2 - size * (a0 + a1) / 2, (y0 + y1) / 2 - size * (b0 + b1) / 2, size


def plain(figure):
    """The figure without its inner lines."""
    return [(shape, []) for shape, _ in figure]


def free_of(sheet, shape, gap=0.0):
    """Would a shape lie clear of all figures?"""
    near = shape.buffer(gap) if gap else shape
    return not any(near.intersects(s) for s, _ in sheet.layers)


def _rings(area):
    return [LineString(r) for p in polygons(area) for r in (p.exterior, *p.interiors)]
