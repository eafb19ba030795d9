"""Hatching read from a scan: even parallel strokes that fill one field, a second set across them too.

What may be hatching is left out first, so that the other lines show the fields; then the strokes inside each
field are weighed together. Strokes that turn out to be drawing become walls, and the fields are looked at
again. Limits are common practice, no source.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from filigree.drawing.scan.beside import Lines, beside, lines_of
from filigree.drawing.scan.family import families
from filigree.drawing.scan.grown import grow
from filigree.drawing.scan.meetings import Meetings, meetings
from filigree.geometry.types import BoolArray, FloatArray, IntArray

FEW = 3  # strokes of a hatched place, at least
SECOND = 2  # strokes that one of the second set crosses, and strokes of it, at least
ROUNDS = 5
INNER = 0.15  # share of a stroke at each end that other lines may meet
LIES_IN = 0.7  # share of a stroke that lies in its field
BUILT_ON = 3  # ends of other lines on it that make it a drawn line
LONGER = 1.7  # times the usual stroke
CRUMB = 0.9  # share of a remnant that lies among the strokes
ALIKE = np.radians(25)  # direction of a remnant against the strokes
TOUCHING = 0.4  # share of strokes with both ends on a line that may seem to bound their field
SHORT = 1.6  # distances of the strokes: shorter remnants may lie any way

Faces = Callable[[BoolArray], Sequence[shapely.Polygon]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hatched:
    """One hatched field: indices of its strokes, the area they cover, mm between them.

    `field` is the whole field; `partings` are parts of other lines that are strokes in it.
    """

    members: IntArray
    area: shapely.Geometry
    step: float
    field: shapely.Polygon
    partings: tuple[FloatArray, ...] = ()


def find_hatching(polylines: list[FloatArray], faces: Faces) -> list[Hatched]:
    """Find hatched fields among polylines, mm.

    Args:
        polylines: all lines of the drawing.
        faces: fields that remain when only the lines flagged True divide them.
    """
    if len(polylines) < FEW:
        return []
    lines = lines_of(polylines)
    met = meetings(lines)
    first = maybe = _candidates(lines, met)
    if not maybe.any():
        return []
    bounding = _bounding(lines, ~maybe, list(faces(~maybe)))
    anchored = [*met.piece[bounding], _largest(lines, met)]
    loose = ~np.isin(met.piece, anchored)  # pieces that bound no field
    held_up = ((met.onto >= 0) | met.corner).all(1)
    fork = ((met.onto >= 0) & met.corner).any(1)
    drawn = held_up & ((met.hosts >= BUILT_ON) | fork) | _held(lines, first, bounding)
    maybe = first & (loose | ~drawn)
    found: list[Hatched] = []
    gone = np.zeros(len(polylines), bool)
    for _ in range(ROUNDS):
        if not maybe.any():
            break
        walls = ~maybe & ~gone
        fields = list(faces(walls))
        owner = _owners(lines, np.flatnonzero(maybe), fields)
        still = np.zeros(len(polylines), bool)
        for n, field in enumerate(fields):
            members = np.flatnonzero(owner == n)
            hatched = _hatched(lines, members, field, met, loose)
            if hatched is not None:
                gone[hatched.members] = True
                found.append(hatched)
            else:
                still[_likelier(lines, members)] = True
        maybe = still
    found = [_with_crumbs(lines, _with_second(lines, h, gone), gone, first & loose) for h in found]
    return _grown(lines, found, met, faces)


def _grown(lines: Lines, found: list[Hatched], met: Meetings, faces: Faces) -> list[Hatched]:
    """Also the strips beyond outermost strokes, where the strokes reach from line to line."""
    if not found:
        return found
    gone = np.zeros(len(lines.length), bool)
    gone[np.concatenate([h.members for h in found])] = True
    fields = list(faces(~gone))
    out = []
    for h in found:
        if float(np.mean((met.onto[h.members] >= 0).all(1))) < TOUCHING:
            out.append(h)
            continue
        own = grow(h.field, list(lines.shapes[h.members]), h.step, fields)
        strips = shapely.difference(own.field, h.field)
        area = shapely.union(h.area, strips) if own.partings else h.area
        out.append(replace(h, field=own.field, partings=own.partings, area=area))
    return out


def _candidates(lines: Lines, met: Meetings) -> BoolArray:
    """Straight lines that run beside another one and are no side between two corners."""
    side = met.corner.all(1) & (met.crosses == 0)
    pairs = beside(lines, np.flatnonzero(lines.straight & ~side))
    maybe = np.zeros(len(lines.length), bool)
    maybe[pairs.first] = True
    return maybe


def _largest(lines: Lines, met: Meetings) -> int:
    """Number of the piece that reaches farthest: the drawing itself."""
    low, high = np.full((2, met.piece.max() + 1, 2), np.inf)
    box = shapely.bounds(lines.shapes)
    np.minimum.at(low, met.piece, box[:, :2])
    np.minimum.at(high, met.piece, -box[:, 2:])
    return int(np.argmax(-(high + low).sum(1)))


def _bounding(lines: Lines, walls: BoolArray, fields: list[shapely.Polygon]) -> BoolArray:
    """Walls that bound a field; veins and loose ends do not."""
    bounding = np.zeros(len(lines.length), bool)
    wall = np.flatnonzero(walls)
    if not len(wall) or not fields:
        return bounding
    rims = shapely.boundary(np.array(fields, object))
    near, _ = shapely.STRtree(rims).query(
        shapely.line_interpolate_point(lines.shapes[wall], 0.5, normalized=True),
        predicate="dwithin",
        distance=0.05,
    )
    bounding[wall[near]] = True
    return bounding


def _likelier(lines: Lines, members: IntArray) -> IntArray:
    """Strokes worth another look: without those much longer than the rest, which may be drawn lines."""
    if len(members) <= FEW:
        return members[:0]
    length = lines.length[members]
    kept = members[length <= LONGER * np.median(length)]
    return kept if FEW <= len(kept) < len(members) else members[:0]


def _held(lines: Lines, maybe: BoolArray, walls: BoolArray) -> BoolArray:
    """Candidates that a wall crosses or ends on: drawn lines are built upon, strokes are not."""
    held = np.zeros(len(lines.length), bool)
    of, wall = np.flatnonzero(maybe), np.flatnonzero(walls)
    if not len(of) or not len(wall):
        return held
    a, b = lines.starts[of], lines.ends[of]
    inner = shapely.linestrings(np.stack([a + INNER * (b - a), b - INNER * (b - a)], axis=1))
    at, _ = shapely.STRtree(lines.shapes[wall]).query(inner, predicate="intersects")
    held[of[at]] = True
    tips = [shapely.Point(p) for p in np.concatenate([lines.starts[wall], lines.ends[wall]])]
    at, _ = shapely.STRtree(tips).query(inner, predicate="dwithin", distance=0.1)
    held[of[at]] = True
    return held


def _owners(lines: Lines, of: IntArray, fields: list[shapely.Polygon]) -> IntArray:
    """Number of the field that each of the lines `of` lies in; -1 for none."""
    owner = np.full(len(lines.length), -1)
    if not len(of) or not fields:
        return owner
    shapes = np.array(fields, object)
    middle = shapely.line_interpolate_point(lines.shapes[of], 0.5, normalized=True)
    at, field = shapely.STRtree(shapes).query(middle, predicate="intersects")
    order = np.argsort(-shapely.area(shapes[field]), kind="stable")  # the smallest is written last
    owner[of[at[order]]] = field[order]
    own = of[owner[of] >= 0]
    inside = shapely.length(shapely.intersection(lines.shapes[own], shapes[owner[own]]))
    owner[own[inside < LIES_IN * lines.length[own]]] = -1
    return owner


def _hatched(
    lines: Lines, members: IntArray, field: shapely.Polygon, met: Meetings, loose: BoolArray
) -> Hatched | None:
    """The hatching of one field, or None when its strokes are none."""
    if len(members) < FEW:
        return None
    onto = np.where(loose[members, None], -1, met.onto[members])
    good = families(lines, members, field, onto)
    if not good:
        return None
    area = shapely.intersection(shapely.union_all([f.area for f in good]), field)
    return Hatched(
        members=np.sort(np.concatenate([f.members for f in good])),
        area=area,
        step=good[0].step,
        field=field,
    )


def _with_second(lines: Lines, hatched: Hatched, gone: BoolArray) -> Hatched:
    """Also straight lines in the field that run side by side across the strokes; a vein does so alone."""
    near = shapely.STRtree(lines.shapes).query(hatched.field, predicate="intersects")
    near = near[~gone[near] & lines.straight[near]]
    inside = shapely.length(shapely.intersection(lines.shapes[near], hatched.field))
    near = near[inside >= CRUMB * lines.length[near]]
    if len(near) < SECOND:
        return hatched
    at, _ = shapely.STRtree(lines.shapes[hatched.members]).query(
        lines.shapes[near], predicate="intersects"
    )
    rim = shapely.distance(
        shapely.line_interpolate_point(lines.shapes[near], 0.5, normalized=True),
        hatched.field.boundary,
    )
    near = near[(np.bincount(at, minlength=len(near)) >= SECOND) & (rim > 0)]
    pairs = beside(lines, np.union1d(near, hatched.members))
    paired = np.isin(near, pairs.first)
    gone[near[paired]] = True
    return replace(hatched, members=np.union1d(hatched.members, near[paired]))


def _with_crumbs(lines: Lines, hatched: Hatched, gone: BoolArray, plain: BoolArray) -> Hatched:
    """Also the remnants among the strokes: they run the same way, are very short, or bound nothing."""
    near = shapely.STRtree(lines.shapes).query(hatched.area, predicate="intersects")
    near = near[~gone[near]]
    if not len(near):
        return hatched
    inside = shapely.length(shapely.intersection(lines.shapes[near], hatched.area))
    near = near[inside >= CRUMB * lines.length[near]]
    ways = lines.turn[hatched.members]
    off = np.abs((lines.turn[near, None] - ways + np.pi / 2) % np.pi - np.pi / 2).min(1)
    longest = float(lines.length[hatched.members].max())
    small = (lines.length[near] <= SHORT * hatched.step) | plain[near]
    alike = (off < ALIKE) & (lines.length[near] <= 1.2 * longest)
    return replace(hatched, members=np.union1d(hatched.members, near[small | alike]))
