"""Glue map: cement keeps off the openings, but narrow strands are always glued."""

from dataclasses import replace

import msgspec
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from filigree.geometry.path import circle_path
from filigree.job import Job
from filigree.plies.glue import glue_map
from tests.make.curved import area_of, blob, box, drawn
from tests.make.shapes import pattern, square


def dry(keep_out):
    return msgspec.convert({"glue": {"keep_out": keep_out}}, Job)


def test_area_is_counted_once_and_spread_twice():
    face = pattern(shapely.box(20, 20, 90, 70), outline=shapely.box(0, 0, 100, 100))
    found = glue_map(face, dry(0))
    assert found.area_mm2 == pytest.approx(6500, abs=1e-9)  # row 104, 65 cm2
    assert found.spread_mm2 == pytest.approx(13000, abs=1e-9)  # row 104, 130 cm2


def test_wide_land_keeps_two_millimetres_off():
    face = drawn(box(0, 0, 60, 60), circle_path((30, 30), 8))
    found = glue_map(face, Job())
    assert found.shape.distance(face.openings[0].shape) == pytest.approx(2, abs=0.02)
    assert found.area_mm2 == pytest.approx(3600 - np.pi * 100, abs=0.02 * 2 * np.pi * 10)


@pytest.mark.parametrize("width", [1.2, 2.0, 4.0])
def test_a_bridge_is_glued_along_its_middle_half(width):
    face = drawn(box(0, 0, 80, 60), box(20, 15, 15, 30), box(35 + width, 15, 15, 30))
    glued = glue_map(face, Job()).shape
    across = shapely.LineString([(35, 30), (35 + width, 30)]).intersection(glued)
    assert across.length == pytest.approx(width / 2, abs=0.06)
    assert across.distance(shapely.Point(35, 30)) == pytest.approx(width / 4, abs=0.03)


def test_a_small_island_is_glued():
    ring = area_of(circle_path((30, 30), 10)).difference(area_of(circle_path((30, 30), 1.5)))
    whole = drawn(box(0, 0, 60, 60), circle_path((30, 30), 10))
    face = replace(
        whole,
        openings=(replace(whole.openings[0], shape=ring),),
        land=whole.outline.difference(ring),
    )
    glued = glue_map(face, Job()).shape
    assert glued.covers(shapely.Point(30, 30))


@settings(max_examples=10)
@given(seed=st.integers(0, 1000), pitch=st.floats(8, 14))
def test_cement_reaches_no_opening_and_holds_every_strand(seed, pitch):
    rng = np.random.default_rng(seed)
    holes = [
        blob(15 + pitch * i, 15 + pitch * j, pitch * rng.uniform(0.3, 0.45), seed=seed + i + 5 * j)
        for i in range(3)
        for j in range(3)
    ]
    side = 30 + 2 * pitch
    face = drawn(box(0, 0, side, side), *holes)
    found = glue_map(face, Job())
    openings = shapely.union_all([o.shape for o in face.openings])
    assert found.shape.intersection(openings).area == 0
    assert found.shape.difference(face.land).area < 1e-6
    gaps = [
        shapely.shortest_line(a.shape, b.shape)
        for a in face.openings
        for b in face.openings
        if a.id < b.id and 0.5 < a.shape.distance(b.shape) < 3.5
    ]
    for gap in gaps:
        if gap.interpolate(0.5, normalized=True).distance(openings) > 0.49 * gap.length:
            assert found.shape.intersects(gap)  # every bridge is crossed by cement
    assert len(found.paths) >= 1


def test_no_openings_all_land():
    plain = replace(pattern(square(10, 10, 5)), openings=(), land=shapely.box(0, 0, 50, 50))
    plain = replace(plain, outline=shapely.box(0, 0, 50, 50))
    assert glue_map(plain, Job()).area_mm2 == pytest.approx(2500)
