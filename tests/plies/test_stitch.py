"""Stitching. "row n" is row n of the check table, which holds the source."""

import msgspec
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from filigree.errors import FiligreeError
from filigree.geometry.path import circle_path
from filigree.job import Job
from filigree.plies.stitch import fallen, seam, stitch_line, thread_length
from tests.make.curved import area_of, blob
from tests.make.shapes import circle, opening

SEAMS = [  # length, closed, stitches, holes, real pitch
    pytest.param(200, False, 50, 51, 4.0, id="row 80, fence post"),
    pytest.param(215, True, 54, 54, 3.98148, id="row 81, not 55 holes"),
]


def stitched(outline, **stitch):
    return stitch_line(outline, msgspec.convert({"stitch": stitch}, Job))


@pytest.mark.parametrize(("length", "closed", "stitches", "holes", "pitch"), SEAMS)
def test_whole_stitches_are_fitted(length, closed, stitches, holes, pitch):
    found = seam(length, 4, closed=closed)
    assert (found.stitches, found.holes) == (stitches, holes)
    assert found.pitch == pytest.approx(pitch, abs=1e-4)


def test_thread():
    assert thread_length(length=200, holes=51, stack=4) == pytest.approx(808, abs=1e-9)  # row 82
    assert thread_length(length=215, holes=54, stack=4) == pytest.approx(862, abs=1e-9)  # row 83
    assert thread_length(length=200, holes=51, stack=4, tails=200) == pytest.approx(1008)


def test_a_rectangle_has_a_hole_at_each_corner():
    line = stitched(shapely.box(0, 0, 100, 60), pitch=4, inset=5)
    corners = {(5.0, 5.0), (95.0, 5.0), (95.0, 55.0), (5.0, 55.0)}
    assert {tuple(p) for p in np.round(line.corners, 9).tolist()} == corners
    holes = {tuple(p) for p in np.round(line.holes, 6).tolist()}
    assert corners <= holes
    # 90 / 4 = 22.5 and 50 / 4 = 12.5 stitches, halves rounded up (handbook 4: N = round(length / pitch))
    assert sorted(s.stitches for s in line.seams) == [13, 13, 23, 23]
    assert line.stitches == len(line.holes) == 72
    assert line.length == pytest.approx(280)


def test_a_round_piece_is_one_closed_seam():
    line = stitched(area_of(circle_path((50, 50), 39.2)), pitch=4, inset=5)
    assert len(line.corners) == 0
    (only,) = line.seams
    # circumference of r 34.2 is 214.88 mm: 54 stitches as in row 81
    assert (only.stitches, only.holes, len(line.holes)) == (54, 54, 54)


def test_the_inset_follows_the_stack():
    # handbook 4: one to one and a half times the stack, at least 3 mm; 2-3, 2-3 and 5-6 oz are 12 oz upper
    line = stitch_line(shapely.box(0, 0, 100, 60), msgspec.convert({"stitch": {}}, Job))
    assert line.inset == pytest.approx(1.25 * 12 * 0.396875)


@given(seed=st.integers(0, 1000), pitch=st.floats(2, 8))
def test_holes_lie_inside_evenly_and_at_the_inset(seed, pitch):
    outline = area_of(blob(0, 0, 40, seed=seed))
    line = stitched(outline, pitch=pitch, inset=5)
    off = [outline.exterior.distance(shapely.Point(p)) for p in line.holes]
    assert off == pytest.approx(np.full(len(off), 5.0), abs=0.02)
    for one in line.seams:
        assert abs(one.pitch - pitch) <= pitch / (2 * one.stitches) + 1e-9


def test_holes_that_fall_into_openings_are_found():
    # a line 5 mm inside a plate of 60 x 40 with 4 mm pitch: by hand, its lower run has holes at 5 + 50 / 13 k
    plate = shapely.box(0, 0, 60, 40)
    line = stitched(plate, pitch=4, inset=5)
    whole = [opening(1, circle(30, 20, 8)), opening(4, shapely.box(20, 3, 40, 9))]
    (found,) = fallen(line, whole, plate)
    inside = [5 + 50 / 13 * k for k in range(14) if 20 < 5 + 50 / 13 * k < 40]
    assert (found.opening, found.holes) == (4, len(inside))
    assert found.room == pytest.approx(3)
    assert any(found.at == pytest.approx((x, 5)) for x in inside)


def test_a_hole_that_breaks_through_to_an_opening_is_lost_and_one_beside_it_is_not():
    plate = shapely.box(0, 0, 60, 40)
    line = stitched(plate, pitch=4, inset=5)
    for gap, count in ((0.4, 1), (0.5, 0), (0.6, 0)):  # the hole is 1 mm wide
        hole = shapely.box(5 + 50 / 13 * 3 - 0.5, 5 + gap, 5 + 50 / 13 * 3 + 0.5, 9)
        assert sum(f.holes for f in fallen(line, [opening(1, hole)], plate)) == count


def test_parts_of_one_opening_are_counted_together():
    plate = shapely.box(0, 0, 60, 40)
    line = stitched(plate, pitch=4, inset=5)
    parts = [opening(2, shapely.box(12, 3, 18, 8)), opening(2, shapely.box(41, 3, 48, 8))]
    (found,) = fallen(line, parts, plate)
    assert found.holes == 2 + 2  # by hand: at 12.7 and 16.5, at 43.5 and 47.3
    assert fallen(line, [], plate) == ()


def test_a_piece_too_narrow_for_the_inset_is_refused():
    with pytest.raises(FiligreeError, match="no room for a stitch line"):
        stitched(shapely.box(0, 0, 100, 8), inset=5)


def test_bad_calls_are_refused():
    with pytest.raises(ValueError, match="above 0"):
        seam(0, 4, closed=False)
    with pytest.raises(ValueError, match="stitch"):
        stitch_line(shapely.box(0, 0, 100, 80), Job())
