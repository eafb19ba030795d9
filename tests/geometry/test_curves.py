"""Curves kept: rings of a noded drawing come back as the curves they were drawn with."""

import time

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from filigree.geometry.bezier import parts_of, points_at
from filigree.geometry.curves import NO_CURVES, Source, restore
from filigree.geometry.path import Path, circle_path, signed_area
from tests.make.curved import area_of, blob, box, drawn, faces_of, line_of, table_of

KEPT = 0.01  # mm: control points of an untouched curve
WRITTEN = 0.02  # mm: stated tolerance of written curves


def dense(path, steps=24):
    """Points along a path, close together."""
    t = np.tile(np.arange(steps) / steps, len(path.cubics))
    points = points_at(np.repeat(path.cubics, steps, axis=0), t)
    return np.vstack([points, path.cubics[-1:, 3]])


def farthest(path, ring):
    """Hausdorff distance of a path and a closed line, mm."""
    line = shapely.LineString(np.vstack([ring, ring[:1]]))
    return shapely.hausdorff_distance(shapely.LineString(dense(path)), line)


def joined(path):
    """True when each piece starts where the one before it ends, all the way round."""
    return bool((np.roll(path.cubics[:, 3], 1, axis=0) == path.cubics[:, 0]).all())


def test_an_untouched_outline_comes_back_as_drawn():
    path = blob(40, 30, 12, seed=3)
    back = restore(line_of(path), table_of(path))
    assert len(back.cubics) == len(path.cubics)
    assert back.cubics == pytest.approx(path.cubics, abs=KEPT * 1e-6)
    assert not back.straight.any()


def test_the_other_way_round_it_is_the_same_curves_backwards():
    path = circle_path((5, 5), 4)
    back = restore(line_of(path)[::-1], table_of(path))
    assert signed_area(back) == pytest.approx(-signed_area(path), abs=1e-9)
    # row 23: cubic circle of radius 1 has area 3.1424723
    assert signed_area(path) / 16 == pytest.approx(3.1424723, abs=1e-5)


def test_a_lens_is_cut_out_of_both_circles():
    one, two = circle_path((0, 0), 5), circle_path((6, 0), 5)
    table = table_of(one, two)
    lens = min(faces_of(one, two), key=lambda face: face.area)
    (path,) = Source(table).paths(lens)
    # handbook 9: lens of two circles r 5, centres 6 apart; the cubics are 0.0273 % too wide, the
    # crossing lies on chords up to 0.005 mm inside the curve
    assert signed_area(path) == pytest.approx(22.364761, abs=0.05)
    points = dense(path)
    off = np.minimum(np.abs(np.hypot(*points.T) - 5), np.abs(np.hypot(*(points - (6, 0)).T) - 5))
    assert off.max() < KEPT
    assert joined(path)
    assert len(path.cubics) <= 6  # whole quarters and parts of quarters, nothing refitted


def test_what_is_not_cut_keeps_its_control_points_beside_what_is():
    one, two = circle_path((0, 0), 5), circle_path((6, 0), 5)
    moon = max(faces_of(one, two), key=lambda face: face.bounds[0] == pytest.approx(-5, abs=0.01))
    (path,) = Source(table_of(one, two)).paths(moon)
    found = [
        bool((np.abs(path.cubics - whole).max(axis=(1, 2)) < KEPT).any())
        or bool((np.abs(path.cubics - whole[::-1]).max(axis=(1, 2)) < KEPT).any())
        for whole in one.cubics[[1, 2]]  # the two quarters on the far side
    ]
    assert found == [True, True]


def test_a_circle_cut_by_a_straight_line():
    disc, bar = circle_path((0, 0), 5), box(-10, 0, 20, 20)
    half = min(faces_of(disc, bar), key=lambda face: face.area)
    (path,) = Source(table_of(disc, bar)).paths(half)
    assert path.straight.sum() == 1
    # closed form: half a circle of radius 5; the cubics add 0.0273 %
    assert signed_area(path) == pytest.approx(np.pi * 25 / 2, abs=0.02)


def test_straight_runs_are_merged_and_corners_stay():
    ring = np.array([(0, 0), (3, 0), (10, 0), (10, 4), (10, 10), (0, 10)], dtype=float)
    path = restore(ring, NO_CURVES)
    assert path.straight.all()
    assert sorted(map(tuple, path.cubics[:, 0].tolist())) == [(0, 0), (0, 10), (10, 0), (10, 10)]


