"""Skeleton: thinned ink as a graph of pixel chains between ends and junctions."""

from dataclasses import dataclass

import numpy as np

from filigree.drawing.scan.ink import Mask
from filigree.geometry.types import FloatArray, IntArray

AROUND = (
    (0, 1),
    (1, 0),
    (0, -1),
    (-1, 0),
    (1, 1),
    (1, -1),
    (-1, -1),
    (-1, 1),
)  # straight, then slanting
BESIDE = {
    4: (0, 1),
    5: (1, 2),
    6: (2, 3),
    7: (3, 0),
}  # straight neighbours that make a slanting one redundant


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chains:
    """Pixel chains; chain k is `points[starts[k]:starts[k + 1]]`, `(x, y)` in pixels.

    Attributes:
        points: all pixels of all chains in order, `(n, 2)`.
        starts: first index of each chain and one past the last, `(k + 1,)`.
        nodes: node at start and end of each chain, `(k, 2)`; -1 and -1 for a closed one.
        places: middle of each node's pixels, `(m, 2)`.
    """

    points: FloatArray
    starts: IntArray
    nodes: IntArray
    places: FloatArray


def thin(mask: Mask) -> Chains:
    """Thin the ink and follow its skeleton."""
    from skimage.morphology import skeletonize

    bones = skeletonize(np.pad(mask, 1))[1:-1, 1:-1]  # type: ignore[no-untyped-call]
    flat = np.flatnonzero(bones)
    links = _links(flat, bones.shape)
    return _follow(flat, bones.shape[1], links)


def _links(flat: IntArray, shape: tuple[int, int]) -> IntArray:
    """Neighbours of each pixel, `(n, 8)`, -1 for none; slanting ones only where no straight way leads."""
    width = shape[1]
    x, y = flat % width, flat // width
    found = np.full((flat.size, 8), -1, np.int64)
    for k, (dy, dx) in enumerate(AROUND):
        inside = (x + dx >= 0) & (x + dx < width) & (y + dy >= 0) & (y + dy < shape[0])
        wanted = flat + dy * width + dx
        at = np.minimum(np.searchsorted(flat, wanted), flat.size - 1)
        hit = inside & (flat[at] == wanted)
        found[hit, k] = at[hit]
    for k, (one, other) in BESIDE.items():
        found[(found[:, one] >= 0) | (found[:, other] >= 0), k] = -1
    return found


def _follow(flat: IntArray, width: int, links: IntArray) -> Chains:
    """Walk from node to node, then round the closed chains."""
    degree = (links >= 0).sum(1)
    node_of, places = _nodes(flat, width, links, degree)
    joint = node_of >= 0
    ways = [[n for n in row if n >= 0] for row in links.tolist()]
    at_node = joint.tolist()
    names = node_of.tolist()
    used = bytearray(flat.size)
    order: list[int] = []
    starts, ends = [0], []

    def walk(first: int, second: int) -> int:
        before, now = first, second
        order.append(first)
        while True:
            order.append(now)
            if at_node[now]:
                return now
            used[now] = 1
            ahead = [n for n in ways[now] if n != before]
            if not ahead or (ahead[0] == first and not at_node[first]):
                return now
            before, now = now, ahead[0]

    for pixel in np.flatnonzero(joint).tolist():
        for way in ways[pixel]:
            if at_node[way]:
                if names[way] == names[pixel] or way < pixel:
                    continue
            elif used[way]:
                continue
            last = walk(pixel, way)
            starts.append(len(order))
            ends.append((names[pixel], names[last] if at_node[last] else names[pixel]))
    for pixel in np.flatnonzero((degree == 2) & ~joint).tolist():
        if used[pixel]:
            continue
        used[pixel] = 1
        walk(pixel, ways[pixel][0])
        starts.append(len(order))
        ends.append((-1, -1))
    index = flat[np.array(order, np.int64)] if order else np.zeros(0, np.int64)
    return Chains(
        points=np.column_stack([index % width, index // width]).astype(np.float64),
        starts=np.array(starts, np.int64),
        nodes=np.array(ends, np.int64).reshape(-1, 2),
        places=places,
    )


def _nodes(
    flat: IntArray, width: int, links: IntArray, degree: IntArray
) -> tuple[IntArray, FloatArray]:
    """Name the ends and the junctions; touching junction pixels are one."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    busy = degree > 2
    rows, columns = np.nonzero((links >= 0) & busy[:, None])
    to = links[rows, columns]
    both = busy[to]
    graph = coo_array(
        (np.ones(both.sum(), np.int8), (rows[both], to[both])), shape=(flat.size,) * 2
    )
    _, group = connected_components(graph, directed=False)
    is_node = busy | (degree <= 1)
    node_of = np.full(flat.size, -1, np.int64)
    kept, named = np.unique(group[is_node], return_inverse=True)
    node_of[is_node] = named
    count = np.maximum(np.bincount(named, minlength=kept.size), 1)
    x = np.bincount(named, (flat % width)[is_node], minlength=kept.size) / count
    y = np.bincount(named, (flat // width)[is_node], minlength=kept.size) / count
    return node_of, np.column_stack([x, y])
