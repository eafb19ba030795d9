"""Openings, corners, points, margins, open share, strands and islands. "row n": the check table."""

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from filigree.geometry.bends import sharp_tips, tight_bends
from filigree.geometry.medial import branches
from filigree.geometry.mesh import mesh_of
from filigree.geometry.rings import rings_of
from filigree.geometry.widths import caliper, least_width
from filigree.job import Bend, Hole
from filigree.measure import Asked, measure
from filigree.measure.margins import margins
from filigree.measure.openings import face_tips, opening_sizes
from filigree.measure.share import open_share
from filigree.measure.strands import strands
from tests.make import (
    circle,
    hexagon,
    pattern,
    plate,
    polygon,
    rectangle,
    slot,
    square,
    square_grid,
    staggered,
)

AREAS = [
    pytest.param(polygon((0, 0), (4, 0), (0, 3)), 6, 2.4, id="row 38, 3-4-5"),
    pytest.param(polygon((0, 0), (12, 0), (0, 5)), 30, 4.615385, id="row 39, 5-12-13"),
    pytest.param(hexagon(0, 0, math.sqrt(3)), 2.598076, math.sqrt(3), id="row 35"),
]


@pytest.mark.parametrize(("shape", "area", "width"), AREAS)
def test_area_and_least_width(shape, area, width):
    assert shape.area == pytest.approx(area, abs=1e-6)
    assert caliper(shape) == pytest.approx(width, abs=1e-6)


def test_least_width_of_a_reuleaux_triangle_is_the_same_all_round():
    """Row 36."""
    corners = [(0, 0), (1, 0), (0.5, math.sqrt(0.75))]
    shape = circle(*corners[0], 1, 1e-6)
    for x, y in corners[1:]:
        shape = shape.intersection(circle(x, y, 1, 1e-6))
    assert shape.area == pytest.approx(0.704771, abs=1e-5)
    for turn in (0, 13, 47):
        assert caliper(affinity.rotate(shape, turn)) == pytest.approx(1.0, abs=1e-5)


def test_least_width_of_a_bent_piece_is_its_own():
    """A ring-shaped piece 2 mm wide is not as wide as its hull."""
    assert least_width(circle(0, 0, 6).difference(circle(0, 0, 4))) == pytest.approx(2, abs=0.01)


def sizes(*shapes, under=4.0):
    return opening_sizes(pattern(*shapes), under=under)


def test_clear_width_of_an_opening_is_its_waist_or_its_widest_disc():
    waisted = rectangle(0, 0, 10, 10).union(rectangle(9, 4, 7, 1.5)).union(rectangle(15, 0, 10, 10))
    one, two, three = sizes(waisted, circle(40, 5, 3), slot(60, 5, 12, 0.7))
    assert one.width == pytest.approx(1.5, abs=1e-9)
    assert one.ends is not None
    assert (two.width, two.ends) == (pytest.approx(6.0, abs=0.01), None)
    assert three.width == pytest.approx(0.7, abs=0.005)


def bowl(turn):
    """Two rounds of 5 and 6 mm on a bar 3 mm wide: a search uphill from its middle would end in either."""
    two = circle(0, 0, 5, 1e-4).union(circle(30, 0, 6, 1e-4)).union(rectangle(0, -1.5, 30, 3))
    return affinity.rotate(two, turn, origin=(0, 0))


def wedge(turn):
    """A triangle with sides of 30, 40 and 50 mm: the circle in it has a radius of 10 mm (Euclid IV 4)."""
    return affinity.rotate(polygon((0, 0), (40, 0), (0, 30)), turn, origin=(0, 0))


@pytest.mark.parametrize("under", [1.0, 4.0, 40.0])
@pytest.mark.parametrize("turn", [0.0, 17.0, 64.0])
@pytest.mark.parametrize(("shape", "disc"), [(bowl, 12.0), (wedge, 20.0)])
def test_widest_disc_is_the_widest_whatever_is_asked_for(shape, disc, turn, under):
    (size,) = sizes(shape(turn), under=under)
    assert size.disc == pytest.approx(disc, abs=0.005)


