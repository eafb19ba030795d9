"""A second way to find the weakest section: the greatest flow through a fine grid of cells (max-flow = min-cut).

It shares with the package only where the ends of the piece lie. Each cell is tied to 32 neighbours so that a
cut costs its length (Boykov and Kolmogorov 2003, from memory: capacity = side x angle between neighbours /
(2 x their distance in cells)). Ties do not reach across a gap or the edge, so each gap of leather comes out up
to one and a half cells narrow.
"""

import math

import numpy as np
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import maximum_flow

SCALE = 10_000  # capacities are whole numbers
REACH = 3  # cells


def greatest_flow(land, ends, step):
    """Width that lets through from the first of two ends to the second, mm."""
    left, top, right, bottom = land.bounds
    x, y = np.meshgrid(
        np.arange(int((right - left) / step) + 1), np.arange(int((bottom - top) / step) + 1)
    )
    at = np.stack([left + (x + 0.5) * step, top + (y + 0.5) * step], axis=-1)
    shapely.prepare(land)
    leather = shapely.contains_xy(land, at[..., 0], at[..., 1])
    node = np.arange(x.size).reshape(x.shape)
    rows, columns, lets = [], [], []
    for (a, b), turn in _moves():
        here = leather & (x + a >= 0) & (x + a < x.shape[1]) & (y + b < x.shape[0])
        v, u = np.nonzero(here)
        half = at[v, u] + np.array([a, b]) * step / 2
        both = leather[v + b, u + a] & shapely.contains_xy(land, half[:, 0], half[:, 1])
        rows.append(node[v, u][both])
        columns.append(node[v + b, u + a][both])
        lets.append(np.full(both.sum(), step * turn / (2 * math.hypot(a, b))))
    points, ids = shapely.points(at[leather]), node[leather]
    for end, pole in zip(ends, (x.size, x.size + 1), strict=True):
        held = ids[shapely.distance(points, end) <= step * (REACH + 0.01)]
        pair = np.full(len(held), pole), held
        rows.append(pair[pole == x.size + 1])
        columns.append(pair[pole == x.size])
        lets.append(np.full(len(held), 1e3))
    whole = (np.concatenate(lets) * SCALE).astype(np.int32)
    size = x.size + 2
    graph = coo_matrix((whole, (np.concatenate(rows), np.concatenate(columns))), (size, size))
    graph = (graph + graph.T).tocsr().astype(np.int32)
    return maximum_flow(graph, x.size, x.size + 1).flow_value / SCALE


def _moves():
    """Steps to half of the neighbours, and the angle that each stands for."""
    span = range(-REACH, REACH + 1)
    moves = [(a, b) for a in span for b in range(REACH + 1) if math.gcd(a, b) == 1]
    moves = sorted({m for m in moves if m[1] or m[0] > 0}, key=lambda m: math.atan2(m[1], m[0]))
    turns = [math.atan2(b, a) for a, b in moves]
    before, after = [turns[-1] - math.pi, *turns[:-1]], [*turns[1:], turns[0] + math.pi]
    return [(m, (t - s) / 2) for m, s, t in zip(moves, before, after, strict=True)]


def ends_of(outline, found, unit):
    """The two ends of an outline: what is neither a side nor a notch, parted by height along the pull."""
    taken = shapely.union_all([*found.sides, *found.notches]).buffer(1e-6)
    rest = shapely.line_merge(shapely.union_all([outline.exterior.difference(taken)]))
    parts = shapely.get_parts(rest)
    height = [
        float(shapely.get_coordinates(p.interpolate(0.5, normalized=True))[0] @ unit) for p in parts
    ]
    middle = (max(height) + min(height)) / 2
    up = [h > middle for h in height]
    return (
        shapely.union_all([p for p, u in zip(parts, up, strict=True) if u]),
        shapely.union_all([p for p, u in zip(parts, up, strict=True) if not u]),
    )
