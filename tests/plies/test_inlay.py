"""Inlay patches of several colours: disjoint, covering, meeting midway under the land."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from filigree.geometry.path import circle_path
from filigree.job import Job
from filigree.plies.build import build
from filigree.plies.inlay import file_name, patches
from tests.make.curved import area_of, blob, box, drawn

REACH = 4.0  # mm: land round an opening, common practice, no source
SMALL = 50.0  # mm2: gaps that patches close over
FIT = 0.03  # mm: fitted seam (0.02) and round joins


def by_colour(pattern):
    return {patch.colour: patch.shape for patch in patches(pattern, "red")}


def test_one_colour_is_one_oversize_sheet():
    pattern = drawn(box(0, 0, 60, 40), circle_path((20, 20), 5), circle_path((40, 20), 5))
    inlay = [p for p in build(pattern, Job()) if p.ply == "inlay"]
    assert [p.file for p in inlay] == ["inlay-red.svg"]
    assert [c.name for c in inlay[0].cuts] == ["pins", "blank"]


def test_the_seam_of_two_circles_is_the_line_midway():
    pattern = drawn(
        box(0, 0, 60, 40),
        circle_path((20, 20), 5),
        circle_path((33, 20), 5),
        inlays=["red", "blue"],
    )
    found = by_colour(pattern)
    seam = found["red"].intersection(found["blue"])
    # closed form: equal circles part at the perpendicular between their centres; gap 3, row 41
    points = shapely.get_coordinates(seam)
    assert points[:, 0] == pytest.approx(26.5, abs=0.005)
    # the reaches of 4 mm round r 5, 13 apart, cross 2 sqrt(9^2 - 6.5^2) apart
    assert np.ptp(points[:, 1]) == pytest.approx(2 * np.sqrt(81 - 42.25), abs=0.2)


def test_away_from_other_colours_a_patch_reaches_four_millimetres():
    pattern = drawn(
        box(0, 0, 90, 40),
        circle_path((15, 20), 5),
        circle_path((60, 20), 5),
        inlays=["red", "blue"],
    )
    # closed form: circles of radius 5 + 4
    assert by_colour(pattern)["red"].area == pytest.approx(np.pi * 81, abs=FIT * 2 * np.pi * 9)


def test_patches_of_one_colour_that_touch_are_one_piece():
    holes = [circle_path((15 + 12 * k, 20), 4) for k in range(3)]
    pattern = drawn(
        box(0, 0, 90, 40), *holes, circle_path((75, 20), 5), inlays=["red", "red", "red", "blue"]
    )
    sizes = {p.colour: len(p.parts) for p in patches(pattern, "red")}
    assert sizes == {"red": 1, "blue": 1}


def test_an_opening_without_a_colour_takes_the_job_s():
    pattern = drawn(
        box(0, 0, 60, 40), circle_path((15, 20), 5), circle_path((45, 20), 5), inlays=["", "blue"]
    )
    assert list(by_colour(pattern)) == ["red", "blue"]
    files = [p.file for p in build(pattern, Job()) if p.ply == "inlay"]
    assert files == ["inlay-red.svg", "inlay-blue.svg"]


def test_an_opening_inside_another_s_island_gets_its_own_patch():
    ring = area_of(circle_path((30, 30), 20)).difference(area_of(circle_path((30, 30), 10)))
    whole = drawn(
        box(0, 0, 60, 60),
        circle_path((30, 30), 20),
        circle_path((30, 30), 4),
        inlays=["red", "blue"],
    )
    outer = replace(whole.openings[0], shape=ring)
    found = by_colour(replace(whole, openings=(outer, whole.openings[1])))
    assert found["red"].intersection(found["blue"]).area < 1e-6
    assert found["red"].covers(ring.buffer(-1e-6))
    # island r 4 to 10: the seam runs midway, at 7
    seam = shapely.get_coordinates(found["blue"].boundary) - 30
    assert np.hypot(*seam.T) == pytest.approx(7, abs=FIT)


def test_files_are_named_by_colour_and_never_twice():
    assert file_name("Dark  Brown", []) == "inlay-dark-brown"
    assert file_name("dark brown", ["inlay-dark-brown.svg"]) == "inlay-dark-brown-2"


def scene(seed, columns, rows, colours, pitch):
    """Openings on an uneven grid, coloured at random."""
    rng = np.random.default_rng(seed)
    holes, names = [], []
    for i in range(columns):
        for j in range(rows):
            x, y = 20 + pitch * i, 20 + pitch * j
            holes.append(blob(x, y, rng.uniform(0.3, 0.44) * pitch, seed=seed + 7 * i + j))
            names.append(f"colour {rng.integers(colours)}")
    outline = box(0, 0, 40 + pitch * (columns - 1), 40 + pitch * (rows - 1))
    return drawn(outline, *holes, inlays=names)


def check(pattern, found):
    """Disjoint, covering, seams under land and midway, four millimetres elsewhere."""
    holes = {
        c: shapely.union_all([o.shape for o in pattern.openings if o.inlay == c]) for c in found
    }
    for one, two in combinations(found.values(), 2):
        assert one.intersection(two).area < 1e-6
    every = shapely.union_all(list(holes.values()))
    reach = shapely.get_parts(every.buffer(REACH + FIT))
    filled = shapely.union_all([shapely.Polygon(part.exterior) for part in reach])
    for colour, patch in found.items():
        assert holes[colour].difference(patch).area < 1e-6
        assert (
            patch.intersection(shapely.union_all([h for c, h in holes.items() if c != colour])).area
            < 1e-6
        )
        beyond = shapely.get_parts(patch.difference(holes[colour].buffer(REACH + FIT)))
        assert all(part.area < SMALL for part in beyond)
        assert shapely.union_all(beyond).difference(filled).area < 1e-6
    whole = shapely.union_all(list(found.values()))
    assert every.buffer(REACH - FIT, quad_segs=64).difference(whole).area < 0.01
    for (one, a), (two, b) in combinations(found.items(), 2):
        seam = shapely.get_coordinates(shapely.segmentize(a.intersection(b), 0.5))
        spots = [shapely.Point(p) for p in seam]
        off = shapely.distance(spots, holes[one]) - shapely.distance(spots, holes[two])
        assert len(off) == 0 or np.abs(off).max() < 2 * FIT


@settings(max_examples=12)
@given(seed=st.integers(0, 10_000), colours=st.integers(2, 5), pitch=st.floats(9, 16))
def test_random_colourings_are_parted_midway(seed, colours, pitch):
    pattern = scene(seed, 4, 3, colours, pitch)
    check(pattern, by_colour(pattern))


@pytest.mark.parametrize("gap", [0.2, 1.0, 3.0])
def test_seams_keep_off_openings_however_narrow_the_land(gap):
    side = 8
    holes = [
        box(10 + (side + gap) * i, 10 + (side + gap) * j, side, side)
        for i in range(3)
        for j in range(3)
    ]
    names = [f"colour {k % 3}" for k in range(9)]
    pattern = drawn(box(0, 0, 60, 60), *holes, inlays=names)
    found = by_colour(pattern)
    check(pattern, found)
    holes_there = shapely.union_all([o.shape for o in pattern.openings])
    for a, b in combinations(found.values(), 2):
        seam = a.intersection(b)
        assert seam.is_empty or seam.distance(holes_there) == pytest.approx(gap / 2, abs=FIT)


def test_written_patches_meet_without_overlap():
    pattern = scene(11, 3, 3, 3, 13)
    plies = [p for p in build(pattern, Job()) if p.ply == "inlay"]
    assert len(plies) == 3
    written = [
        shapely.union_all([shapely.make_valid(area_of(path, 0.001)) for path in ply.cuts[0].paths])
        for ply in plies
    ]
    assert all(c.name == "patches" for ply in plies for c in ply.cuts)
    for one, two in combinations(written, 2):
        assert one.intersection(two).area < 0.01
