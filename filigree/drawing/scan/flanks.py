"""Flanks: what lies to either side of straight runs: the next run along, and whether the side is closed."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.drawing.scan.beside import APART, PARALLEL, Lines
from filigree.geometry.types import BoolArray, FloatArray, IntArray

SAMPLES = 9  # places along a run that look out
FAR = 6.5  # mm that they look
CLEAR = 0.06  # share of a run at each end that does not look
LEAST = 0.3  # share of the places that must see the same neighbour


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flanks:
    """Both sides of some runs.

    Attributes:
        of: the runs.
        near: distance to the nearest line at each place on each side, infinite for none, `(n, 2, k)`.
        across: distance to the next run along at each place on each side, `(n, 2, k)`.
        first, second: runs that see each other as neighbours; each pair twice.
        step: usual distance of each run's neighbours, infinite for none, `(n,)`.
    """

    of: IntArray
    near: FloatArray
    across: FloatArray
    first: IntArray
    second: IntArray
    step: FloatArray

    def closed(self, limit: FloatArray) -> FloatArray:
        """Share of each side that meets a line within a limit for each run, `(n, 2)`."""
        return np.asarray((self.near <= limit[:, None, None]).mean(2))


def flanks(lines: Lines, of: IntArray, fit: BoolArray) -> Flanks:
    """Look out to either side of the runs `of`.

    Args:
        lines: all runs.
        of: those that look.
        fit: which of all runs may be strokes; the others hide what lies behind them.
    """
    count = len(of)
    a, b = lines.starts[of], lines.ends[of]
    chord = b - a
    size = np.maximum(np.hypot(*chord.T), 1e-9)
    along = chord / size[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    share = np.linspace(CLEAR, 1 - CLEAR, SAMPLES)
    foot = shapely.get_coordinates(
        shapely.line_interpolate_point(
            np.repeat(lines.shapes[of], SAMPLES), np.tile(share, count), normalized=True
        )
    ).reshape(count, 1, SAMPLES, 2)
    sign = np.array([1.0, -1.0])[None, :, None, None]
    goal = foot + sign * FAR * across[:, None, None, :]
    start = np.broadcast_to(foot, goal.shape).reshape(-1, 2)
    goal = goal.reshape(-1, 2)
    ray, hit, away = _met(start, goal, lines)
    who = ray // (2 * SAMPLES)
    other = hit != of[who]
    ray, hit, who, away = ray[other], hit[other], who[other], away[other]
    way = (lines.ends - lines.starts)[hit]
    way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    same_way = np.abs((way * along[who]).sum(1)) >= PARALLEL
    next_one = fit[hit] & same_way & (away >= APART[0]) & (away <= APART[1])
    none = np.full(len(start), np.inf)
    near, wall, nearest = none.copy(), none.copy(), none.copy()
    np.minimum.at(near, ray, away)
    np.minimum.at(wall, ray[~fit[hit]], away[~fit[hit]])
    seen = next_one & (away < wall[ray])
    np.minimum.at(nearest, ray[seen], away[seen])
    best = seen & (away <= nearest[ray] + 1e-9)
    pairs, times = np.unique(np.column_stack([who[best], hit[best]]), axis=0, return_counts=True)
    good = times >= LEAST * SAMPLES
    first, second = of[pairs[good, 0]], pairs[good, 1]
    per_run = nearest.reshape(count, -1)
    step = np.full(count, np.inf)
    some = np.isfinite(per_run).any(1)
    step[some] = np.nanmedian(np.where(np.isfinite(per_run[some]), per_run[some], np.nan), axis=1)
    both = np.unique(np.concatenate([np.c_[first, second], np.c_[second, first]]), axis=0)
    return Flanks(
        of=of,
        near=near.reshape(count, 2, SAMPLES),
        across=nearest.reshape(count, 2, SAMPLES),
        first=both[:, 0],
        second=both[:, 1],
        step=step,
    )


def _met(
    start: FloatArray, goal: FloatArray, lines: Lines
) -> tuple[IntArray, IntArray, FloatArray]:
    """Which rays meet which lines, and how far from their start, by segments."""
    points, line = shapely.get_coordinates(lines.shapes, return_index=True)
    inner = np.flatnonzero(line[1:] == line[:-1])
    a, b = points[inner], points[inner + 1]
    segments, rays = np.empty(len(a), object), np.empty(len(start), object)
    segments[:] = shapely.linestrings(np.stack([a, b], axis=1))
    rays[:] = shapely.linestrings(np.stack([start, goal], axis=1))
    ray, hit = shapely.STRtree(segments).query(rays, predicate="intersects")
    along, side, off = (goal - start)[ray], (b - a)[hit], a[hit] - start[ray]
    cross = along[:, 0] * side[:, 1] - along[:, 1] * side[:, 0]
    safe = np.where(np.abs(cross) > 1e-12, cross, 1.0)
    share = np.where(
        np.abs(cross) > 1e-12, (off[:, 0] * side[:, 1] - off[:, 1] * side[:, 0]) / safe, 0.0
    )
    return ray, line[inner][hit], np.clip(share, 0, 1) * np.hypot(*along.T)
