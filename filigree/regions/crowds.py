"""Crowds: many strokes drawn over one another become a few lines before noding finds all their crossings.

Strokes that keep within a hairline of each other cross time and again: a hundred of them make thousands of
slivers. The longest keeps its place; stretches of others that run along it within a hairline are left out,
and what is left of these ends on it.
"""

from dataclasses import dataclass, field

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.chains import (
    ALIKE,
    Chains,
    lengths,
    middles,
    offsets_of,
    outward,
    pieces,
    short_run,
    without_repeats,
)
from filigree.regions.runs import Runs

MEETING = 8  # runs of lines that may meet each, on average, from which a drawing may be crowded
MANY = 6  # lines within a hairline of one place
SHARE = 0.05  # of the places looked at that have as many beside them, in a crowd
LOOKED_AT = 400  # places
PARALLEL = 0.25  # greatest sine between lines that run along each other
SHORT = 4  # vertices of a line that only goes over from one to another
AHEAD = 3.0  # hairlines that a stretch is long at least


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thinned:
    """Lines without their doubles; middle `(m, 2)` and length `(m,)` of each stretch left out, mm."""

    chains: Chains
    at: FloatArray
    length: FloatArray


@dataclass(slots=True, kw_only=True, eq=False)
class _Work:
    """What each vertex follows: a piece that stays (-1 for none), and where on it."""

    chains: Chains
    owner: IntArray
    leader: IntArray
    foot: FloatArray
    along: FloatArray
    done: BoolArray
    kept: list[FloatArray] = field(default_factory=list)
    added: list[list[tuple[float, float, float]]] = field(default_factory=list)
    left_out: list[tuple[float, float, float]] = field(default_factory=list)
    across: dict[tuple[int, int], list[shapely.LineString]] = field(default_factory=dict)


def thin_out(chains: Chains, part: Runs, *, within: float) -> Thinned | None:
    """Leave out what runs along a longer line within `within` mm; None where lines are not crowded."""
    if not _is_crowded(chains, part, within):
        return None
    count = len(chains.xy)
    work = _Work(
        chains=chains,
        owner=np.repeat(np.arange(len(chains)), np.diff(chains.offsets)),
        leader=np.full(count, -1, dtype=np.int64),
        foot=np.zeros((count, 2)),
        along=np.zeros(count),
        done=np.zeros(len(chains), dtype=bool),
    )
    tree = shapely.STRtree(np.asarray(shapely.points(chains.xy)))
    every = np.arange(len(chains))
    long = np.round(lengths(chains), ALIKE)
    for line in np.lexsort((every, outward(chains, middles(chains, every)), -long)).tolist():
        work.done[line] = True
        for piece in _left_over(work, line, within):
            _lead(work, tree, piece, within)
    xy = [_with_added(k, a) for k, a in zip(work.kept, work.added, strict=True)]
    stretches = np.array(work.left_out).reshape(-1, 3)
    packed = Chains(
        xy=np.concatenate(xy), offsets=offsets_of(np.array([len(points) for points in xy]))
    )
    return Thinned(
        chains=without_repeats(packed), at=stretches[:, :2], length=stretches[:, 2].copy()
    )


def _is_crowded(chains: Chains, part: Runs, within: float) -> bool:
    if part.pairs is not None and len(part.pairs[0]) < MEETING * len(part):
        return False
    tree, first, _ = pieces(chains, short_run(chains))
    line = np.searchsorted(chains.offsets, first, side="right") - 1
    some = np.unique(np.linspace(0, len(chains.xy) - 1, LOOKED_AT).astype(np.int64))
    points = np.asarray(shapely.points(chains.xy[some]))
    place, run = tree.query(points, predicate="dwithin", distance=within)
    beside = np.unique(np.column_stack([place, line[run]]), axis=0)[:, 0]
    many = np.bincount(beside, minlength=len(some)) > MANY
    return bool(many.mean() > SHARE)


