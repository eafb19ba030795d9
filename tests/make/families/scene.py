"""Scenes: motifs laid over one another inside a frame, and the drawing an eye would make of them.

Truth comes by construction: what lies in the field under no motif is background, all else is leather.
Lines are the visible edges of the motifs, the border lines and the outline; veins enclose nothing.
"""

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Polygon, affinity
from shapely.ops import substring

from filigree.drawing.model import Drawing, Mark
from filigree.geometry.curves import CurveTable

SLIVER = 0.02  # mm2: crumbs of truth under this are rounding
OVERSHOOT = (
    1e-4  # mm: a line runs this far under the one it stops at, so that rounding opens no gap
)
MARGIN = 6.0  # mm from outline to page edge
RIM = 5.0  # mm: width of a rim put round what would be loose
LOOSE = 6  # parts of leather: so many without one that is large are loose islands


@dataclass(frozen=True, kw_only=True, eq=False)
class Made:
    """A drawing with its truth.

    Attributes:
        drawing: what a reader would hand on.
        svg: the same drawing as SVG text.
        background: true background, one polygon a field.
        motif: everything that must stay, rim included.
        mirror: x of the axis of a drawing that is its own mirror image, or None.
    """

    drawing: Drawing
    svg: str
    background: tuple[Polygon, ...]
    motif: tuple[Polygon, ...]
    mirror: float | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Frame:
    """Outline of the piece, the field inside the border, and border lines between them."""

    outline: Polygon
    field: Polygon
    borders: tuple[Polygon, ...] = ()


@dataclass(kw_only=True, eq=False)
class Scene:
    """What is drawn: `motifs` in painting order, later ones on top; an entry may be a group of
    bands with crossings of its own (see `weaves`).

    Attributes:
        frame: outline, field and borders.
        motifs: shapes, undermost first.
        veins: loose lines that enclose nothing.
        details: closed lines inside motifs (eyes, inner contours), always leather.
        strands: closed shapes whose edges are given by `strand_lines` instead of by stacking.
        strand_lines: their visible edges.
        holes: shapes cut through every motif again.
    """

    frame: Frame
    motifs: list = field(default_factory=list)
    veins: list = field(default_factory=list)
    details: list = field(default_factory=list)
    strands: list = field(default_factory=list)
    strand_lines: list = field(default_factory=list)
    holes: list = field(default_factory=list)


def polygons(area, least=SLIVER):
    """Polygons of any area or collection, larger than `least` mm2."""
    parts = shapely.get_parts(shapely.get_parts(area))
    return [p for p in parts if p.geom_type == "Polygon" and p.area > least]


def pieces(lines):
    """Line strings of any geometry, merged where they run on."""
    merged = shapely.line_merge(shapely.union_all(lines)) if not isinstance(lines, list) else lines
    flat = shapely.get_parts(shapely.get_parts(merged))
    return [p for p in flat if p.geom_type in ("LineString", "LinearRing") and p.length > 1e-6]


def stacked_edges(shapes, within):
    """Visible edges of shapes painted in order and clipped to `within`."""
    shapes = [s for s in shapes if not s.is_empty]
    tree = shapely.STRtree(shapes)
    found = []
    for i, shape in enumerate(shapes):
        edge = shape.boundary.intersection(within.buffer(OVERSHOOT))
        over = [shapes[j] for j in tree.query(shape, predicate="intersects") if j > i]
        if over:
            edge = edge.difference(shapely.union_all(over).buffer(-OVERSHOOT))
        parts = [
            p for p in shapely.get_parts(edge) if p.geom_type == "LineString" and not p.is_empty
        ]
        if parts:
            found.extend(pieces(MultiLineString(parts)))
    return found


