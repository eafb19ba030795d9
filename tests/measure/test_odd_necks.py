"""Necks of odd drawings, against the nearest pairs of points of a finely sampled boundary (a KD-tree).

The way shares with the package only what a neck is. A pair that no neighbouring pair undercuts is made exact on
the few edges round it. The strand it lies in is the land that a disc a little wider than it cannot reach.
"""

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree
from shapely import LineString, Point

from filigree.measure.necks import necks
from tests.measure.odd import KINDS, odd_land

UNDER, STEP = 4.0, 0.35


def ring_points(land):
    """Samples, and the next and the one before each along its ring."""
    rings = [r for part in shapely.get_parts(land) for r in (part.exterior, *part.interiors)]
    points = [shapely.get_coordinates(shapely.segmentize(r, STEP))[:-1] for r in rings]
    size = np.array([len(p) for p in points])
    first = np.repeat(np.cumsum(size) - size, size)
    here, count = np.arange(size.sum()) - first, np.repeat(size, size)
    return np.concatenate(points), first + (here + 1) % count, first + (here - 1) % count


def stretch(points, after, before, at):
    back, forth = [at], [at]
    for _ in range(4):
        back.append(before[back[-1]])
        forth.append(after[forth[-1]])
    return LineString(points[back[:0:-1] + forth])


def sampled_necks(land):
    """Shortest lines `(2, 2)` between stretches of boundary, found by brute force; one strand may give several."""
    points, after, before = ring_points(land)
    one, two = cKDTree(points).query_pairs(UNDER, output_type="ndarray").T
    apart = np.hypot(*(points[one] - points[two]).T)
    low = np.ones(len(one), dtype=bool)
    for a in (one, after[one], before[one]):
        for b in (two, after[two], before[two]):
            low &= apart <= np.hypot(*(points[a] - points[b]).T) + 1e-9
    one, two, apart = one[low], two[low], apart[low]
    edge = land.boundary
    middle = shapely.points((points[one] + points[two]) / 2)
    clear = shapely.contains(land, middle) & (
        shapely.distance(middle, edge) >= 0.45 * apart - 2 * STEP
    )
    found = []
    for a, b in zip(one[clear].tolist(), two[clear].tolist(), strict=True):
        here, there = stretch(points, after, before, a), stretch(points, after, before, b)
        if here.intersects(there):
            continue
        line = exact(points[a], here, there)
        if line is None or line.length >= UNDER:
            continue
        half = line.interpolate(0.5, normalized=True)
        if land.contains(half) and edge.distance(half) >= line.length / 2 - 1e-6:
            found.append(shapely.get_coordinates(line))
    return found


def exact(at, here, there):
    """Shortest line of two stretches; None when it runs to the end of one and is shorter than from the middle."""
    line = shapely.shortest_line(here, there)
    ends = shapely.get_coordinates(line)
    for end, side in zip(ends, (here, there), strict=True):
        if np.hypot(*(shapely.get_coordinates(side)[[0, -1]] - end).T).min() < 1e-9:
            straight = shapely.shortest_line(Point(at), there)
            return straight if straight.length <= line.length + 1e-7 else None
    return line


def strand_of(land, line):
    """Land round a line that a disc 0.06 mm wider than it cannot reach."""
    width = float(np.hypot(*(line[1] - line[0])))
    reached = land.buffer(-(width / 2 + 0.03)).buffer(width / 2 + 0.0299)
    parts = shapely.get_parts(land.difference(reached))
    near = shapely.distance(parts, Point(line.mean(axis=0))) <= width / 2 + 0.1
    return parts[near & (shapely.area(parts) > 1e-9)]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", [0, 1])
def test_brute_force_finds_no_other_neck(kind, seed):
    land = odd_land(kind, seed)
    found = necks(land, under=UNDER)
    width = np.array([n.width for n in found])
    middle = np.array([n.middle for n in found]).reshape(-1, 2)
    seen = sampled_necks(land)
    blind = {"in contact", "comb"}  # a contact has no land, straight sides may slip through
    assert seen or not found or kind in blind
    for line in seen:
        own = np.hypot(*(line[1] - line[0]))
        as_narrow = np.flatnonzero(width <= own + 1e-5)
        if len(as_narrow) and np.hypot(*(middle[as_narrow] - line.mean(axis=0)).T).min() < 0.3:
            continue
        strand = strand_of(land, line)
        reach = [
            shapely.distance(strand, Point(middle[k])).min(initial=np.inf) - width[k] / 2
            for k in as_narrow
        ]
        assert min(reach, default=np.inf) < 0.1, f"missed {own} at {line.mean(axis=0)}"


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(4))
def test_every_neck_is_shortest_where_it_lies(kind, seed):
    """No false alarm: the middle is leather, the disc holds no edge, and nothing beside it is shorter."""
    land = odd_land(kind, seed)
    edge = land.boundary
    for neck in necks(land, under=UNDER):
        line = np.array([neck.start, neck.end])
        assert shapely.distance(shapely.points(line), edge).max() < 1e-9
        if neck.width < 1e-6:
            continue
        assert land.contains(Point(neck.middle))
        assert edge.distance(Point(neck.middle)) >= neck.width / 2 - 2e-6
        reach = min(0.2, neck.width / 3)
        near = [
            min(
                shapely.get_parts(edge.intersection(Point(at).buffer(reach))).tolist(),
                key=lambda bit, at=at: bit.distance(Point(at)),
            )
            for at in line
        ]
        assert near[0].distance(near[1]) >= neck.width - 1e-5


def test_equal_widths_all_along_are_one_neck_each():
    """4 x 3 square tiles: 9 + 8 gaps between neighbours, each once, whatever its length."""
    for seed in range(4):
        land = odd_land("tiles", seed)
        found = [n for n in necks(land, under=UNDER) if "edge" not in n.between]
        least = min(n.width for n in found)
        assert len([n for n in found if n.width < least + 1e-6]) == 9 + 8
        assert len({n.between for n in found if n.width < least + 1e-6}) == 9 + 8
