"""A boundary that has changed in places has the necks that a search of the whole finds."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, affinity

from filigree.geometry import necks
from filigree.geometry.necks import find_necks
from filigree.geometry.renewed import Renewed
from filigree.geometry.rings import rings_of

UNDER = 3.0  # mm


def hooked(x, y, turn):
    """A bent opening with a tongue of face inside, which hangs on one neck."""
    body = shapely.box(-6, -6, 6, 6).difference(shapely.box(-2.2, -6, 2.2, 3))
    return affinity.translate(affinity.rotate(body, turn, origin=(0, 0)), x, y)


def face(rng):
    """Land with round, bent and long openings, some of them touching and one with a loose piece inside."""
    holes = []
    for i, j in np.ndindex(5, 4):
        x, y = 15 * i + rng.uniform(-2, 2), 15 * j + rng.uniform(-2, 2)
        if rng.random() < 0.3:
            holes.append(hooked(x, y, rng.choice([0, 90, rng.uniform(0, 360)])))
        elif rng.random() < 0.3:
            holes.append(shapely.box(x - 6, y - rng.uniform(1, 6), x + 6, y + 5))
        else:
            holes.append(
                Point(x, y).buffer(rng.uniform(4, 7.5), quad_segs=int(rng.integers(3, 12)))
            )
    holes.append(Point(-20, 20).buffer(9).difference(Point(-20, 20).buffer(rng.uniform(4, 8))))
    return shapely.box(-32, -10, 72, 58).difference(shapely.union_all(holes))


def changed(land, rng):
    """The land with leather added or taken in a few places."""
    for _ in range(int(rng.integers(1, 4))):
        x, y = rng.uniform(-30, 70), rng.uniform(-8, 56)
        ends = np.array([x, y]) + rng.uniform(-6, 6, (2, 2))
        shape = shapely.LineString(ends).buffer(rng.uniform(0.2, 3), quad_segs=6)
        cut = rng.random() < 0.3
        land = land.difference(shape) if cut else land.union(shape)
    return shapely.MultiPolygon([p for p in shapely.get_parts(land) if p.geom_type == "Polygon"])


def same(one, other):
    """The same lines in the same order, and the same necks; of two as wide to the last bit either may come first."""
    assert one.lines.edge.tolist() == other.lines.edge.tolist()
    assert one.lines.ends(one.rings) == pytest.approx(other.lines.ends(other.rings), abs=1e-9)
    assert one.rises.rise == pytest.approx(other.rises.rise, abs=1e-9)
    orders = [np.lexsort((*np.round(n.way.T, 6), *n.edge.T)) for n in (one, other)]
    for name in ("edge", "width", "ends", "way", "reach"):
        here, there = (getattr(n, name)[o] for n, o in zip((one, other), orders, strict=True))
        assert here == pytest.approx(there, abs=1e-9), name


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), under=st.sampled_from([1.0, UNDER, 6.0]))
def test_a_face_that_changes_time_after_time(seed, under):
    rng = np.random.default_rng(seed)
    land = face(rng)
    last = find_necks(land, under=under)
    for _ in range(3):
        land = changed(land, rng)
        again = find_necks(land, under=under, last=last)
        same(again, find_necks(land, under=under))
        last = again


def test_only_runs_near_a_change_are_looked_between(monkeypatch):
    """144 holes of which one shrinks: less than a tenth of the boundary lies within 3 mm of it."""
    holes = [Point(9 * i, 9 * j).buffer(3.5) for i, j in np.ndindex(12, 12)]
    plate = shapely.box(-9, -9, 108, 108)
    before = find_necks(plate.difference(shapely.union_all(holes)), under=UNDER)
    holes[66] = holes[66].buffer(-0.4)
    land = plate.difference(shapely.union_all(holes))
    looked = []

    def told(rings, runs, *, among, **more):
        looked.append(len(among) / len(runs.first))
        return real(rings, runs, among=among, **more)

    real = necks.shortest_lines
    monkeypatch.setattr(necks, "shortest_lines", told)
    again = find_necks(land, under=UNDER, last=before)
    assert 0 < looked[0] < 0.1
    assert (again.lines.last >= 0).sum() == 2 * 12 * 11 - 4  # all but those of the hole that shrank
    monkeypatch.undo()
    same(again, find_necks(land, under=UNDER))


def test_what_was_between_is_gone():
    """A hole between two others is filled: they are 2.4 mm apart (closed form), though no edge is new."""
    sides = [shapely.box(0, 4, 9, 5), shapely.box(11.4, 4, 20, 5)]
    plate = shapely.box(-9, -9, 30, 18)
    drilled = plate.difference(shapely.union_all([*sides, Point(10.2, 4.5).buffer(1.0)]))
    filled = plate.difference(shapely.union_all(sides))
    last = find_necks(drilled, under=UNDER)
    again = find_necks(filled, under=UNDER, last=last)
    assert last.width[0] == pytest.approx(0.2, abs=1e-9)
    assert again.width.tolist() == pytest.approx([2.4], abs=1e-9)
    same(again, find_necks(filled, under=UNDER))


def test_another_width_is_searched_anew():
    land = face(np.random.default_rng(5))
    wide = find_necks(land, under=6.0)
    same(find_necks(land, under=UNDER, last=wide), find_necks(land, under=UNDER))


def test_edges_are_the_same_where_both_ends_are():
    """A square of which one corner moves keeps the two edges away from it."""
    square, other = shapely.Polygon([(0, 0), (9, 0), (9, 9), (0, 9)]), None
    other = shapely.Polygon([(0, 0), (9, 0), (8, 8), (0, 9)])
    one, two = rings_of(square), rings_of(other)
    new = Renewed.of(two, one)
    kept = {
        tuple(map(tuple, [two.xy[k], two.xy[two.after[k]]])) for k in np.flatnonzero(new.was >= 0)
    }
    assert kept == {((0, 0), (9, 0)), ((0, 9), (0, 0))}
    assert all(math.dist(one.xy[new.was[k]], two.xy[k]) == 0 for k in np.flatnonzero(new.was >= 0))
