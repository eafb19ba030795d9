"""Runs: straight pieces of everything drawn, read from the web of lines, whichever way strokes were joined.

At every node of the web the two pieces that carry on straightest belong together. A stroke of hatching that was
traced on into a line behind the border, or into the border itself, comes apart there again.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from filigree.geometry.groups import connected
from filigree.geometry.types import BoolArray, FloatArray, IntArray

ROUGH = 0.02  # mm that a piece may leave its line
TINY = 0.3  # mm: shorter pieces between two nodes make them one
SKIP, READ = 0.2, 1.0  # mm from a node between which a piece's direction is read
CARRIES_ON = np.radians(20)  # most that two pieces of one run may turn
ASIDE = 0.3  # mm by which they may miss each other
BEND_OVER, BEND_STEP = 0.7, 0.1  # mm to each side over which a bend is read, and between readings
BEND = np.radians(28)  # turn at which a line comes apart
CHORD = 0.985  # chord over length of a straight run
BOW = (0.1, 0.035)  # mm, and share of its chord, that a straight run may leave it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """Runs of one sheet, mm.

    Attributes:
        lines: polylines.
        rest: pieces too short to be a part of any.
        walk: number of the smooth line, bends and all, that each is a part of.
        bent: whether it carries on smoothly but not straight beyond its start and its end, `(n, 2)`.
        free: whether nothing else meets its start and its end, `(n, 2)`.
        onto: number of the smooth line that runs through where it starts and ends, `(n, 2)`; -1 for none.
        crossed: how many smooth lines cross it, `(n,)`.
    """

    lines: list[FloatArray]
    rest: list[FloatArray]
    walk: IntArray
    bent: BoolArray
    free: BoolArray
    onto: IntArray
    crossed: IntArray

    @property
    def corner(self) -> BoolArray:
        """Whether other lines end where it starts and ends, none running through, `(n, 2)`."""
        return ~self.bent & ~self.free & (self.onto < 0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Web:
    """Pieces between nodes: points, those too short, lengths, node at either end, direction outwards at either end."""

    pieces: list[FloatArray]
    rest: list[FloatArray]
    length: FloatArray
    nodes: IntArray
    ways: FloatArray
    degree: IntArray


def runs_of(polylines: list[FloatArray]) -> Runs:
    """Take the web of some polylines, mm, apart into straight runs."""
    web = _web(polylines)
    mate = _mates(web)
    walks = list(_walks(web, mate))
    through = _through(walks)
    lines: list[FloatArray] = []
    rows: list[tuple[int, bool, bool, bool, bool, int, int, int]] = []
    for n, walk in enumerate(walks):
        cuts = _cuts(walk.points, walk.breaks)
        last = len(cuts) - 2
        loop = walk.ends is None
        lone = (
            [False, False] if walk.ends is None else [bool(web.degree[e] == 1) for e in walk.ends]
        )
        host = [-1, -1] if walk.ends is None else [_host(through, e, n) for e in walk.ends]
        for k, (a, b) in enumerate(pairwise(cuts)):
            first, final = k == 0 and not loop, k == last and not loop
            inner = [m for at, m in zip(walk.breaks, walk.passed, strict=False) if a < at < b]
            crossed = sum(len(through[m]) > 1 for m in inner)
            lines.append(walk.points[a : b + 1])
            rows.append(
                (
                    n, not first, not final, first and lone[0], final and lone[1],
                    host[0] if first else -1, host[1] if final else -1, crossed,
                )
            )  # fmt: skip
    table = np.array(rows, np.int64).reshape(-1, 8)
    return Runs(
        lines=lines,
        rest=web.rest,
        walk=table[:, 0],
        bent=table[:, 1:3].astype(bool),
        free=table[:, 3:5].astype(bool),
        onto=table[:, 5:7],
        crossed=table[:, 7],
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Walk:
    """Pieces strung together: points, indices of the nodes within, the nodes passed and those at the ends."""

    points: FloatArray
    breaks: list[int]
    passed: list[int]
    ends: tuple[int, int] | None


def _through(walks: list[_Walk]) -> dict[int, list[int]]:
    """For each node the walks that run through it."""
    out: dict[int, list[int]] = {}
    for n, walk in enumerate(walks):
        for node in walk.passed:
            out.setdefault(node, []).append(n)
    return out


def _host(through: dict[int, list[int]], node: int, own: int) -> int:
    """A walk other than the own one that runs through a node; -1 for none."""
    return next((n for n in through.get(node, ()) if n != own), -1)


def _web(polylines: list[FloatArray]) -> _Web:
    """Pieces between the places where lines meet, near nodes made one."""
    bits = [bit for line in polylines for bit in _at_bends(line)]
    whole = shapely.union_all(np.array([shapely.linestrings(v) for v in bits], object))
    parts = np.asarray(shapely.simplify(shapely.get_parts(whole), ROUGH), object)
    length = shapely.length(parts)
    tips = shapely.get_coordinates(
        shapely.get_point(np.repeat(parts, 2), np.tile([0, -1], len(parts)))
    )
    _, name = np.unique(np.round(tips, 6), axis=0, return_inverse=True)
    nodes = name.reshape(-1, 2)
    degree = np.bincount(nodes.ravel())
    tiny = length < TINY
    inner = tiny & (degree[nodes] > 1).all(1)
    group = connected(len(degree), nodes[inner, 0], nodes[inner, 1])
    kept = ~tiny | (nodes[:, 0] == nodes[:, 1])
    nodes = group[nodes[kept]]
    rest = [shapely.get_coordinates(p) for p in parts[~kept]]
    parts, length = parts[kept], length[kept]
    return _Web(
        pieces=[shapely.get_coordinates(p) for p in parts],
        rest=rest,
        length=length,
        nodes=nodes,
        ways=_ways(parts, length),
        degree=np.bincount(nodes.ravel(), minlength=int(group.max()) + 1),
    )


def _at_bends(line: FloatArray) -> list[FloatArray]:
    """A polyline cut where it bends at once, as where a border ends on a stroke."""
    walked = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
    if walked[-1] < 2 * BEND_OVER:
        return [line]
    at = np.arange(BEND_OVER, walked[-1] - BEND_OVER + 1e-9, BEND_STEP)
    before, here, after = (
        np.column_stack([np.interp(at + d, walked, line[:, c]) for c in (0, 1)])
        for d in (-BEND_OVER, 0.0, BEND_OVER)
    )
    a, b = here - before, after - here
    turn = np.abs(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(1)))
    cuts = [0]
    while turn.max(initial=0) > BEND:
        k = int(turn.argmax())
        cuts.append(int(np.argmin(np.abs(walked - at[k]))))
        near = np.abs(at - at[k]) < BEND_OVER
        turn[near] = 0
    cuts = sorted({*cuts, len(line) - 1})
    return [line[i : j + 1] for i, j in pairwise(cuts)]


def _ways(parts: np.ndarray, length: FloatArray) -> FloatArray:
    """Unit direction from either node into each piece, `(n, 2, 2)`."""
    near, far = np.minimum(SKIP, length / 4), np.minimum(READ, length)
    out = np.empty((len(parts), 2, 2))
    for side in (0, 1):
        a, b = (near, far) if side == 0 else (length - near, length - far)
        way = _at(parts, b) - _at(parts, a)
        out[:, side] = way / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    return out


def _at(parts: np.ndarray, distance: FloatArray) -> FloatArray:
    return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(parts, distance)))


def _mates(web: _Web) -> dict[tuple[int, int], tuple[int, int]]:
    """For an end of a piece the end that it carries on into, the straightest first."""
    count = len(web.pieces)
    node = web.nodes.ravel()
    order = np.argsort(node, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(node[order])) + 1) if count else []
    ways = web.ways.reshape(-1, 2)
    tips = np.array([p[[0, -1]] for p in web.pieces]).reshape(-1, 2)
    mate: dict[tuple[int, int], tuple[int, int]] = {}
    for ends in groups:
        if len(ends) < 2:
            continue
        way, at = ways[ends], tips[ends]
        turn = np.arccos(np.clip(-way @ way.T, -1, 1))
        off = at[None] - at[:, None]
        aside = np.abs(off[..., 0] * way[:, None, 1] - off[..., 1] * way[:, None, 0])
        aside = np.maximum(aside, aside.T)
        cost = turn + aside / ASIDE * CARRIES_ON / 2
        i, j = np.triu_indices(len(ends), 1)
        good = (cost[i, j] < CARRIES_ON) & (aside[i, j] < ASIDE)
        i, j = i[good], j[good]
        taken: set[int] = set()
        for k in np.argsort(cost[i, j], kind="stable").tolist():
            a, b = int(ends[i[k]]), int(ends[j[k]])
            if a not in taken and b not in taken:
                taken |= {a, b}
                one, other = divmod(a, 2), divmod(b, 2)
                mate[one], mate[other] = other, one
    return mate


def _walks(web: _Web, mate: dict[tuple[int, int], tuple[int, int]]) -> Iterator[_Walk]:
    """Follow the pieces from end to end, then round the loops."""
    done = [False] * len(web.pieces)
    first = [(k, s) for k in range(len(done)) for s in (0, 1) if (k, s) not in mate]
    for start in [*first, *((k, 0) for k in range(len(done)))]:
        if done[start[0]]:
            continue
        parts: list[FloatArray] = []
        breaks, passed, size, now, loop = [], [], 0, start, False
        while True:
            k, side = now
            done[k] = True
            piece = web.pieces[k] if side == 0 else web.pieces[k][::-1]
            parts.append(piece)
            size += len(piece)
            far = (k, 1 - side)
            if far not in mate:
                break
            passed.append(int(web.nodes[far]))
            now = mate[far]
            if done[now[0]]:
                loop = True
                break
            breaks.append(size - 1)
        ends = None if loop else (int(web.nodes[start]), int(web.nodes[far]))
        yield _Walk(points=np.vstack(parts), breaks=breaks, passed=passed, ends=ends)


def _cuts(points: FloatArray, breaks: list[int]) -> list[int]:
    """Where to cut a walk, ends included, so that its parts are straight if they can be."""
    walked = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    cuts = [0, len(points) - 1]
    stack = [(0, len(points) - 1)]
    while stack:
        a, b = stack.pop()
        inner = [k for k in breaks if a < k < b]
        if not inner:
            continue
        chord = points[b] - points[a]
        size = float(np.hypot(*chord))
        off = points[a : b + 1] - points[a]
        away = (
            np.abs(off @ np.array([-chord[1], chord[0]])) / size
            if size > 1e-9
            else np.hypot(*off.T)
        )
        if size >= CHORD * (walked[b] - walked[a]) and float(away.max()) <= max(
            BOW[0], BOW[1] * size
        ):
            continue
        at = max(inner, key=lambda k: away[k - a])
        cuts.append(at)
        stack += [(a, at), (at, b)]
    return sorted(cuts)
