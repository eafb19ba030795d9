"""A second way to find necks: try every pair of points of a finely sampled boundary.

It shares nothing with the package but the definition: a shortest line between two stretches of boundary
whose middle lies in the land and whose diameter disc holds no boundary. Slow, plain, for small faces.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from scipy import ndimage


@dataclass(frozen=True)
class Sampled:
    """Points along every ring, ring after ring, and their distances from each other."""

    points: np.ndarray
    ring: np.ndarray
    apart: np.ndarray
    lines: list

    def nearest(self, at):
        return int(np.argmin(np.hypot(*(self.points - at).T)))


def sampled(land, step):
    """Vertices of the land and points between them, `step` mm apart or less."""
    rings = [r for part in shapely.get_parts(land) for r in (part.exterior, *part.interiors)]
    points, ring = [], []
    for k, line in enumerate(rings):
        corners = shapely.get_coordinates(shapely.segmentize(line, step))[:-1]
        points.append(corners)
        ring.append(np.full(len(corners), k))
    flat = np.concatenate(points)
    apart = np.hypot(flat[:, None, 0] - flat[None, :, 0], flat[:, None, 1] - flat[None, :, 1])
    return Sampled(flat, np.concatenate(ring), apart, rings)


def beside(ring):
    """Next point of the same ring for each point, and the one before."""
    after, before = np.arange(len(ring)) + 1, np.arange(len(ring)) - 1
    for k in np.unique(ring):
        own = np.flatnonzero(ring == k)
        after[own[-1]], before[own[0]] = own[0], own[-1]
    return after, before


def stretch(sample, after, before, at):
    """A few points of the ring on both sides of one."""
    back, forth = [at], [at]
    for _ in range(5):
        back.append(before[back[-1]])
        forth.append(after[forth[-1]])
    return shapely.linestrings(sample.points[back[:0:-1] + forth])


def places(sample, land, under, step):
    """Shortest lines `(k, 2, 2)` near every pair of points that no neighbouring pair undercuts."""
    after, before = beside(sample.ring)
    apart = sample.apart
    low = (apart < under + step) & (apart > 0)
    for rows in (None, after, before):
        for columns in (None, after, before):
            near = apart if rows is None else apart[rows]
            near = near if columns is None else near[:, columns]
            low &= apart <= near + 1e-12
    one, two = np.nonzero(np.triu(low))
    edge = shapely.union_all(sample.lines)
    lines = []
    for a, b in zip(one, two, strict=True):
        here, there = stretch(sample, after, before, a), stretch(sample, after, before, b)
        if here.distance(there) == 0:
            continue
        line = shapely.shortest_line(here, there)
        middle = line.interpolate(0.5, normalized=True)
        ends_inside = shapely.get_coordinates(line)
        at_end = [shapely.get_coordinates(s)[[0, -1]] for s in (here, there)]
        if any(np.hypot(*(e - s).T).min() < 1e-9 for e, s in zip(ends_inside, at_end, strict=True)):
            continue
        alone = edge.distance(middle) >= line.length / 2 - 1e-6
        if alone and line.length < under and land.contains(middle):
            lines.append(ends_inside)
    return np.array(lines).reshape(-1, 2, 2)


def joined(sample, one, two, level):
    """True when a walk of pairs of points no farther apart than `level` leads from one line to the other."""
    cells = []
    for line in (one, two):
        pair = sample.nearest(line[0]), sample.nearest(line[1])
        cells.append(pair)
    count = len(sample.points)
    wide = np.tile(
        sample.apart <= level, (2, 2)
    )  # twice, so that a walk may pass a ring's first point
    split = np.flatnonzero(np.diff(sample.ring)) + 1
    assert count
    if len(split):
        return any(_same(sample, cells[0], other, level) for other in (cells[1], cells[1][::-1]))
    labels, _ = ndimage.label(wide, np.ones((3, 3)))
    return _meets(labels, cells, count)


def _meets(labels, cells, count):
    first = {
        labels[a, b]
        for a in (cells[0][0], cells[0][0] + count)
        for b in (cells[0][1], cells[0][1] + count)
    }
    last = {
        labels[a, b]
        for pair in (cells[1], cells[1][::-1])
        for a in (pair[0], pair[0] + count)
        for b in (pair[1], pair[1] + count)
    }
    return bool(first & last - {0})


def _same(sample, one, two, level):
    """Walk on the two rings of a pair alone."""
    if sample.ring[one[0]] != sample.ring[two[0]] or sample.ring[one[1]] != sample.ring[two[1]]:
        return False
    rows = np.flatnonzero(sample.ring == sample.ring[one[0]])
    columns = np.flatnonzero(sample.ring == sample.ring[one[1]])
    low = np.tile(sample.apart[np.ix_(rows, columns)] <= level, (2, 2))
    labels, _ = ndimage.label(low, np.ones((3, 3)))
    r, c = len(rows), len(columns)
    first = {labels[one[0] - rows[0] + i, one[1] - columns[0] + j] for i in (0, r) for j in (0, c)}
    last = {labels[two[0] - rows[0] + i, two[1] - columns[0] + j] for i in (0, r) for j in (0, c)}
    return bool((first & last) - {0})
