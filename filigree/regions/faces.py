"""Faces: which walks of an arrangement bound which enclosed face, and the faces as polygons."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes
from filigree.regions.arrangement import Arrangement, euler_pieces, pieces_of
from filigree.regions.chains import indices, lengths, offsets_of

OUTSIDE = -1

LEAST = 3  # vertices of a ring


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Faces:
    """The enclosed faces of an arrangement.

    Attributes:
        graph: the arrangement.
        of: face on the left of each half-edge, OUTSIDE when it is not enclosed, `(2 k,)`.
        area: area of each face without its holes, mm2, `(f,)`.
        around: length of each face's whole boundary, mm, `(f,)`.
        length: length of each chain, mm, `(k,)`.
        swept: signed area swept along each half-edge, mm2, `(2 k,)`.
    """

    graph: Arrangement
    of: IntArray
    area: FloatArray
    around: FloatArray
    length: FloatArray
    swept: FloatArray

    def __len__(self) -> int:
        return len(self.area)

    @property
    def thickness(self) -> FloatArray:
        """Mean width of each face, mm: width of a long strip, inradius of a square."""
        return np.asarray(2 * self.area / self.around)


def find_faces(graph: Arrangement) -> Faces:
    """Number the enclosed faces, and give each hole to the face it lies in."""
    sizes = np.diff(graph.starts)
    swept = _swept(graph)
    area = summed(graph.walk, swept, len(sizes))
    length = lengths(graph.chains)
    inner = _inner(graph, area)
    area = np.where(inner, np.maximum(area, 0.0), np.minimum(area, 0.0))
    face = np.full(len(sizes), OUTSIDE, dtype=np.int64)
    face[inner] = np.arange(np.count_nonzero(inner))
    outer = np.flatnonzero(~inner)
    if len(outer) > 1:
        face[outer] = _faces_around(graph, np.flatnonzero(inner), area[inner], outer)
    of = face[graph.walk]
    enclosed = face >= 0
    count = int(np.count_nonzero(inner))
    return Faces(
        graph=graph,
        of=of,
        area=summed(face[enclosed], area[enclosed], count),
        around=summed(of[of >= 0], np.repeat(length, 2)[of >= 0], count),
        length=length,
        swept=swept,
    )


def _inner(graph: Arrangement, area: FloatArray) -> BoolArray:
    """Mark the walks round the inside of a face: all but one of each connected piece."""
    inner = area > 0
    if np.count_nonzero(~inner) == euler_pieces(graph):
        return inner
    # the area of a hairline may come out as nothing, or less
    piece = pieces_of(graph)[graph.origin[graph.order[graph.starts[:-1]]]]
    order = np.lexsort((area, piece))
    inner[:] = True
    inner[order[np.flatnonzero(np.diff(piece[order], prepend=-1))]] = False
    return inner


def polygons(faces: Faces) -> tuple[Shapes, Shapes]:
    """Build the polygon of each face, `(f,)`, and the filled outermost closed lines, largest first."""
    graph = faces.graph
    if not len(graph.chains):
        return np.empty(0, dtype=object), np.empty(0, dtype=object)
    order, starts = _simple_rings(graph)
    area = np.add.reduceat(faces.swept[order], starts[:-1])
    face = faces.of[order[starts[:-1]]]
    held = np.flatnonzero(face >= 0)
    held = held[np.lexsort((area[held] <= 0, face[held]))]  # the ring round a face, then its holes
    outermost = np.flatnonzero(face < 0)
    outermost = outermost[np.argsort(area[outermost], kind="stable")]
    shapes = _filled(graph, *_some(order, starts, held), np.bincount(face[held]))
    outlines = _filled(graph, *_some(order, starts, outermost), np.ones(len(outermost), dtype=int))
    return shapes, outlines


def neighbours(faces: Faces) -> tuple[IntArray, FloatArray]:
    """List the pairs of faces that share line, `(p, 2)` lesser first, sorted, and how much, mm."""
    left, right = faces.of[0::2], faces.of[1::2]
    low, high = np.minimum(left, right), np.maximum(left, right)
    inside = (low >= 0) & (low != high)
    key, where = np.unique(low[inside] * len(faces) + high[inside], return_inverse=True)
    shared = summed(where, faces.length[inside], len(key))
    return np.column_stack(np.divmod(key, max(len(faces), 1))).astype(np.int64), shared


def summed(place: IntArray, values: FloatArray, count: int) -> FloatArray:
    """Add up values place by place, `(count,)`."""
    return np.asarray(np.bincount(place, weights=values, minlength=count), dtype=np.float64)


def _swept(graph: Arrangement) -> FloatArray:
    """Area each half-edge sweeps as seen from the middle of the drawing, mm2, `(2 k,)`."""
    chains = graph.chains
    if not len(chains):
        return np.empty(0)
    x, y = chains.xy.T.copy()
    x, y = x - x.mean(), y - y.mean()
    cross = np.zeros(len(x))
    cross[:-1] = x[:-1] * y[1:] - y[:-1] * x[1:]
    cross[chains.lasts] = 0.0
    forward = np.add.reduceat(cross, chains.firsts) / 2
    both = np.empty(2 * len(chains))
    both[0::2], both[1::2] = forward, -forward
    return both


def _faces_around(
    graph: Arrangement, inner: IntArray, area: FloatArray, outer: IntArray
) -> IntArray:
    """Find the least face round each outer walk, by its place in `inner`; OUTSIDE when there is none."""
    piece = pieces_of(graph)[graph.origin[graph.order[graph.starts[:-1]]]]
    vertex, starts = _walk_vertices(graph, graph.order, graph.starts)
    xy = graph.chains.xy.take(vertex, axis=0)
    low = np.minimum.reduceat(xy, starts[:-1])
    high = np.maximum.reduceat(xy, starts[:-1])
    boxes = shapely.box(low[inner, 0], low[inner, 1], high[inner, 0], high[inner, 1])
    point = xy[starts[outer]]
    tree = shapely.STRtree(boxes)
    which, box = tree.query(shapely.points(point))
    other = piece[outer[which]] != piece[inner[box]]
    which, box = which[other], box[other]
    around = np.full(len(outer), OUTSIDE, dtype=np.int64)
    if not len(which):
        return around
    used, place = np.unique(box, return_inverse=True)
    some = _some(graph.order, graph.starts, inner[used])
    shells = _filled(graph, *some, np.ones(len(used), dtype=np.int64))
    shapely.prepare(shells)
    within = shapely.contains_xy(shells[place], point[which, 0], point[which, 1])
    which, box = which[within], box[within]
    widest_first = np.argsort(-area[box], kind="stable")
    around[which[widest_first]] = box[widest_first]
    return around


def _some(order: IntArray, starts: IntArray, which: IntArray) -> tuple[IntArray, IntArray]:
    sizes = np.diff(starts)[which]
    return order[indices(starts[which], sizes)], offsets_of(sizes)


def _simple_rings(graph: Arrangement) -> tuple[IntArray, IntArray]:
    """Split walks that pass a node more than once into simple rings; give `order` and `starts` anew."""
    order, starts = graph.order, graph.starts
    walk = graph.walk[order]
    node = graph.origin[order]
    by = np.lexsort((node, walk))
    twice = (np.diff(walk[by]) == 0) & (np.diff(node[by]) == 0)
    if not twice.any():
        return order, starts
    pinched = np.unique(walk[by][1:][twice])
    rings = []
    for number in pinched.tolist():
        rings.extend(_split(order[starts[number] : starts[number + 1]], graph.origin))
    keep = np.ones(len(starts) - 1, dtype=bool)
    keep[pinched] = False
    kept, kept_starts = _some(order, starts, np.flatnonzero(keep))
    sizes = np.concatenate([np.diff(kept_starts), [len(ring) for ring in rings]]).astype(np.int64)
    return np.concatenate([kept, *(np.array(ring, dtype=np.int64) for ring in rings)]), offsets_of(
        sizes
    )


def _split(halves: IntArray, origin: IntArray) -> list[list[int]]:
    rings: list[list[int]] = []
    path: list[int] = []
    seen: dict[int, int] = {}
    for half, node in zip(halves.tolist(), origin[halves].tolist(), strict=True):
        if node in seen:
            cut = seen[node]
            rings.append(path[cut:])
            for gone in path[cut:]:
                seen.pop(int(origin[gone]), None)
            del path[cut:]
        seen[node] = len(path)
        path.append(half)
    rings.append(path)
    return rings


def _walk_vertices(
    graph: Arrangement, order: IntArray, starts: IntArray
) -> tuple[IntArray, IntArray]:
    """Indices of the vertices of closed walks, each vertex once, and their offsets."""
    chains = graph.chains
    chain = order >> 1
    backward = (order & 1).astype(bool)
    steps = np.diff(chains.offsets)[chain] - 1
    begin = chains.firsts[chain] + backward
    where = indices(begin, steps, backward=backward)
    return where, offsets_of(steps)[starts]


def _filled(graph: Arrangement, order: IntArray, starts: IntArray, rings: IntArray) -> Shapes:
    """Build polygons from closed walks, the first of each the ring round it; `rings` walks each."""
    vertex, offsets = _walk_vertices(graph, order, starts)
    size = np.diff(offsets)
    # a line drawn twice goes there and back: it holds no area, but is a ring
    room = offsets_of(np.maximum(size, LEAST) + 1)
    closed = np.empty(room[-1], dtype=np.int64)
    closed[np.arange(len(vertex)) + np.repeat(room[:-1] - offsets[:-1], size)] = vertex
    closed[room[1:] - 1] = vertex[offsets[:-1]]
    for k in np.flatnonzero(size < LEAST).tolist():
        closed[room[k] + size[k] : room[k + 1] - 1] = vertex[offsets[k + 1] - 1]
    xy = graph.chains.xy.take(closed, axis=0)
    ring = shapely.GeometryType.POLYGON
    return np.asarray(shapely.from_ragged_array(ring, xy, (room, offsets_of(rings))))
