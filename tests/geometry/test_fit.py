"""Fitting: few cubics, corners kept, nothing farther than the tolerance."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from filigree.geometry.fit import fit, fit_all
from filigree.geometry.path import Path, as_circle, bounds, circle_path, mirrored, signed_area
from tests.geometry.test_curves import dense, farthest, joined
from tests.make.curved import blob, line_of
from tests.make.shapes import circle

TOLERANCE = 0.02  # mm


def ring_of(shape):
    return shapely.get_coordinates(shape.exterior)


@pytest.mark.parametrize("radius", [0.5, 3.0, 10.0, 30.0])
def test_a_circle_takes_about_six_cubics(radius):
    path = fit(ring_of(circle(0, 0, radius)))
    assert len(path.cubics) <= 8
    assert np.hypot(*dense(path).T) == pytest.approx(radius, abs=TOLERANCE)


def test_a_stadium_keeps_its_straight_sides():
    shape = shapely.LineString([(0, 0), (30, 0)]).buffer(4, quad_segs=24)
    path = fit(ring_of(shape))
    assert path.straight.sum() == 2
    # closed form: 30 x 8 and a circle of radius 4; 24 chords a quarter lose 0.07 % of the circle
    assert abs(signed_area(path)) == pytest.approx(240 + 16 * np.pi, abs=TOLERANCE * 85)
    assert len(path.cubics) <= 8


@pytest.mark.parametrize("sides", [3, 4, 6, 12])
def test_a_polygon_stays_a_polygon(sides):
    angle = np.arange(sides + 1) * 2 * np.pi / sides
    ring = 10 * np.column_stack([np.cos(angle), np.sin(angle)])
    ring[-1] = ring[0]
    path = fit(ring)
    assert path.straight.all()
    assert len(path.cubics) == sides


def test_corners_of_a_leaf_stay_corners():
    lens = circle(0, 0, 10).intersection(circle(12, 0, 10))
    path = fit(ring_of(lens))
    tips = [(6.0, 8.0), (6.0, -8.0)]  # closed form: 10^2 = 6^2 + 8^2
    for tip in tips:
        assert np.hypot(*(path.cubics[:, 0] - tip).T).min() < TOLERANCE
    assert not path.straight.any()


def test_an_open_line_keeps_its_ends():
    t = np.linspace(0, 6, 400)
    line = np.column_stack([5 * t, 8 * np.sin(t)])
    path = fit(line)
    assert not path.closed
    assert path.cubics[0, 0].tolist() == line[0].tolist()
    assert path.cubics[-1, 3].tolist() == line[-1].tolist()
    assert len(path.cubics) <= 10  # 400 points, one wave


def test_a_smaller_tolerance_is_kept_too():
    ring = line_of(blob(0, 0, 20, seed=8), 0.0005)
    path = fit(ring, tolerance=0.002)
    assert farthest(path, ring[:-1]) < 0.002


@given(seed=st.integers(0, 10_000), radius=st.floats(1, 60), knots=st.integers(4, 12))
def test_a_smooth_outline_is_fitted_within_tolerance(seed, radius, knots):
    ring = line_of(blob(0, 0, radius, seed=seed, knots=knots))
    path = fit(ring)
    assert joined(path)
    assert farthest(path, ring[:-1]) < TOLERANCE
    assert shapely.LinearRing(dense(path)).is_simple


@given(seed=st.integers(0, 1000), turn=st.floats(0, 360))
def test_turning_a_line_changes_no_more_than_the_tolerance(seed, turn):
    ring = line_of(blob(3, 2, 12, seed=seed))
    a = np.radians(turn)
    matrix = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    turned = ring @ matrix.T
    turned[-1] = turned[0]
    there = fit(turned)
    assert farthest(there, turned[:-1]) < TOLERANCE
    assert abs(signed_area(there)) == pytest.approx(abs(signed_area(fit(ring))), abs=TOLERANCE * 80)


def test_many_lines_at_once_are_the_same_as_one_by_one():
    rings = [line_of(blob(0, 0, 10 + k, seed=k)) for k in range(5)]
    together = fit_all(rings, [True] * 5)
    for ring, path in zip(rings, together, strict=True):
        assert path.cubics == pytest.approx(fit(ring).cubics, abs=1e-9)


def test_bad_calls_are_refused():
    with pytest.raises(ValueError, match="tolerance"):
        fit(np.array([(0.0, 0.0), (1.0, 0.0)]), tolerance=0)
    with pytest.raises(ValueError, match="two points"):
        fit(np.zeros((3, 2)))
    assert fit_all([], []) == []


def test_bounds_are_those_of_the_curve_not_of_its_handles():
    # row 22: cubic (0,0)(0,10)(10,10)(10,0): top at 7.5, area with its chord 60
    arch = Path(
        cubics=np.array([[(0, 0), (0, 10), (10, 10), (10, 0)]], dtype=float),
        straight=np.zeros(1, dtype=bool),
        closed=False,
    )
    assert bounds(arch) == pytest.approx((0, 0, 10, 7.5), abs=1e-9)
    assert abs(signed_area(arch)) == pytest.approx(60, abs=1e-9)


def test_a_mirrored_path_turns_its_sign_and_keeps_its_area():
    path = blob(20, 10, 8, seed=5)
    # row 50: the signed area flips, the area stays
    assert signed_area(mirrored(path, width=50)) == pytest.approx(-signed_area(path), abs=1e-9)


def test_circles_are_told_from_near_circles():
    assert as_circle(circle_path((3, 4), 2.5)) == (
        pytest.approx((3, 4), abs=1e-9),
        pytest.approx(2.5, abs=1e-9),
    )
    assert as_circle(blob(3, 4, 2.5, seed=1)) is None


@given(
    seed=st.integers(0, 10_000),
    segments=st.integers(3, 30),
    shrink=st.floats(0, 0.4),
)
def test_coarse_and_mixed_outlines_stay_within_tolerance(seed, segments, shrink):
    """Arcs of few chords meet straight edges and corners; nothing may bulge between the vertices."""
    rng = np.random.default_rng(seed)
    discs = [
        shapely.Point(*rng.random(2) * 10).buffer(rng.uniform(0.5, 3), quad_segs=segments)
        for _ in range(3)
    ]
    bar = shapely.LineString(rng.random((3, 2)) * 20).buffer(0.8, quad_segs=segments)
    shape = shapely.union_all([*discs, bar]).buffer(-shrink)
    for part in shapely.get_parts(shape):
        if part.area > 0.1:
            ring = ring_of(part)
            assert farthest(fit(ring), ring[:-1]) < TOLERANCE
