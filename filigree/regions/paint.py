"""Paint: the faces of a painted drawing that are light fields or dark shapes, as the eye sees them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from filigree.drawing.model import Field
from filigree.geometry.poles import poles
from filigree.geometry.types import Area, BoolArray, FloatArray, IntArray, Shapes
from filigree.regions.chains import RUN, indices, pieces, unpack
from filigree.regions.faces import summed

LINE = 1.25  # mm: ink no wider than this between two regions is a line that both share
INSIDE = 0.97  # share of a field that lies in its face
COVERED = 0.9  # share of a face that is dark when the face is
STEP = 0.5  # mm between the places along an edge where the region across the line is looked up
MANY = 100_000  # such places, as 50 m of edge have; with more they lie farther apart
MOST_STEPS = 4.0  # times as far at most
ROOM = 5.0  # of the way from edge to edge: a piece of line to look up is as long
FEW = 0.5  # edges within reach: with fewer, a step to a wider reach may be a large one
MOST_REACHES = 10
TOUCHING = 0.75  # mm of shared line; less is a corner


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """Regions of a painted drawing.

    Attributes:
        shapes: polygons, `(n,)`.
        face: face of the lines each one is, or -1 where the visible edge is kept, `(n,)`.
        solid: True for dark shapes, `(n,)`.
    """

    shapes: Shapes
    face: IntArray
    solid: BoolArray


def see(faces: Shapes, fields: Sequence[Field], solids: Area) -> Seen:
    """Match fields and dark shapes with faces; a field without a face of its own keeps its edge.

    A face is a field's when it holds the field's pole and no other's, holds the field, and is larger
    by no more than half a line all round.
    """
    light = np.array([field.shape for field in fields], dtype=object)
    face = _faces_of(faces, light, np.array([field.at for field in fields]).reshape(-1, 2))
    shown = light.copy()
    shown[face >= 0] = faces[face[face >= 0]]
    free = np.ones(len(faces), dtype=bool)
    free[face[face >= 0]] = False
    dark = _dark(faces, np.flatnonzero(free), solids)
    return Seen(
        shapes=np.concatenate([shown, faces[dark]]),
        face=np.concatenate([face, dark]),
        solid=np.repeat([False, True], [len(light), len(dark)]),
    )


def neighbours_seen(
    seen: Seen, pairs: IntArray, shared: FloatArray, *, count: int
) -> tuple[IntArray, FloatArray]:
    """List the regions that share a drawn line: by the lines of their faces, else across thin ink.

    Args:
        seen: the regions.
        pairs: faces that share line, `(p, 2)`.
        shared: how much, mm, `(p,)`.
        count: number of faces.

    Returns:
        Pairs of regions, lesser first, sorted, and the shared length of each, mm.
    """
    region = np.full(count, -1, dtype=np.int64)
    region[seen.face[seen.face >= 0]] = np.flatnonzero(seen.face >= 0)
    both = np.sort(region[pairs], axis=1)
    known = both[:, 0] >= 0
    near, across = _across_lines(seen.shapes)
    size = max(len(seen.shapes), 1)
    drawn = both[known, 0] * size + both[known, 1]
    guessed = near[:, 0] * size + near[:, 1]
    new = ~np.isin(guessed, drawn) & (across >= TOUCHING)
    key = np.concatenate([drawn, guessed[new]])
    length = np.concatenate([shared[known], across[new]])
    order = np.argsort(key, kind="stable")
    return np.column_stack(np.divmod(key[order], size)).astype(np.int64), length[order]


def _faces_of(faces: Shapes, light: Shapes, at: FloatArray) -> IntArray:
    """Find the face of each field, or -1."""
    face = np.full(len(light), -1, dtype=np.int64)
    if not len(light) or not len(faces):
        return face
    holder, field = shapely.STRtree(np.asarray(shapely.points(at), dtype=object)).query(
        faces, predicate="contains"
    )
    alone = np.bincount(holder, minlength=len(faces))[holder] == 1
    alone &= np.bincount(field, minlength=len(light))[field] == 1
    field, holder = field[alone], holder[alone]
    size = shapely.area(light[field])
    fits = shapely.area(faces[holder]) <= size + LINE / 2 * shapely.length(light[field]) + LINE**2
    field, holder, size = field[fits], holder[fits], size[fits]
    held = _shared_mm2(light[field], faces[holder])
    good = held >= INSIDE * size
    face[field[good]] = holder[good]
    return face


def _dark(faces: Shapes, free: IntArray, solids: Area) -> IntArray:
    """Find the faces that lie in dark shapes."""
    if not len(free) or shapely.is_empty(solids):
        return np.empty(0, dtype=np.int64)
    parts = shapely.get_parts(solids)
    at, _ = poles(faces[free])
    place, part = shapely.STRtree(parts).query(
        np.asarray(shapely.points(at), dtype=object), predicate="within"
    )
    face = free[place]
    covered = _shared_mm2(faces[face], parts[part])
    return np.unique(face[covered >= COVERED * shapely.area(faces[face])])


def _shared_mm2(some: Shapes, others: Shapes) -> FloatArray:
    """Area that each shape shares with its partner; rings that touch themselves by rounding are mended first."""
    try:
        return np.asarray(shapely.area(shapely.intersection(some, others)))
    except shapely.errors.GEOSException:  # an overlay asks for rings that are valid to the last bit
        some, others = shapely.make_valid(some), shapely.make_valid(others)
        return np.asarray(shapely.area(shapely.intersection(some, others)))


def _across_lines(shapes: Shapes) -> tuple[IntArray, FloatArray]:
    """Measure how much of each edge has another region right across a line."""
    nothing = np.empty((0, 2), dtype=np.int64), np.empty(0)
    if len(shapes) < 2:
        return nothing
    edges = shapely.boundary(shapes)
    step = _step(edges)
    edges = shapely.segmentize(edges, step)
    lines, line_of = shapely.get_parts(edges, return_index=True)
    chains = unpack(lines)
    crowd = _crowd(edges)
    tree, first, size = pieces(chains, max(1, min(RUN, round(ROOM / (step * crowd)))))
    of = line_of[np.repeat(np.arange(len(chains)), np.diff(chains.offsets))]
    begin = indices(first, size)
    step = np.hypot(*(chains.xy[begin + 1] - chains.xy[begin]).T)
    middle = np.asarray(shapely.points((chains.xy[begin] + chains.xy[begin + 1]) / 2))
    owner = of[begin]
    place, other = _nearest_foreign(tree, middle, owner, of[first], _reaches(crowd))
    if not len(place):
        return nothing
    here, there, length = owner[place], other, step[place]
    low, high = np.minimum(here, there), np.maximum(here, there)
    key, where = np.unique(low * len(shapes) + high, return_inverse=True)
    one = summed(where[here < there], length[here < there], len(key))
    two = summed(where[here > there], length[here > there], len(key))
    return np.column_stack(np.divmod(key, len(shapes))).astype(np.int64), np.maximum(one, two)


def _step(edges: Shapes) -> float:
    """Distance between the places that are looked up, mm: wider where there would be very many."""
    return STEP * min(MOST_STEPS, max(1.0, float(shapely.length(edges).sum()) / (STEP * MANY)))


def _crowd(edges: Shapes) -> float:
    """How close edges lie, mm of edge on each mm2 of the drawing."""
    left, top, right, bottom = shapely.total_bounds(edges)
    return float(shapely.length(edges).sum() / max((right - left) * (bottom - top), LINE**2))


def _reaches(crowd: float) -> list[float]:
    """Distances at which to look for other edges, mm: the first of them meets few, the last is a line."""
    reaches = [LINE, LINE / 2]
    while reaches[-1] > LINE / 8 or (reaches[-1] * crowd > FEW and len(reaches) < MOST_REACHES):
        reaches.append(reaches[-1] / (2 if crowd * reaches[-1] > FEW else 4))
    return reaches[::-1]


def _nearest_foreign(
    tree: shapely.STRtree,
    points: Shapes,
    owner: IntArray,
    region: IntArray,
    reaches: Sequence[float],
) -> tuple[IntArray, IntArray]:
    """Find for each point the region, not its own, whose edge is nearest, no farther than a line is wide.

    Near edges are looked for first, the nearer the more crowded they are, so that not all are compared.
    """
    left = np.arange(len(points))
    places: list[IntArray] = []
    others: list[IntArray] = []
    for reach in reaches:
        place, run = tree.query(points[left], predicate="dwithin", distance=reach)
        place, other = left[place], region[run]
        foreign = owner[place] != other
        place, run, other = place[foreign], run[foreign], other[foreign]
        off = shapely.distance(points[place], tree.geometries[run])
        order = np.lexsort((other, off, place))
        first = order[np.flatnonzero(np.diff(place[order], prepend=-1))]
        places.append(place[first])
        others.append(other[first])
        left = np.setdiff1d(left, place[first], assume_unique=True)
    place = np.concatenate(places)
    order = np.argsort(place)
    return place[order], np.concatenate(others)[order]
