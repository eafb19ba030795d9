"""Middle lines: discs touch and hold no boundary, and do not hang on what was looked at before."""

import numpy as np
import pytest
import shapely
from shapely import Point

from filigree.geometry.middle import Discs, middle_lines
from filigree.geometry.necks import find_necks

WANTED = 3.0  # mm


@pytest.fixture
def land():
    holes = [
        Point(x, 20 + y).buffer(8.0) for x, y in ((20, 0), (37, 0), (28.5, 15.2), (28.5, -15.2))
    ]
    holes.append(shapely.box(50, 6, 56, 34))
    return shapely.box(0, 0, 60, 40).difference(shapely.union_all(holes))


def lines(found, discs, rows, width=WANTED):
    rows = np.asarray(rows)
    return middle_lines(
        discs,
        ring=found.rings.ring[found.edge[rows, 0]],
        way=found.way[rows, 0],
        width=np.full(len(rows), width),
        step=WANTED / 16,
    )


def test_each_disc_on_a_middle_line_touches_the_boundary_and_holds_none(land):
    found = find_necks(land, under=WANTED)
    made = lines(found, Discs(found.rings), range(len(found.width)))
    assert len({m.neck for m in made}) == len(found.width) > 3
    for strand in made:
        centres = shapely.points(strand.line.coords)
        sides = shapely.points(strand.side.coords)
        room = shapely.distance(land.boundary, centres)
        assert shapely.distance(centres, sides) == pytest.approx(room, abs=1e-6)


def test_the_middle_of_a_straight_strand_is_half_way():
    land = shapely.box(0, 0, 60, 40).difference(
        shapely.union_all([shapely.box(5, 5, 55, 19), shapely.box(5, 21, 55, 35)])
    )  # closed form: a strand from y = 19 to y = 21
    found = find_necks(land, under=WANTED)
    (strand,) = lines(found, Discs(found.rings), [0])
    xy = np.asarray(strand.line.coords)
    inner = xy[(xy[:, 0] > 6) & (xy[:, 0] < 54)]
    assert len(inner) > 100
    assert np.abs(inner[:, 1] - 20).max() < 1e-9


def test_lines_are_the_same_whatever_was_looked_at_before(land):
    found = find_necks(land, under=WANTED)
    every = range(len(found.width))
    used = Discs(found.rings)
    for k in reversed(every):
        lines(found, used, [k])
    again = [np.asarray(m.line.coords) for m in lines(found, used, every)]
    fresh = [np.asarray(m.line.coords) for m in lines(found, Discs(found.rings), every)]
    assert len(again) == len(fresh)
    for one, other in zip(again, fresh, strict=True):
        assert one == pytest.approx(other, abs=1e-9)
