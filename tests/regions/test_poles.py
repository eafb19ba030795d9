"""Poles: well inside, against the exact search of another library."""

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, affinity, box

from filigree.geometry.poles import poles


def strands(rng, count):
    for _ in range(count):
        t = np.linspace(0, 1, 60)
        bend = 10 * np.sin(2 * np.pi * t * rng.uniform(0.3, 2) + rng.uniform(0, 6))
        band = LineString(np.column_stack([60 * t, bend])).buffer(rng.uniform(1, 3))
        yield affinity.rotate(Polygon(band.exterior), rng.uniform(0, 360))


def crescents(rng, count):
    for _ in range(count):
        bite = Point(rng.uniform(2, 6), 0).buffer(rng.uniform(8, 10))
        moon = Point(0, 0).buffer(10).difference(bite)
        yield affinity.rotate(max(shapely.get_parts(moon), key=shapely.area), rng.uniform(0, 360))


def sieves(rng, count):
    for _ in range(count):
        plate = box(0, 0, 30, 20)
        for x, y, r in rng.uniform((0, 0, 0.5), (30, 20, 3), (6, 3)):
            plate = plate.difference(Point(x, y).buffer(r))
        yield max(shapely.get_parts(plate), key=shapely.area)


@pytest.mark.parametrize(
    ("family", "least"),
    [(strands, 0.85), (crescents, 0.8), (sieves, 0.55)],
    ids=lambda f: str(f)[:16],
)
def test_poles_come_near_the_largest_inscribed_circle(family, least):
    shapes = list(family(np.random.default_rng(5), 25))
    at, radius = poles(shapes)
    exact = shapely.length(shapely.maximum_inscribed_circle(shapes))
    assert shapely.contains_xy(shapes, at[:, 0], at[:, 1]).all()
    assert (radius >= least * exact).all()
    assert np.median(radius / exact) > 0.93
    edges = shapely.boundary(shapes)
    assert radius == pytest.approx(shapely.distance(edges, shapely.points(at)), abs=1e-12)


def test_closed_forms():
    shapes = [box(0, 0, 4, 4), Polygon([(0, 0), (3, 0), (0, 4)]), box(0, 0, 20, 1)]
    at, radius = poles(shapes)
    assert tuple(at[0]) == (2, 2)
    assert radius[0] == 2
    assert radius[1] == pytest.approx(1, abs=0.06)  # row 38: inradius of the 3-4-5 triangle
    assert radius[2] == pytest.approx(0.5)


def test_a_ring_holds_its_pole_in_the_band():
    ring = Point(0, 0).buffer(10, 64).difference(Point(0, 0).buffer(9, 64))
    at, radius = poles([ring])
    assert 9 < np.hypot(*at[0]) < 10
    assert radius[0] > 0.45


def test_no_shapes():
    at, radius = poles([])
    assert at.shape == (0, 2)
    assert radius.shape == (0,)