def test_a_moved_circle_is_fitted_with_few_cubics():
    path = circle_path((0, 0), 10)
    ring = shapely.get_coordinates(area_of(path).buffer(-0.1, join_style="mitre").exterior)
    back = restore(ring, table_of(path))
    assert len(back.cubics) <= 6  # about six cubics a circle
    assert np.hypot(*dense(back).T) == pytest.approx(9.9, abs=WRITTEN)


def test_only_the_changed_part_of_an_outline_is_fitted():
    path = circle_path((0, 0), 10)
    bitten = area_of(path).difference(shapely.Point(10, 0).buffer(2, quad_segs=24))
    (back,) = Source(table_of(path)).paths(bitten)
    kept = [np.abs(back.cubics - q).max(axis=(1, 2)).min() < KEPT for q in path.cubics[1:3]]
    assert all(kept)
    bite = dense(back)
    inside = np.hypot(*bite.T) < 9.9
    assert np.hypot(*(bite[inside] - (10, 0)).T) == pytest.approx(2, abs=WRITTEN)


def test_specks_of_noding_do_not_break_a_run():
    path = circle_path((0, 0), 10)
    ring = line_of(path)[:-1]
    speck = np.insert(ring, 5, ring[5] + (2e-4, -3e-4), axis=0)
    assert len(restore(speck, table_of(path)).cubics) <= 6


def test_a_ring_of_one_point_is_refused():
    with pytest.raises(ValueError, match="two points"):
        restore(np.zeros((4, 2)), NO_CURVES)


def test_parts_of_a_curve_are_on_it():
    # closed form: the arc of y = x^2 as a cubic, cut by de Casteljau, is still y = x^2
    parabola = np.array([[(0, 0), (1 / 3, 0), (2 / 3, 1 / 3), (1, 1)]], dtype=float)
    part = parts_of(parabola, np.array([0.7]), np.array([0.2]))
    points = dense(as_path(part))
    assert points[:, 1] == pytest.approx(points[:, 0] ** 2, abs=1e-12)
    assert part[0, 0] == pytest.approx((0.7, 0.49), abs=1e-12)


def as_path(cubics):
    return Path(cubics=cubics, straight=np.zeros(len(cubics), dtype=bool), closed=False)


@given(
    seed=st.integers(0, 10_000),
    apart=st.floats(4, 30),
    turn=st.floats(0, 6.28),
    knots=st.integers(5, 9),
)
def test_every_face_of_two_crossing_outlines_comes_back(seed, apart, turn, knots):
    one = blob(0, 0, 15, seed=seed, knots=knots)
    two = blob(apart * np.cos(turn), apart * np.sin(turn), 12, seed=seed + 1)
    source = Source(table_of(one, two))
    faces = [f for f in faces_of(one, two) if f.area > 1]
    assert faces
    for face in faces:
        for path, ring in zip(
            source.paths(face), shapely.get_rings([face.normalize()]), strict=False
        ):
            assert joined(path)
            assert path.closed
            assert farthest(path, shapely.get_coordinates(ring)[:-1]) < WRITTEN
            assert shapely.LinearRing(dense(path)).is_simple


@given(seed=st.integers(0, 10_000), by=st.floats(0.05, 1.5))
def test_offset_outlines_come_back_within_tolerance(seed, by):
    path = blob(0, 0, 15, seed=seed)
    ring = shapely.get_coordinates(area_of(path).buffer(-by, join_style="mitre").exterior)[:-1]
    back = restore(ring, table_of(path))
    assert joined(back)
    assert farthest(back, ring) < WRITTEN
    assert shapely.LinearRing(dense(back)).is_simple


def test_150_000_edges_take_less_than_three_seconds():
    paths = [blob(25 * i, 25 * j, 10, seed=i + 50 * j) for i in range(40) for j in range(35)]
    lines = [line_of(path, 0.002) for path in paths]
    table = table_of(*paths, tolerance=0.002)
    assert sum(map(len, lines)) > 150_000
    start = time.process_time()
    back = Source(table).restore(lines)
    assert time.process_time() - start < 3
    assert [len(path.cubics) for path in back] == [6] * len(paths)


def test_islands_run_the_other_way_round():
    face = drawn(circle_path((0, 0), 20), circle_path((0, 0), 6)).land
    shell, hole = Source(NO_CURVES).paths(face)
    assert signed_area(shell) > 0 > signed_area(hole)
