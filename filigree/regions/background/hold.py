"""Hold: what would come loose from the piece's edge if a region were cut out, and how far in it lies."""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hold:
    """What hangs by each region, `(n,)`.

    Attributes:
        loose: how many regions reach the edge only through it.
        parts: in how many separate parts these hang.
        loose_area: their area, mm2.
        depth: regions crossed on the shortest way in from the edge; 1 at the edge.
    """

    loose: FloatArray
    parts: FloatArray
    loose_area: FloatArray
    depth: FloatArray


def hold(pairs: IntArray, edge: BoolArray, area: FloatArray) -> Hold:
    """Find what hangs by each region.

    Args:
        pairs: rows that share a drawn line, `(k, 2)`.
        edge: True for rows that lie along the piece's edge, `(n,)`.
        area: of each row, mm2.
    """
    count = len(area)
    near: list[list[int]] = [[] for _ in range(count + 1)]
    for a, b in pairs.tolist():
        near[a].append(b)
        near[b].append(a)
    for a in np.flatnonzero(edge).tolist():
        near[a].append(count)
        near[count].append(a)
    depth = _depth(near)
    loose, parts, size = np.zeros(count), np.zeros(count), np.zeros(count)
    for cut, regions, whole in _hanging(near, area):
        loose[cut] += regions
        parts[cut] += 1
        size[cut] += whole
    return Hold(loose=loose, parts=parts, loose_area=size, depth=np.array(depth[:count]))


def _depth(near: list[list[int]]) -> list[float]:
    """Steps from the outside, the last node; what no way leads to lies as deep as there are nodes."""
    depth = [float(len(near))] * len(near)
    depth[-1] = 0.0
    todo = [len(near) - 1]
    for i in todo:
        for j in near[i]:
            if depth[j] == len(near):
                depth[j] = depth[i] + 1
                todo.append(j)
    return depth


def _hanging(near: list[list[int]], area: FloatArray) -> list[tuple[int, int, float]]:
    """Each part that hangs by one node: that node, how many nodes hang there, and their area.

    Depth first from the outside; a child from whose part no line leads above its parent hangs by it
    (Tarjan's cut nodes).
    """
    root = len(near) - 1
    order = [0] * len(near)
    low = [0] * len(near)
    size = [1] * len(near)
    whole = [*area.tolist(), 0.0]
    found: list[tuple[int, int, float]] = []
    clock = 1
    order[root] = low[root] = clock
    stack = [(root, -1, iter(near[root]))]
    while stack:
        node, parent, rest = stack[-1]
        child = next(rest, None)
        if child is None:
            stack.pop()
            if parent < 0:
                continue
            low[parent] = min(low[parent], low[node])
            size[parent] += size[node]
            whole[parent] += whole[node]
            if parent != root and low[node] >= order[parent]:
                found.append((parent, size[node], whole[node]))
        elif child == parent:
            continue
        elif order[child]:
            low[node] = min(low[node], order[child])
        else:
            clock += 1
            order[child] = low[child] = clock
            stack.append((child, node, iter(near[child])))
    return found