def broken(lines, rng, *, most, low=0.2, high=0.8):
    """Leave up to `most` small gaps in long lines, as a careless pen does."""
    lines = list(lines)
    for _ in range(int(rng.integers(0, most + 1))):
        k = int(rng.integers(0, len(lines)))
        line = lines[k]
        if line.length < 12:
            continue
        at = rng.uniform(0.3, 0.7) * line.length
        gap = rng.uniform(low, high)
        first = substring(line, 0, at)
        second = substring(line, at + gap, line.length)
        lines[k] = LineString(first)
        lines.append(LineString(second))
    return lines


def adrift(leather):
    """Is this face nothing but loose islands, so that nobody can make it?"""
    area = sorted((p.area for p in polygons(leather)), reverse=True)
    return len(area) >= LOOSE and area[0] < 0.25 * sum(area)


def finish(name, scene, rng, *, breaks=0, mirror=False):
    """Draw the scene: lines, truth, and the page round them; a rim holds what would be loose islands."""
    frame = evened(scene.frame) if mirror else scene.frame
    within = frame.field
    cover = shapely.union_all([*scene.motifs, *scene.strands])
    if scene.holes:
        cover = cover.difference(shapely.union_all(scene.holes))
    background = within.difference(cover)
    if not frame.borders and adrift(frame.outline.difference(background)):
        frame = replace(frame, outline=within.buffer(RIM, quad_segs=32), borders=(within,))
    lines = [*stacked_edges(scene.motifs, within)]
    reach = within.buffer(OVERSHOOT)
    lines.extend(p for line in scene.strand_lines for p in pieces(line & reach))
    lines.extend(LineString(h.exterior) for h in scene.holes)
    inner = within.buffer(-0.3)
    lines.extend(p for v in scene.veins for p in pieces([v & inner]))
    lines.extend(p for d in scene.details for p in pieces([d & within]))
    axis = None
    if mirror:
        lines, background, axis = mirrored(lines, background, frame)
    if breaks:
        lines = broken(lines, rng, most=breaks)
    rings = [frame.outline, *frame.borders]
    if not any(frame.field.equals(r) for r in rings):
        rings.append(frame.field)
    for ring in rings:
        lines.extend(LineString(r) for r in [ring.exterior, *ring.interiors])
    return on_page(name, frame.outline, lines, polygons(background), axis)


def pierced(name, outline, field, leather, inner=()):
    """A piece whose face is `leather` inside `field` and all that lies outside it; `inner` lines on it."""
    ground = field.difference(leather)
    lines = [LineString(r) for p in polygons(ground, 0.3) for r in (p.exterior, *p.interiors)]
    reach = (leather & field).buffer(OVERSHOOT)
    lines += [p for line in inner for p in pieces([line & reach])]
    lines.append(LineString(outline.exterior))
    return on_page(name, outline, lines, polygons(ground, 0.3))


def mirrored(lines, background, frame):
    """Keep the left half and lay its mirror image on the right."""
    x0, y0, x1, y1 = frame.outline.bounds
    axis = (x0 + x1) / 2
    half = shapely.box(x0 - 1, y0 - 1, axis, y1 + 1)
    left = [p for line in lines for p in pieces([line & half])]
    right = [flip(line, axis) for line in left]
    ground = background & half
    return left + right, shapely.union_all([ground, flip(ground, axis)]), axis


def symmetric(made):
    """The left half of a drawing and its mirror image, as one drawing."""
    lines = [LineString(line) for line in made.drawing.lines]
    x0, y0, x1, y1 = shapely.total_bounds(lines)
    axis = (x0 + x1) / 2
    half = shapely.box(x0 - 1, y0 - 1, axis, y1 + 1)
    left = [p for line in lines for p in pieces([line & half])]
    left_ground = shapely.union_all(made.background) & half
    both = shapely.union_all([left_ground, flip(left_ground, axis)])
    edge = shapely.union_all([*made.background, *made.motif]) & half
    outline = max(polygons(shapely.union_all([edge, flip(edge, axis)])), key=lambda p: p.area)
    name = made.drawing.name.removesuffix(".svg")
    lines = left + [flip(line, axis) for line in left]
    return on_page(f"{name}-symmetric", Polygon(outline.exterior), lines, polygons(both), axis)


