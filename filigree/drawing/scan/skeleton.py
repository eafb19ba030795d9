"""Skeleton: thinned ink as a graph of pixel chains between ends and junctions."""

from dataclasses import dataclass

import numpy as np

from filigree.drawing.scan.ink import Mask
from filigree.drawing.scan.thinned import thinned
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
    return chains_of(thinned(mask), mask.shape)


def chains_of(flat: IntArray, shape: tuple[int, int]) -> Chains:
    """Follow a skeleton.

    Args:
        flat: its pixels, ascending, as places in the flattened picture.
        shape: rows and columns of the picture.
    """
    links = _links(flat, shape)
    degree = (links >= 0).sum(1)
    node_of, places = _nodes(flat, shape[1], links, degree)
    starts = _starts(links, node_of)
    order, cuts, ends = _followed(links, node_of, starts)
    index = flat[order]
    return Chains(
        points=np.column_stack([index % shape[1], index // shape[1]]).astype(np.float64),
        starts=cuts,
        nodes=ends,
        places=places,
    )


def _links(flat: IntArray, shape: tuple[int, int]) -> IntArray:
    """Neighbours of each pixel, `(n, 8)`, -1 for none; slanting ones only where no straight way leads."""
    rows, columns = shape
    wide = columns + 2
    at = (flat // columns + 1) * wide + flat % columns + 1
    rank = np.full((rows + 2) * wide, -1, np.int32)
    rank[at] = np.arange(flat.size, dtype=np.int32)
    found = np.stack([rank[at + dy * wide + dx] for dy, dx in AROUND]).astype(np.int64)
    for k, (one, other) in BESIDE.items():
        found[k, (found[one] >= 0) | (found[other] >= 0)] = -1
    return np.ascontiguousarray(found.T)


def _starts(links: IntArray, node_of: IntArray) -> IntArray:
    """Ways that lead out of nodes, `(k, 2)`: the node's pixel and the next one, in reading order."""
    pixels = np.flatnonzero(node_of >= 0)
    row, column = np.nonzero(links[pixels] >= 0)
    first, second = pixels[row], links[pixels[row], column]
    # between touching nodes once, and not within one
    once = (node_of[second] < 0) | ((node_of[second] != node_of[first]) & (second > first))
    return np.column_stack([first[once], second[once]])


def _followed(
    links: IntArray, node_of: IntArray, starts: IntArray
) -> tuple[IntArray, IntArray, IntArray]:
    """Pixels of all chains, the first of each chain, and their nodes.

    A search in depth walks along a chain to its end before it turns to the next start.
    """
    path = node_of < 0
    inner = starts[path[starts[:, 1]]]
    walked, cuts = _walk(links, path, inner[:, 1])
    begin = inner[_first_of(inner[:, 1], walked[cuts[:-1]])]
    last, before = walked[cuts[1:] - 1], walked[np.maximum(cuts[1:] - 2, 0)]
    before = np.where(np.diff(cuts) > 1, before, begin[:, 0])
    onward = links[last]
    finish = np.where((onward >= 0) & (onward != before[:, None]), onward, -1).max(1)
    finish = np.where(finish < 0, begin[:, 0], finish)
    left = path.copy()
    left[walked] = False
    loops, loop_cuts = _walk(links, left, np.flatnonzero(left))
    short = starts[~path[starts[:, 1]]]
    pixels = np.concatenate([_framed(walked, cuts, begin[:, 0], finish), short.reshape(-1)])
    joined = np.concatenate([np.diff(cuts) + 2, np.full(len(short), 2)])
    nodes = np.concatenate([node_of[np.column_stack([begin[:, 0], finish])], node_of[short]])
    of = np.concatenate([begin, short])
    rank = np.argsort(_first_of_rows(starts, of), kind="stable")
    order = pixels[_gathered(np.cumsum(joined) - joined, joined, rank)]
    # a loop is named by its lowest pixel, which stands first
    cut = np.concatenate([joined[rank], np.diff(loop_cuts)])
    alone = np.full((len(loop_cuts) - 1, 2), -1)
    return (
        np.concatenate([order, loops]),
        np.append(0, np.cumsum(cut)).astype(np.int64),
        np.concatenate([nodes[rank], alone]).astype(np.int64),
    )


def _walk(links: IntArray, path: Mask, starts: IntArray) -> tuple[IntArray, IntArray]:
    """Pixels of `path` in the order of a walk from each start along all that hangs together, and its cuts."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import depth_first_order

    pixels = np.flatnonzero(path)
    if not starts.size:
        return np.zeros(0, np.int64), np.zeros(1, np.int64)
    name = np.full(len(path) + 1, -1)
    name[pixels] = np.arange(pixels.size)
    to = name[links[pixels]]  # no link is the last name, which is none
    count = (to >= 0).sum(1)
    spine = pixels.size + np.arange(starts.size)
    # each joint of the spine leads to one start and then to the next joint
    knots = np.column_stack([name[starts], spine + 1]).reshape(-1)[:-1]
    indices = np.concatenate([to[to >= 0], knots])
    ahead = np.append(count, np.append(np.full(starts.size - 1, 2), 1))
    first = np.append(0, np.cumsum(ahead))
    size = pixels.size + starts.size
    graph = csr_array((np.ones(indices.size), indices, first), shape=(size, size))
    order = depth_first_order(graph, pixels.size, return_predecessors=False)
    order = np.asarray(order, np.int64)
    joint = order >= pixels.size
    # a joint without pixels behind it led to what was walked already
    cuts: IntArray = np.unique((np.cumsum(~joint) - ~joint)[joint])
    walked = pixels[order[~joint]]
    return walked, np.unique(np.append(cuts, walked.size))


def _first_of(among: IntArray, wanted: IntArray) -> IntArray:
    """First place of each wanted value among others."""
    order = np.argsort(among, kind="stable")
    return np.asarray(order[np.searchsorted(among[order], wanted)])


def _first_of_rows(rows: IntArray, wanted: IntArray) -> IntArray:
    """First place of each wanted pair among others."""
    size = int(rows.max(initial=0)) + 1
    return _first_of(rows[:, 0] * size + rows[:, 1], wanted[:, 0] * size + wanted[:, 1])


def _framed(walked: IntArray, cuts: IntArray, begin: IntArray, finish: IntArray) -> IntArray:
    """Chains with the pixel of a node before and behind each."""
    out = np.insert(walked, cuts[:-1], begin)
    behind = cuts[1:] + np.arange(1, len(begin) + 1)
    return np.asarray(np.insert(out, behind, finish))


def _gathered(first: IntArray, size: IntArray, order: IntArray) -> IntArray:
    """Places of the pieces `first`, `size` laid one behind the other in a new order."""
    size = size[order]
    inner = np.arange(size.sum()) - np.repeat(np.cumsum(size) - size, size)
    return np.asarray(np.repeat(first[order], size) + inner)


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
