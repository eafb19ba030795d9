"""From a stack of motifs to a drawing: what is hidden goes, thin places grow, lines become curves."""

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from scripts.gallery.curves import STEP, Points, even

GRID = 0.001  # mm
CLEAR = 1.35  # mm between a loose end of a vein and any other line
SLIVER = 0.08  # mm: a field thinner than this is rounding, not drawing
CROWD = 0.04  # mm
SPECK = 4.0  # mm2
SHORT = 1.6  # mm, shortest vein
OUTSIDE, OPEN, RIM = -2, -1, 0

Key = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Motif:
    """One part of the tooled design; `veins` are inner lines, `over` the places where it passes on top."""

    area: Polygon | MultiPolygon
    veins: tuple[Points, ...] = ()
    over: tuple[Polygon | MultiPolygon, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """How the drawing is settled before it is inked, mm."""

    bridge: float | None = 3.75  # land is widened to this; None leaves it as drawn
    crotch: float = 0.15  # inside corners of openings are rounded to this radius
    least: float = 8.0  # mm2: smaller openings are filled


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Inked lines (sampled), veins, and what they enclose."""

    outline: tuple[Points, ...]
    border: tuple[Points, ...]
    lines: tuple[Points, ...]
    veins: tuple[Points, ...]
    openings: tuple[Polygon, ...]
    land: Polygon | MultiPolygon
    motifs: dict[int, BaseGeometry] = field(default_factory=dict)


def draw(
    outline: Polygon, border: Polygon, motifs: Sequence[Motif], care: Care | None = None
) -> Drawn:
    """Resolve a stack of motifs (first at the bottom) inside a border line.

    Label 0 is the rim, 1.. the motifs in order; the rim lies on top of all.
    """
    care = care or Care()
    stack = _stack(outline, border, motifs)
    faces, labels = _faces(stack, outline)
    grounds = [f for f, label in zip(faces, labels, strict=True) if label == OPEN]
    settled = settle(shapely.union_all(grounds), outline, care)
    fills = shapely.union_all(grounds).difference(settled, grid_size=GRID)
    owners = _joined(faces, labels)
    patches = [(p, _owner(p, owners)) for p in parts(fills) if p.area > 1e-4]
    faces, labels = _faces([*stack, *patches], outline)
    regions = _joined(faces, labels)
    openings = tuple(
        sorted(parts(regions.get(OPEN, Polygon())), key=lambda p: (p.bounds[1], p.bounds[0]))
    )
    land = shapely.difference(outline, shapely.union_all(openings), grid_size=GRID)
    rings, rims, lines = _inked(faces, labels)
    veins = tuple(
        v for k, m in enumerate(motifs, 1) for v in _clear(m.veins, regions.get(k, Polygon()))
    )
    return Drawn(
        outline=rings,
        border=rims,
        lines=lines,
        veins=veins,
        openings=openings,
        land=land,
        motifs=regions,
    )


def painted(
    outline: Polygon, layers: Sequence[tuple[BaseGeometry, bool]], care: Care | None = None
) -> tuple[Drawn, list[tuple[BaseGeometry, bool]]]:
    """A face painted dark on light in layers (shape, dark), and the layers with their touching up.

    Dark is leather, light inside the outline is cut out. What is too thin or too small gets a
    last dark touch on top.
    """
    layers = [(shape.intersection(outline), is_dark) for shape, is_dark in layers]
    dark: BaseGeometry = Polygon()
    for shape, is_dark in layers:
        dark = dark.union(shape) if is_dark else dark.difference(shape)
    ground = outline.difference(dark)
    settled = settle(ground, outline, care or Care(crotch=0.55))
    missing = parts(ground.difference(settled).buffer(-0.01).buffer(0.01))
    touches = [p.buffer(0.06, quad_segs=6).intersection(outline) for p in missing if p.area > 0.02]
    openings = parts(ground.difference(shapely.union_all(touches)).buffer(-0.02).buffer(0.02))
    openings = [p for p in openings if p.area > 1]
    land = shapely.difference(outline, shapely.union_all(openings))
    order = tuple(sorted(openings, key=lambda p: (p.bounds[1], p.bounds[0])))
    rings = tuple(np.asarray(r.coords) for p in parts(land) for r in (p.exterior, *p.interiors))
    drawn = Drawn(
        outline=rings[:1], border=(), lines=rings[1:], veins=(), openings=order, land=land
    )
    return drawn, [*layers, *[(t, True) for t in touches]]


def settle(ground: BaseGeometry, outline: Polygon, care: Care) -> BaseGeometry:
    """Openings with rounded crotches, none too small, with the land between them wide enough."""
    ground = _rounded(ground, care)
    for _ in range(4):
        if care.bridge is None:
            break
        thin = thin_places(outline.difference(ground), care.bridge)
        if not thin:
            break
        discs = [Point(xy).buffer(care.bridge / 2 + 0.05, quad_segs=16) for xy in thin]
        ground = _rounded(ground.difference(shapely.union_all(discs)), care)
    return ground


def thin_places(land: BaseGeometry, width: float) -> list[tuple[float, float]]:
    """Middles of the strands of land narrower than `width`; tips that end free do not count.

    What a disc of that width cannot reach lies at the banks of thin strands and at tips; a
    strand is where the disc on the shortest line between two such banks holds no edge.
    """
    edge = shapely.segmentize(land.boundary, STEP)
    opened = land.buffer(-width / 2 + 0.02, quad_segs=12).buffer(width / 2, quad_segs=12)
    banks: list[LineString] = []
    for piece in parts(land.difference(opened)):
        if piece.area < 0.003:
            continue
        near = edge.intersection(piece.buffer(0.01))
        chains = parts(near if isinstance(near, LineString) else shapely.line_merge(near))
        banks += [c for c in chains if c.length > 0.1]
    if not banks:
        return []
    shapely.prepare(land)
    out: list[tuple[float, float]] = []
    one, two = shapely.STRtree(banks).query(banks, predicate="dwithin", distance=width)
    for i, j in sorted(zip(one.tolist(), two.tolist(), strict=True)):
        if i < j:
            out += _middles(banks[i], banks[j], width, land)
    return out


def parts(shape: BaseGeometry) -> list:
    """Single polygons or lines of a geometry; points fall away."""
    if shape.is_empty:
        return []
    if isinstance(shape, (Polygon, LineString)):
        return [shape]
    return [p for g in getattr(shape, "geoms", ()) for p in parts(g)]


def _middles(
    one: LineString, two: LineString, width: float, land: BaseGeometry
) -> list[tuple[float, float]]:
    """Midpoints of the shortest lines from one bank of a strand to the other."""
    from_ = shapely.points(shapely.get_coordinates(shapely.segmentize(one, STEP)))
    across = shapely.shortest_line(from_, two)
    length = shapely.length(across)
    middles = shapely.line_interpolate_point(across, 0.5, normalized=True)
    keep = (length > 0) & (length < width) & shapely.contains(land, middles)
    middles, length = middles[keep], length[keep]
    clear = shapely.distance(middles, land.boundary) >= 0.45 * length
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(middles[clear])]


def _rounded(ground: BaseGeometry, care: Care) -> BaseGeometry:
    r = care.crotch
    if r > 0:
        ground = ground.buffer(-r, quad_segs=16).buffer(r, quad_segs=16)
    return MultiPolygon([p for p in parts(ground) if p.area >= care.least])


def _stack(
    outline: Polygon, border: Polygon, motifs: Sequence[Motif]
) -> list[tuple[BaseGeometry, int]]:
    """Pieces with their labels, top first."""
    stack: list[tuple[BaseGeometry, int]] = [(outline.difference(border), RIM)]
    stack += [(o, k) for k, m in reversed(list(enumerate(motifs, 1))) for o in m.over]
    stack += [(m.area, k) for k, m in reversed(list(enumerate(motifs, 1)))]
    return [(shapely.intersection(s, outline), k) for s, k in stack]


def _joined(faces: Sequence[Polygon], labels: Sequence[int]) -> dict[int, BaseGeometry]:
    """The visible region of each label."""
    ours: dict[int, list[Polygon]] = defaultdict(list)
    for face, label in zip(faces, labels, strict=True):
        ours[label].append(face)
    return {k: shapely.coverage_union_all(ours[k]) for k in sorted(ours)}


def _faces(
    stack: Sequence[tuple[BaseGeometry, int]], outline: Polygon
) -> tuple[list[Polygon], list[int]]:
    """Node all edges, find the faces, label each by the topmost piece that holds it."""
    edges = shapely.union_all([s.boundary for s, _ in stack] + [outline.boundary], grid_size=GRID)
    faces = [
        f
        for f in parts(shapely.polygonize(parts(edges)))
        if outline.contains(f.representative_point())
    ]
    at = shapely.get_coordinates([f.representative_point() for f in faces])
    labels = np.full(len(faces), OPEN)
    todo = np.ones(len(faces), dtype=bool)
    for shape, label in stack:
        shapely.prepare(shape)
        inside = todo & shapely.contains_xy(shape, at[:, 0], at[:, 1])
        labels[inside] = label
        todo &= ~inside
    return faces, _without_specks(faces, _without_slivers(faces, labels.tolist()))


def _without_slivers(faces: Sequence[Polygon], labels: list[int]) -> list[int]:
    """Give faces thinner than `SLIVER` to the neighbour with the longest shared edge."""
    thin = {k for k, f in enumerate(faces) if 2 * f.area / f.length < SLIVER}
    return _given(faces, labels, thin)


def _without_specks(faces: Sequence[Polygon], labels: list[int]) -> list[int]:
    """Give what shows of a motif on less than `SPECK` to the neighbour round it."""
    at = shapely.points([f.representative_point().coords[0] for f in faces])
    tree = shapely.STRtree(at)
    small: set[int] = set()
    for label, region in _joined(faces, labels).items():
        specks = [p for p in parts(region) if p.area < SPECK and label != OPEN]
        small |= {int(k) for p in specks for k in tree.query(p, predicate="contains")}
    return _given(faces, labels, small)


def _given(faces: Sequence[Polygon], labels: list[int], thin: set[int]) -> list[int]:
    """The labels, those of the faces `thin` from their neighbours with the longest shared edge."""
    shared: dict[int, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    for ((ax, ay), (bx, by)), beside in _segments(faces).items():
        for k in thin.intersection(beside):
            for other in beside:
                if other not in thin:
                    shared[k][other] += math.hypot(ax - bx, ay - by)
    for k, others in sorted(shared.items()):
        sums: dict[int, float] = defaultdict(float)
        for other, length in others.items():
            sums[labels[other]] += length
        labels[k] = max(sorted(sums), key=lambda v: sums[v])
    return labels


def _owner(patch: Polygon, owners: dict[int, BaseGeometry]) -> int:
    """The motif that shares the longest edge with a filled patch; the lower one when equal."""
    near = patch.buffer(0.01)
    best = {k: shape.boundary.intersection(near).length for k, shape in owners.items() if k != OPEN}
    return max(sorted(best), key=lambda k: round(best[k], 2))


def _segments(faces: Sequence[Polygon]) -> dict[tuple[Key, Key], list[int]]:
    """Each edge segment with the faces beside it."""
    out: dict[tuple[Key, Key], list[int]] = defaultdict(list)
    for k, face in enumerate(faces):
        for ring in (face.exterior, *face.interiors):
            grid = np.rint(np.asarray(ring.coords) / GRID).astype(int).tolist()
            keys = [(x, y) for x, y in grid]
            for a, b in itertools.pairwise(keys):
                out[(a, b) if a < b else (b, a)].append(k)
    return out


def _inked(
    faces: Sequence[Polygon], labels: Sequence[int]
) -> tuple[tuple[Points, ...], tuple[Points, ...], tuple[Points, ...]]:
    """Lines between unlike faces, each once: the outline, the border, all others."""
    kinds: dict[str, list[tuple[Key, Key]]] = {"outline": [], "border": [], "lines": []}
    for segment, beside in _segments(faces).items():
        pair = {labels[k] for k in beside} | ({OUTSIDE} if len(beside) == 1 else set())
        if len(pair) == 1:
            continue
        kinds["outline" if OUTSIDE in pair else "border" if RIM in pair else "lines"].append(
            segment
        )
    count: dict[Key, int] = defaultdict(int)
    for segment in (s for k in kinds.values() for s in k):
        for key in segment:
            count[key] += 1
    nodes = {k for k, v in count.items() if v != 2}
    outline, border, lines = (tuple(_chains(sorted(k), nodes)) for k in kinds.values())
    return outline, border, lines


def _chains(segments: Iterable[tuple[Key, Key]], nodes: set[Key]) -> list[Points]:
    """Join segments end to end between nodes."""
    nexts: dict[Key, list[Key]] = defaultdict(list)
    for a, b in segments:
        nexts[a].append(b)
        nexts[b].append(a)
    used: set[tuple[Key, Key]] = set()
    out = []
    for start in [*sorted(k for k in nexts if k in nodes or len(nexts[k]) != 2), *sorted(nexts)]:
        for step in sorted(nexts[start]):
            if (start, step) in used:
                continue
            chain = [start, step]
            used |= {(start, step), (step, start)}
            while chain[-1] not in nodes and len(nexts[chain[-1]]) == 2 and chain[-1] != start:
                onward = [k for k in nexts[chain[-1]] if k != chain[-2]]
                used |= {(chain[-1], onward[0]), (onward[0], chain[-1])}
                chain.append(onward[0])
            out.append(_thinned(np.asarray(chain, dtype=float) * GRID))
    return out


def _thinned(line: Points) -> Points:
    """The line without samples that crowd nearer than `CROWD`; its ends stay."""
    keep, last = [0], line[0]
    for k in range(1, len(line) - 1):
        if math.hypot(*(line[k] - last)) >= CROWD and math.hypot(*(line[k] - line[-1])) >= CROWD:
            keep.append(k)
            last = line[k]
    return line[[*keep, len(line) - 1]]


def _clear(veins: Sequence[Points], region: BaseGeometry) -> list[Points]:
    """Veins cut back so that none comes near an edge or an earlier vein: they enclose nothing."""
    room = region.buffer(-CLEAR)
    out: list[Points] = []
    for vein in veins:
        kept = LineString(vein).intersection(room)
        merged = shapely.line_merge(kept) if isinstance(kept, MultiLineString) else kept
        runs = [r for r in parts(merged) if r.length >= SHORT]
        out += [even(np.asarray(r.coords)) for r in runs]
        room = room.difference(shapely.union_all(runs).buffer(CLEAR, quad_segs=6))
    return out