def _left_over(work: _Work, line: int, within: float) -> list[int]:
    """Keep what is left of a line beside the stretches that follow others; give the new pieces."""
    first, end = work.chains.offsets[line], work.chains.offsets[line + 1]
    xy, leader = work.chains.xy[first:end].copy(), work.leader[first:end]
    begins = np.flatnonzero(np.diff(leader, prepend=-2))
    ends = np.append(begins[1:], len(leader)) - 1
    new: list[int] = []
    start, before = 0, -1
    for a, b in zip(begins.tolist(), ends.tolist(), strict=True):
        steps = np.hypot(*np.diff(xy[a : b + 1], axis=0).T)
        if leader[a] < 0 or steps.sum() < AHEAD * within:
            continue
        x, y = xy[(a + b) // 2].tolist()
        work.left_out.append((x, y, float(steps.sum())))
        for k, other in ((a, a > start), (b, b < len(xy) - 1)):
            if other:  # the line goes on from here: it meets its leader in a vertex of both
                xy[k] = work.foot[first + k]
                work.added[leader[k]].append((float(work.along[first + k]), *xy[k].tolist()))
        if not _crossed_before(work, xy[start : a + 1], (before, int(leader[a])), within):
            new += _keep(work, xy[start : a + 1])
        start, before = b, int(leader[a])
    return new + _keep(work, xy[start:])


def _crossed_before(work: _Work, xy: FloatArray, leaders: tuple[int, int], within: float) -> bool:
    """Say whether a line that goes over from one leader to another does so where one did before."""
    if min(leaders) < 0 or leaders[0] == leaders[1] or len(xy) > SHORT:
        return False
    line = shapely.LineString(xy)
    others = work.across.setdefault((min(leaders), max(leaders)), [])
    if len(others) and shapely.dwithin(line, np.array(others, dtype=object), within).any():
        return True
    others.append(line)
    return False


def _keep(work: _Work, xy: FloatArray) -> list[int]:
    if len(xy) < 2 or not np.diff(xy, axis=0).any():
        return []
    work.kept.append(xy)
    work.added.append([])
    return [len(work.kept) - 1]


def _lead(work: _Work, tree: shapely.STRtree, piece: int, within: float) -> None:
    """Let the free vertices that run along a piece follow it."""
    xy = work.kept[piece]
    line = shapely.LineString(xy)
    near = tree.query(line, predicate="dwithin", distance=within)
    near = np.sort(near[(work.leader[near] < 0) & ~work.done[work.owner[near]]])
    if not len(near):
        return
    along = shapely.line_locate_point(line, tree.geometries[near])
    step = np.diff(xy, axis=0)
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*step.T))])
    place = np.clip(np.searchsorted(far, along, side="right") - 1, 0, len(step) - 1)
    runs = np.zeros(len(near), dtype=bool)
    for one, other in ((-1, 0), (0, 1)):
        a = np.clip(near + one, 0, len(work.chains.xy) - 1)
        b = np.clip(near + other, 0, len(work.chains.xy) - 1)
        own = (work.owner[a] == work.owner[near]) & (work.owner[b] == work.owner[near])
        way, run = work.chains.xy[b] - work.chains.xy[a], step[place]
        cross = np.abs(way[:, 0] * run[:, 1] - way[:, 1] * run[:, 0])
        runs |= own & (cross <= PARALLEL * np.hypot(*way.T) * np.hypot(*run.T))
    near, along = near[runs], along[runs]
    work.leader[near] = piece
    work.along[near] = along
    work.foot[near] = shapely.get_coordinates(shapely.line_interpolate_point(line, along))


def _with_added(xy: FloatArray, added: list[tuple[float, float, float]]) -> FloatArray:
    if not added:
        return xy
    points = np.array(sorted(added))
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(xy, axis=0).T))])
    at = np.clip(np.searchsorted(far, points[:, 0], side="right"), 1, len(xy) - 1)
    return np.asarray(np.insert(xy, at, points[:, 1:], axis=0))