def test_area_of_an_opening_counts_no_island_in_it():
    (ring,) = sizes(circle(0, 0, 10, 1e-4).difference(circle(0, 0, 6, 1e-4)))
    assert ring.area_mm2 == pytest.approx(201.06193, abs=0.02)  # row 40


RADII = [(0.4, 4), (0.6, 4), (1.5, 4)]


@pytest.mark.parametrize(("radius", "count"), RADII)
@pytest.mark.parametrize("turn", [0.0, 31.0])
def test_radius_of_rounded_corners(radius, count, turn):
    step = 2 * math.acos(1 - 0.005 / radius)
    shape = square(0, 0, 10).buffer(-radius).buffer(radius, quad_segs=math.ceil(math.pi / 2 / step))
    found = tight_bends(rings_of(affinity.rotate(shape, turn)), under=2.0, turn=math.radians(45))
    assert len(found.vertex) == count
    assert found.radius == pytest.approx([radius] * count, abs=0.01)


def test_corners_of_a_square_have_no_radius_and_a_circle_has_none():
    assert len(tight_bends(rings_of(circle(0, 0, 3)), under=2.0, turn=math.radians(45)).vertex) == 0
    found = tight_bends(rings_of(square(0, 0, 6)), under=0.5, turn=math.radians(45))
    assert np.degrees(found.turn) == pytest.approx([90.0] * 4)


@pytest.mark.parametrize("angle", [12.0, 29.0, 31.0])
def test_angle_of_a_point_of_face(angle):
    """The wedge of face between two sides of an opening."""
    half = 10 * math.tan(math.radians(angle / 2))
    wedge = polygon((0, 0), (10, -half), (10, half))
    cut = rectangle(-5, -15, 15, 30).difference(wedge)
    (tip,) = [t for t in face_tips(pattern(cut)) if t.angle_deg < 45]
    assert tip.angle_deg == pytest.approx(angle, abs=1e-6)
    assert (tip.at, tip.beside) == ((0.0, 0.0), 1)


def test_a_blunted_point_is_not_sharp():
    """Blunted to 0.5 mm (handbook 2.2)."""
    wedge = polygon((0, 0), (10, -1), (10, 1))
    assert len(sharp_tips(rings_of(wedge), within=0.5, turn=math.radians(150)).vertex) == 1
    blunt = wedge.buffer(-0.5).buffer(0.5, quad_segs=16)
    assert len(sharp_tips(rings_of(blunt), within=0.5, turn=math.radians(150)).vertex) == 0


def test_margins_to_everything_an_opening_keeps_from():
    face = pattern(square(0, 0, 10), outline=rectangle(-8, -40, 60, 90))
    found = margins(
        face,
        under=30,
        stitch=4.0,
        holes=(Hole(at=(20, 5), diameter=4),),
        bends=(Bend(start=(-5, 25), end=(50, 25), kind="buckle"),),
    )
    assert {m.beyond: m.width for m in found} == pytest.approx(
        {"edge": 8.0, "stitch": 4.0, "hole": 8.0, "buckle": 15.0}, abs=0.01
    )
    assert [m.width for m in found] == sorted(m.width for m in found)


def test_an_opening_across_the_stitch_line_has_no_margin():
    face = pattern(square(0, 0, 10), outline=rectangle(-3, -40, 60, 90))
    assert margins(face, under=3.5, stitch=4.0)[0].width == 0.0


SHARES = [  # hole, centres, cell, per cent
    pytest.param(circle(0, 0, 1.5, 1e-4), square_grid, (5, 5), 28.2743, id="row 54"),
    pytest.param(
        circle(0, 0, 1.5, 1e-4), staggered, (5, 5 * math.sqrt(0.75)), 32.6484, id="row 52"
    ),
    pytest.param(hexagon(0, 0, 4), staggered, (5, 5 * math.sqrt(0.75)), 64.0, id="row 60"),
]


