"""Independent set: the best choice of regions of which no two share a drawn line, exactly.

Small rules take almost everything (a region whose score beats all its neighbours' together, leaves of the
graph); what stays is solved by branch and bound, and large remains by integer programming.
"""

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, IntArray

STEPS = 4000  # of branch and bound before integer programming takes over

Graph = dict[int, set[int]]


def best_set(scores: FloatArray, pairs: IntArray) -> BoolArray:
    """Choose rows with the largest sum of scores, no two of them in `pairs` `(k, 2)`.

    Rows scored 0 or less are never chosen. Ties go to the lower row.
    """
    chosen = np.zeros(len(scores), dtype=bool)
    good = scores > 0
    graph: Graph = {int(i): set() for i in np.flatnonzero(good)}
    for a, b in pairs[good[pairs].all(axis=1)].tolist() if len(pairs) else []:
        if a != b:
            graph[a].add(b)
            graph[b].add(a)
    weights = {i: float(scores[i]) for i in graph}
    for part in _parts(graph):
        chosen[_solve({i: graph[i] for i in part}, {i: weights[i] for i in part})] = True
    return chosen


def _parts(graph: Graph) -> list[list[int]]:
    """Connected parts, each sorted."""
    seen: set[int] = set()
    parts = []
    for start in graph:
        if start in seen:
            continue
        seen.add(start)
        todo, part = [start], []
        while todo:
            i = todo.pop()
            part.append(i)
            fresh = graph[i] - seen
            seen |= fresh
            todo.extend(fresh)
        parts.append(sorted(part))
    return parts


def _solve(graph: Graph, weights: dict[int, float]) -> list[int]:
    """Best set of one connected part."""
    graph = {i: set(near) for i, near in graph.items()}
    weights = dict(weights)
    taken, folded = _reduce(graph, weights)
    for part in _parts(graph):
        sub = {i: graph[i] for i in part}
        found = _branch(sub, weights)
        taken.extend(_program(sub, weights) if found is None else found)
    result = set(taken)
    for leaf, stem in reversed(folded):
        if stem not in result:
            result.add(leaf)
    return sorted(result)


def _reduce(graph: Graph, weights: dict[int, float]) -> tuple[list[int], list[tuple[int, int]]]:
    """Take what is certain; fold light leaves into their stems. Changes both arguments."""
    taken: list[int] = []
    folded: list[tuple[int, int]] = []
    todo = sorted(graph, reverse=True)
    while todo:
        i = todo.pop()
        if i not in graph:
            continue
        near = graph[i]
        if weights[i] >= sum(weights[j] for j in near):
            taken.append(i)
            todo.extend(_drop(graph, [i, *near]))
        elif len(near) == 1:  # a leaf lighter than its stem
            (stem,) = near
            weights[stem] -= weights[i]
            folded.append((i, stem))
            todo.extend(_drop(graph, [i]))
    return taken, folded


def _drop(graph: Graph, gone: list[int]) -> list[int]:
    """Remove nodes; return those whose neighbours changed, highest first."""
    touched: set[int] = set()
    for i in gone:
        for j in graph.pop(i, set()):
            if j in graph:
                graph[j].discard(i)
                touched.add(j)
    return sorted(touched - set(gone), reverse=True)


def _branch(graph: Graph, weights: dict[int, float]) -> list[int] | None:
    """Branch and bound over one part; None when it takes too many steps."""
    order = sorted(graph, key=lambda i: (-len(graph[i]), i))
    bit = {i: 1 << k for k, i in enumerate(order)}
    near = [sum(bit[j] for j in graph[i]) for i in order]
    weight = [weights[i] for i in order]
    best = -1.0
    found = 0
    steps = 0
    todo = [((1 << len(order)) - 1, 0, 0.0)]
    while todo:
        left, chosen, total = todo.pop()
        steps += 1
        if steps > STEPS:
            return None
        if total > best:
            best, found = total, chosen
        if not left or total + _bound(left, near, weight) <= best + 1e-12:
            continue
        k = (left & -left).bit_length() - 1
        todo.append((left & ~(1 << k), chosen, total))
        todo.append((left & ~(1 << k) & ~near[k], chosen | 1 << k, total + weight[k]))
    return [order[k] for k in range(len(order)) if found >> k & 1]


def _bound(left: int, near: list[int], weight: list[float]) -> float:
    """At most the heaviest of each clique of a greedy cover by cliques."""
    total = 0.0
    while left:
        k = (left & -left).bit_length() - 1
        left &= ~(1 << k)
        heaviest, shared = weight[k], near[k] & left
        while shared:
            m = (shared & -shared).bit_length() - 1
            heaviest = max(heaviest, weight[m])
            left &= ~(1 << m)
            shared &= near[m] & left
        total += heaviest
    return total


def _program(graph: Graph, weights: dict[int, float]) -> list[int]:
    """Integer programming, for parts too large to branch over."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    order = sorted(graph)
    row = {i: k for k, i in enumerate(order)}
    pairs = np.array([(row[i], row[j]) for i in order for j in sorted(graph[i]) if i < j])
    ones = np.ones(2 * len(pairs))
    lines = np.repeat(np.arange(len(pairs)), 2)
    table = coo_array((ones, (lines, pairs.ravel())), shape=(len(pairs), len(order)))
    answer = milp(
        -np.array([weights[i] for i in order]),
        constraints=LinearConstraint(table.tocsr(), ub=np.ones(len(pairs))),
        bounds=Bounds(0, 1),
        integrality=np.ones(len(order), dtype=np.int64),
    )
    if answer.x is None:
        raise ValueError(f"no choice found: {answer.message}")
    return [i for i, x in zip(order, answer.x, strict=True) if x > 0.5]