def evened(frame):
    """The same frame, its right half the mirror image of its left."""
    x0, y0, x1, y1 = frame.outline.bounds
    axis = (x0 + x1) / 2
    half = shapely.box(x0 - 1, y0 - 1, axis, y1 + 1)

    def even(shape):
        left = shape & half
        return max(polygons(shapely.union_all([left, flip(left, axis)])), key=lambda p: p.area)

    return Frame(
        outline=even(frame.outline),
        field=even(frame.field),
        borders=tuple(even(b) for b in frame.borders),
    )


def flip(shape, axis):
    """Mirror image about the line x = axis."""
    return shapely.transform(shape, lambda c: np.column_stack([2 * axis - c[:, 0], c[:, 1]]))


def on_page(name, outline, lines, background, axis=None):
    """Shift everything so that the outline lies MARGIN inside the page."""
    x0, y0, x1, y1 = outline.bounds
    dx, dy = MARGIN - x0, MARGIN - y0

    def move(shape):
        return affinity.translate(shape, dx, dy)

    lines = [move(line) for line in lines]
    shifted = [move(p) for p in background]
    background = tuple(q for p in shifted for q in ([p] if p.is_valid else polygons(p.buffer(0))))
    outline = move(outline)
    motif = tuple(polygons(outline.difference(shapely.union_all(background))))
    drawing = Drawing(
        name=f"{name}.svg",
        width=float(x1 - x0 + 2 * MARGIN),
        height=float(y1 - y0 + 2 * MARGIN),
        scale_from="width and viewBox",
        lines=tuple(np.asarray(line.coords, dtype=np.float64)[:, :2] for line in lines),
        curves=no_curves(),
        solids=Polygon(),
        fields=None,
        marks=(),
        skipped=(),
    )
    made = Made(
        drawing=drawing,
        svg="",
        background=background,
        motif=motif,
        mirror=None if axis is None else axis + dx,
    )
    return replace(made, svg=as_svg(made))


def marked(made, *, colour="#9a9a9a"):
    """The same drawing with every background field filled grey (or in another colour)."""
    marks = tuple(
        Mark(shape=p, says="open", how=f"filled {colour}", colour=colour) for p in made.background
    )
    made = replace(made, drawing=replace(made.drawing, marks=marks))
    return replace(made, svg=as_svg(made))


def as_svg(made):
    """SVG text, mm, with marks as filled paths under the lines."""
    d = made.drawing
    out = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{d.width:.4f}mm" height="{d.height:.4f}mm"'
            f' viewBox="0 0 {d.width:.4f} {d.height:.4f}">'
        )
    ]
    for mark in d.marks:
        rings = [mark.shape.exterior, *mark.shape.interiors]
        data = " ".join(f"{path_data(np.asarray(r.coords)[:-1])} Z" for r in rings)
        out.append(f'<path fill="{mark.colour}" fill-rule="evenodd" stroke="none" d="{data}"/>')
    out.append('<g fill="none" stroke="#000000" stroke-width="0.4">')
    out.extend(f'<path d="{path_data(line)}"/>' for line in d.lines)
    out.append("</g></svg>")
    return "\n".join(out) + "\n"


def path_data(points):
    """`M x y L x y ...` of points `(n, 2)`, mm."""
    return "M" + " L".join(f"{x:.5f} {y:.5f}" for x, y in points)


def no_curves():
    """A table without source curves."""
    return CurveTable(
        cubics=np.zeros((0, 4, 2)),
        starts=np.zeros((0, 2)),
        ends=np.zeros((0, 2)),
        curve=np.zeros(0, dtype=np.int64),
        spans=np.zeros((0, 2)),
    )