@pytest.mark.parametrize(("hole", "grid", "cell", "share"), SHARES)
def test_open_share_of_whole_cells(hole, grid, cell, share):
    """Counted hole by hole: openings over as many cells."""
    centres = grid(6, 4, 5)
    face = pattern(*[affinity.translate(hole, x, y) for x, y in centres])
    whole = open_share(face, window=12).whole * face.outline.area
    assert 100 * whole / (len(centres) * cell[0] * cell[1]) == pytest.approx(share, abs=0.02)


def test_open_share_of_slots():
    """Row 56: slots 2 x 10 on 4 x 12."""
    face = pattern(*[slot(12 * i, 4 * j, 10, 2, 1e-4) for i in range(3) for j in range(4)])
    whole = open_share(face, window=12).whole * face.outline.area
    assert 100 * whole / (12 * 4 * 12) == pytest.approx(39.8783, abs=0.02)


def test_a_window_that_hardly_lies_on_the_piece_does_not_count():
    """A window of 16 mm on a tab 4 mm high holds 64 mm2 of it, a quarter; on the plate 8 of 16 mm come out."""
    plate = shapely.box(0, 0, 80, 80).union(shapely.box(80, 0, 160, 4))
    face = pattern(rectangle(32, 32, 8, 16), rectangle(100, 0.5, 20, 3), outline=plate)
    found = open_share(face, window=16)
    assert found.most == pytest.approx(0.5, abs=1e-9)
    assert found.at[0] < 80


def test_window_finds_where_most_comes_out():
    face = pattern(square(0, 0, 4), square(40, 40, 11), outline=rectangle(-20, -20, 100, 100))
    found = open_share(face, window=12)
    assert found.at == pytest.approx((45.5, 45.5), abs=3)
    assert found.most > 0.7


BODY = rectangle(0, -10, 60, 30)
TONGUES = [  # on the body's side at y 20, 3 mm wide: shape, length along the middle
    pytest.param(rectangle(18, 19, 3, 13), 12.0, id="straight"),
    pytest.param(rectangle(18, 19, 3, 11.5).union(circle(19.5, 30.5, 1.5)), 12.0, id="round end"),
    pytest.param(polygon((18, 19), (21, 19), (21, 29), (19.5, 32), (18, 29)), 12.0, id="pointed"),
    pytest.param(polygon((17.5, 20), (21.5, 20), (20.5, 32), (18.5, 32)), 12.0, id="tapering"),
]


@pytest.mark.parametrize(("tongue", "length"), TONGUES)
@pytest.mark.parametrize("step", [0.5, 0.75, 1.2])
def test_tongue_is_measured_from_its_root(tongue, length, step):
    """A 12 x 3 mm tongue reads 12.0 within 0.2, however it lies and ends."""
    for turn in (0, 17, 45, 71, 90, 133):
        face = affinity.rotate(BODY.union(tongue), turn, origin=(0, 0))
        (found,) = [b for b in branches(face, step=step) if b.mean < 4]
        assert found.kind == "tongue"
        assert found.length == pytest.approx(length, abs=0.2)
        assert found.mean == pytest.approx(tongue.difference(BODY).area / length, abs=0.06)


@pytest.mark.parametrize("turn", [0, 45, 133])
@pytest.mark.parametrize("radius", [8.0, 10.0, 20.0])
def test_bent_tongue_is_measured_along_its_middle(radius, turn):
    """A quarter ring 3 mm wide: pi/2 x (radius + 1.5)."""
    ring = circle(18, 20, radius + 3).difference(circle(18, 20, radius))
    ring = ring.intersection(rectangle(18, 19.9, 40, 40))
    face = affinity.rotate(BODY.union(ring), turn, origin=(0, 0))
    (found,) = [b for b in branches(face, step=0.75) if b.mean < 4]
    assert found.length == pytest.approx(math.pi / 2 * (radius + 1.5), abs=0.2)


