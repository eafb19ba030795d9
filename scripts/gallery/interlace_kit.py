"""Strands that pass over and under each other by turns."""

import itertools
import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from scripts.gallery.curves import STEP, Points
from scripts.gallery.face import Motif
from scripts.gallery.shapes import stroke

Visit = tuple[int, float]  # strand, samples along it


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """A sampled line and its width, mm; a closed line does not repeat its start."""

    line: Points
    width: float
    closed: bool = False
    rib: bool = False


def interlaced(strands: Sequence[Strand], *, first_over: bool = True) -> list[Motif]:
    """One motif for each visible run between two places where its strand dives under.

    Over and under alternate along every strand, which is always possible for smooth closed
    curves in the plane and for open ones that end on the frame.
    """
    crossings = _crossings(strands)
    over = _alternate(strands, crossings, first_over=first_over)
    out: list[Motif] = []
    for k, strand in enumerate(strands):
        meets = sorted(
            (at, c, (k, at) == over[c])
            for c, pair in enumerate(crossings)
            for s, at in pair
            if s == k
        )
        dives = [at for at, _, top in meets if not top]
        n = len(strand.line)
        if strand.closed:
            runs = [
                (a, b if b > a else b + n)
                for a, b in zip(dives, [*dives[1:], *dives[:1]], strict=True)
            ]
        else:
            stops = [0.0, *dives, n - 1.0]
            runs = list(itertools.pairwise(stops))
        for start, stop in runs:
            tops = [
                at + lap for at, _, top in meets if top for lap in (0, n) if start < at + lap < stop
            ]
            out.append(_run(strand, start, stop, tops))
    return out


def _run(strand: Strand, start: float, stop: float, tops: Sequence[float]) -> Motif:
    reach = 1.3 * strand.width / STEP
    ribs = ()
    if strand.rib:
        ribs = (_slice(strand, start, stop),)
    return Motif(
        area=stroke(_slice(strand, start, stop), [strand.width, strand.width], caps=False),
        over=tuple(
            stroke(
                _slice(strand, max(t - reach, start), min(t + reach, stop)),
                [strand.width] * 2,
                caps=False,
            )
            for t in tops
        ),
        veins=ribs,
    )


def _slice(strand: Strand, start: float, stop: float) -> Points:
    index = np.arange(math.ceil(start), math.floor(stop) + 1)
    index = np.concatenate([[start], index[(index > start + 0.2) & (index < stop - 0.2)], [stop]])
    n = len(strand.line)
    line = np.vstack([strand.line] * (3 if strand.closed else 1))
    return (
        np.column_stack([np.interp(index, np.arange(len(line)), line[:, k]) for k in (0, 1)])
        if not strand.closed
        else _wrapped(line, index, n)
    )


def _wrapped(line: Points, index: Points, n: int) -> Points:
    shift = n if index[0] < 0 else 0
    return np.column_stack(
        [np.interp(index + shift, np.arange(len(line)), line[:, k]) for k in (0, 1)]
    )


def _crossings(strands: Sequence[Strand]) -> list[tuple[Visit, Visit]]:
    """Every place where two strands, or two parts of one, cross at the lines' middles."""
    starts, ends, ids, at = [], [], [], []
    for k, strand in enumerate(strands):
        line = np.vstack([strand.line, strand.line[:1]]) if strand.closed else strand.line
        starts.append(line[:-1])
        ends.append(line[1:])
        ids += [k] * (len(line) - 1)
        at += list(range(len(line) - 1))
    a, b = np.vstack(starts), np.vstack(ends)
    segments = shapely.linestrings(np.stack([a, b], axis=1))
    tree = shapely.STRtree(segments)
    left, right = tree.query(segments, predicate="intersects")
    out: list[tuple[Visit, Visit]] = []
    for i, j in sorted(zip(left.tolist(), right.tolist(), strict=True)):
        gap = abs(at[i] - at[j])
        same = ids[i] == ids[j]
        size = len(strands[ids[i]].line)
        if i >= j or (same and min(gap, size - gap) < 4):
            continue
        d, e, f = b[i] - a[i], b[j] - a[j], a[j] - a[i]
        det = d[0] * e[1] - d[1] * e[0]
        if abs(det) < 1e-12:
            continue
        s, t = (f[0] * e[1] - f[1] * e[0]) / det, (f[0] * d[1] - f[1] * d[0]) / det
        if 0 <= s < 1 and 0 <= t < 1:
            out.append(((ids[i], at[i] + s), (ids[j], at[j] + t)))
    return out


def _alternate(
    strands: Sequence[Strand], crossings: Sequence[tuple[Visit, Visit]], *, first_over: bool
) -> dict[int, Visit]:
    """For each crossing the visit that goes over."""
    order: dict[Visit, list[Visit]] = {}
    partner = {v: w for pair in crossings for v, w in (pair, pair[::-1])}
    for k, strand in enumerate(strands):
        visits = sorted((v for v in partner if v[0] == k), key=lambda v: v[1])
        for v, w in itertools.pairwise(visits):
            order.setdefault(v, []).append(w)
            order.setdefault(w, []).append(v)
        if strand.closed and len(visits) > 1:
            order.setdefault(visits[0], []).append(visits[-1])
            order.setdefault(visits[-1], []).append(visits[0])
    top: dict[Visit, bool] = {}
    for seed in sorted(partner):
        if seed in top:
            continue
        top[seed] = first_over
        queue = deque([seed])
        while queue:
            v = queue.popleft()
            for w in [partner[v], *order.get(v, [])]:
                if w not in top:
                    top[w] = not top[v]
                    queue.append(w)
    return {c: (pair[0] if top[pair[0]] else pair[1]) for c, pair in enumerate(crossings)}