def test_longer_arm_of_a_fork_is_one_tongue_with_its_stem():
    """A stem of 10 mm with arms of 14 and 8 mm: 10 + 14 and 8, less what the bend cuts off."""
    fork = rectangle(30, 19, 2, 13).union(rectangle(17, 30, 22, 2))
    face = BODY.difference(square(5, 0, 10)).union(fork)
    found = [b for b in branches(face, step=0.75) if b.mean < 4]
    assert [b.kind for b in found] == ["tongue", "tongue"]
    assert [b.length for b in found] == pytest.approx([11 + 14, 7], abs=0.8)


@pytest.mark.parametrize("step", [0.5, 0.75, 1.2])
def test_triangles_fill_the_land_once(step):
    """Rows of samples along straight sides, turned off the axes, must leave no hole and no overlap."""
    rng = np.random.default_rng(5)
    for turn in (17.0, 45.0, 133.0, *rng.uniform(0, 360, 5)):
        holes = [rectangle(3 + 12 * k, -6, 9, rng.choice([4, 6])) for k in range(4)]
        face = BODY.union(rectangle(18, 19, 3, 13)).difference(shapely.union_all(holes))
        mesh = mesh_of(affinity.rotate(face, turn, origin=(0, 0)), step=step)
        assert sum(mesh.area) == pytest.approx(face.area, abs=1e-6)


def test_strands_between_three_slots():
    """Three gaps of 2 mm between slots 30 mm long."""
    found = strands(pattern(*[rectangle(0, 4 * k, 30, 2) for k in range(4)]), wanted=3.0)
    slender = [s for s in found if s.mean < 5]
    assert [s.kind for s in slender] == ["strand"] * 3
    assert [s.length for s in slender] == pytest.approx([30.0] * 3, abs=0.3)
    assert [s.least for s in slender] == pytest.approx([2.0] * 3, abs=0.01)


def test_each_bridge_of_a_plate_is_one_strand():
    """Grids of 6 x 5 round holes: the land between two neighbours, and the rim."""
    face = plate(circle(0, 0, 1.5), square_grid(6, 5, 5))
    inner = [b for b in branches(face, step=1.0) if b.kind == "strand" and b.mean < 4]
    assert len(inner) == 5 * 5 + 6 * 4


def test_what_hangs_on_one_bridge():
    """A 20 x 10 part cut free but for a bridge of 3 mm, with a 4 mm square hole in it."""
    cut = (
        rectangle(-2, -2, 24, 14)
        .difference(rectangle(0, 0, 20, 10))
        .difference(rectangle(8, 9, 3, 4))
    )
    found = measure(pattern(cut, square(2, 2, 4)), wanted=3.0).necks
    (stalk,) = [n for n in found if n.between == (1, 1)]
    assert stalk.width == pytest.approx(3.0)
    assert stalk.alone == pytest.approx(200 - 16, abs=3.1)  # and up to half the bridge
    assert all(n.alone == 0 for n in found if n is not stalk)


def test_measures_of_a_piece_with_nothing_cut():
    found = measure(pattern(outline=rectangle(0, 0, 50, 30)), wanted=3.0, asked=Asked())
    assert (found.necks, found.islands, found.openings, found.margins) == ((), (), (), ())
    assert found.share.whole == 0.0
    assert found.section.share == pytest.approx(1.0)


def test_weakest_section_of_a_piece_inside_a_ring_of_background():
    """All of the sheet round the piece is cut away; the piece itself is a 20 mm strip with a 12 mm hole."""
    piece = rectangle(20, 20, 60, 20)
    face = pattern(
        rectangle(0, 0, 100, 60).difference(piece),
        rectangle(40, 24, 20, 12),
        outline=rectangle(0, 0, 100, 60),
    )
    assert measure(face, wanted=3.0).section.width == pytest.approx(8.0)


def test_wanted_must_be_positive():
    with pytest.raises(ValueError, match="wanted"):
        measure(pattern(square(0, 0, 6)), wanted=0)
    with pytest.raises(ValueError, match="step"):
        branches(shapely.box(0, 0, 1, 1), step=0)
