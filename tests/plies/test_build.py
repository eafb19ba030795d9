"""Plies. "row n" is row n of the check table, which holds the source."""

from dataclasses import replace
from itertools import pairwise

import msgspec
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from filigree.errors import FiligreeError
from filigree.geometry.path import bounds, circle_path, moved, signed_area
from filigree.job import Job, loss_of
from filigree.measure.finished import finished
from filigree.plies.build import build
from tests.make.curved import area_of, blob, box, drawn

KEPT = 0.01  # mm: control points of an untouched curve
LASER = {"cut": {"way": "laser", "kerf": 0.2}}


def job_of(**tables):
    return msgspec.convert(tables, Job)


def cut(plies, file, name):
    (ply,) = (p for p in plies if p.file == file)
    (found,) = (c for c in ply.cuts if c.name == name)
    return found


def size(path):
    left, top, right, bottom = bounds(path)
    return right - left, bottom - top


def centre(path):
    left, top, right, bottom = bounds(path)
    return (left + right) / 2, (top + bottom) / 2


@pytest.fixture
def piece():
    """A plate with a round hole, a square one and a ring that holds an island with a hole of its own."""
    return drawn(
        box(0, 0, 100, 60),
        circle_path((20, 20), 2.5),
        box(30, 10, 10, 10),
        blob(70, 30, 15, seed=2),
    )


def test_each_file_holds_what_is_cut_in_its_step(piece):
    plies = build(piece, job_of(stitch={}, stiffener={}))
    assert {p.file: [c.name for c in p.cuts] for p in plies} == {
        "face.svg": ["pins", "openings", "blank"],
        "trim.svg": ["stitch-holes", "outline"],
        "inlay-red.svg": ["pins", "blank"],
        "stiffener.svg": ["pins", "blank"],
        "backing.svg": ["pins", "blank"],
    }


def test_the_trim_goes_through_every_ply(piece):
    """2 + 1 + 3 + 2 to 2.5 mm, by hand."""
    job = job_of(
        face={"thickness": "2 mm"},
        inlay={"thickness": "1 mm"},
        stiffener={"thickness": "3 mm"},
        backing={"thickness": "2-2.5 mm"},
    )
    (trim,) = (p for p in build(piece, job) if p.ply == "trim")
    assert (trim.thickness.low, trim.thickness.high) == pytest.approx((8, 8.5))


def test_trimmed_before_lining_the_face_holds_its_outline(piece):
    plies = build(piece, job_of(cut={"trim": "before"}))
    assert [c.name for c in plies[0].cuts] == ["openings", "outline"]
    assert "trim.svg" not in [p.file for p in plies]


def test_a_path_is_shrunk_in_a_hole_and_grown_round_an_outline(piece):
    plies = build(piece, job_of(**LASER))
    opening = cut(plies, "face.svg", "openings")
    holes = dict(zip(opening.owners, opening.paths, strict=True))
    assert size(holes[1]) == pytest.approx((4.8, 4.8), abs=1e-9)  # row 47
    assert size(holes[2]) == pytest.approx((9.8, 9.8), abs=1e-9)
    (outline,) = cut(plies, "trim.svg", "outline").paths
    assert size(outline) == pytest.approx((100.2, 60.2), abs=1e-9)  # row 48
    assert size(cut(plies, "face.svg", "pins").paths[0]) == pytest.approx((1.8, 1.8), abs=1e-9)


def test_row_48():
    plies = build(drawn(box(0, 0, 50, 30), circle_path((25, 15), 2.5)), job_of(**LASER))
    (outline,) = cut(plies, "trim.svg", "outline").paths
    assert size(outline) == pytest.approx((50.2, 30.2), abs=1e-9)  # row 48


def test_an_offset_of_curves_is_right_by_steiner(piece):
    by = 0.1
    path = cut(build(piece, job_of(**LASER)), "face.svg", "openings").paths[-1]
    shape = piece.openings[2].shape
    # Steiner: a smooth shape shrunk by r has area A - P r + pi r^2 (handbook 9)
    wanted = shape.area - shape.length * by + np.pi * by**2
    assert abs(signed_area(path)) == pytest.approx(wanted, abs=0.01 + 0.005 * shape.length)
    assert len(path.cubics) <= 16


def test_with_a_knife_the_drawn_curves_are_written(piece):
    opening = cut(build(piece, Job()), "face.svg", "openings")
    path = moved(
        opening.paths[opening.owners.index(3)],
        tuple(-v for v in build(piece, Job())[0].offset),
    )
    drawn_curves = blob(70, 30, 15, seed=2).cubics
    for curve in drawn_curves:
        near = np.abs(path.cubics - curve).max(axis=(1, 2)).min()
        back = np.abs(path.cubics - curve[::-1]).max(axis=(1, 2)).min()
        assert min(near, back) < KEPT
    assert len(path.cubics) == len(drawn_curves)


def test_islands_are_grown_by_the_kerf_and_cut_before_what_holds_them():
    ring = area_of(circle_path((30, 30), 12)).difference(area_of(circle_path((30, 30), 6)))
    whole = drawn(box(0, 0, 60, 60), circle_path((30, 30), 12), circle_path((30, 30), 6))
    first = whole.openings[0]
    pattern = replace(
        whole,
        openings=(replace(first, shape=ring, area_mm2=ring.area),),
        land=whole.outline.difference(ring),
    )
    opening = cut(build(pattern, job_of(**LASER)), "face.svg", "openings")
    assert opening.owners == (1, 1)
    assert size(opening.paths[0]) == pytest.approx((12.2, 12.2), abs=1e-9)
    assert size(opening.paths[1]) == pytest.approx((23.8, 23.8), abs=1e-9)
    assert signed_area(opening.paths[0]) < 0 < signed_area(opening.paths[1])


def test_openings_stand_back_for_a_bevel(piece):
    opening = cut(build(piece, job_of(cut={"bevel": 1.5})), "face.svg", "openings")
    assert size(opening.paths[opening.owners.index(1)]) == pytest.approx((2, 2), abs=1e-9)
    assert size(opening.paths[opening.owners.index(2)]) == pytest.approx((7, 7), abs=1e-9)


def test_openings_that_a_bevel_closes_are_named(piece):
    face = build(piece, job_of(cut={"bevel": 3.0}))[0]
    assert 1 not in face.cuts[1].owners
    assert "Too narrow to be cut: 1." in face.note


def test_a_tooled_face_takes_its_bevel_from_its_thickness(piece):
    # handbook 2.3: 0.75 t; 6 oz is 2.38125 mm (row 5)
    plies = build(piece, job_of(face={"thickness": "6 oz", "tooled": True}))
    opening = cut(plies, "face.svg", "openings")
    side = 10 - 2 * 0.75 * 2.38125
    assert size(opening.paths[opening.owners.index(2)]) == pytest.approx((side, side), abs=1e-9)


def test_a_face_cut_before_tooling_is_smaller_along_the_piece(piece):
    plies = build(piece, job_of(cut={"stretch_along": 1.02, "stretch_across": 1.01}))
    opening = cut(plies, "face.svg", "openings")
    wide, high = size(opening.paths[opening.owners.index(2)])
    assert (wide * 1.02, high * 1.01) == pytest.approx((10, 10), abs=1e-9)
    (outline,) = cut(plies, "trim.svg", "outline").paths
    assert size(outline) == pytest.approx((100, 60), abs=1e-9)  # trimmed after tooling


def test_blanks_are_oversize_all_round(piece):
    for file in ("face.svg", "inlay-red.svg", "backing.svg"):
        (blank,) = cut(build(piece, Job()), file, "blank").paths
        assert size(blank) == pytest.approx((116, 76), abs=1e-9)
        # Steiner (handbook 9): A + P r + pi r^2 with r 8, the margin's default
        assert abs(signed_area(blank)) == pytest.approx(6000 + 320 * 8 + np.pi * 64, abs=0.2)


def test_areas_are_those_of_the_finished_plies(piece):
    plies = {p.file: p for p in build(piece, Job())}
    assert plies["face.svg"].area_mm2 == pytest.approx(piece.land.area)
    assert plies["backing.svg"].area_mm2 == pytest.approx(6000)


def test_the_backing_is_mirrored_and_nothing_else(piece):
    plies = build(piece, job_of(stiffener={}))
    assert [p.file for p in plies if p.mirrored] == ["backing.svg"]
    width = plies[0].size[0]
    face = {centre(p) for p in cut(plies, "inlay-red.svg", "pins").paths}
    back = {(width - x, y) for x, y in map(centre, cut(plies, "backing.svg", "pins").paths)}
    assert sorted(back) == pytest.approx(np.array(sorted(face)), abs=1e-9)


SUEDE = [  # leather, nap, side that looks away from the face, side that the note names
    pytest.param("veg-tan lining", "out", "grain", "grain side", id="smooth: grain out"),
    pytest.param("veg-tan lining", "in", "grain", "grain side", id="no nap to turn"),
    pytest.param("cow suede split", "out", "flesh", "nap side", id="suede, nap out: handbook 3.3"),
    pytest.param("cow suede split", "in", "grain", "side without nap", id="suede, nap in"),
    pytest.param("own suede", "out", "flesh", "nap side", id="a suede of the maker's own"),
]


@pytest.mark.parametrize(("leather", "nap", "outward", "said"), SUEDE)
def test_the_backing_is_mirrored_when_its_outward_side_lies_up(piece, leather, nap, outward, said):
    """Flesh side up means mirrored art (handbook 2.6) for the face; a backing looks the other way."""
    own = {"name": "own suede", "tannage": "chrome", "density": 0.6, "nap": True}
    job = job_of(backing={"leather": leather, "nap": nap}, leathers=[own])
    (backing,) = (p for p in build(piece, job) if p.ply == "backing")
    assert backing.mirrored == (backing.cut_from == outward)  # what is cut up is seen from behind
    assert f"Cut from the {said}, mirrored" in backing.note


@pytest.mark.parametrize(
    ("leather", "side", "said"),
    [
        ("pigskin suede", "flesh", "from the nap side, which shows"),
        ("chrome upper", "grain", "with the side that shows upwards"),
    ],
)
def test_an_inlay_of_suede_shows_its_nap(piece, leather, side, said):
    (inlay,) = (p for p in build(piece, job_of(inlay={"leather": leather})) if p.ply == "inlay")
    assert (inlay.cut_from, inlay.mirrored) == (side, False)
    assert f"Cut {said}, not mirrored" in inlay.note


def symmetries(points, middle):
    """The eight ways in which a ply can be laid: four turns, each also flipped."""
    for flip in (False, True):
        for quarter in range(4):
            turned = (points - middle) * ((-1, 1) if flip else (1, 1))
            for _ in range(quarter):
                turned = turned[:, ::-1] * (-1, 1)
            yield (quarter, flip), turned + middle


OUTLINES = [
    pytest.param(box(0, 0, 60, 60), id="square"),
    pytest.param(box(0, 0, 900, 40), id="belt"),
    pytest.param(circle_path((50, 50), 50), id="disc"),
    pytest.param(circle_path((10, 10), 10), id="small disc"),
    pytest.param(blob(40, 40, 40, seed=1), id="free"),
]


@pytest.mark.parametrize("outline", OUTLINES)
def test_no_ply_lies_on_the_pins_turned_or_flipped(outline):
    left, top, right, bottom = bounds(outline)
    middle = np.array([(left + right) / 2, (top + bottom) / 2])
    hole = circle_path(tuple(middle), 3)
    plies = build(drawn(outline, hole), Job())
    pins = cut(plies, "face.svg", "pins").paths
    spots = np.array([centre(p) for p in pins])
    assert len(spots) >= 2
    for (quarter, flip), other in symmetries(spots, middle + plies[0].offset):
        off = np.hypot(*np.moveaxis(other[:, None] - spots[None], 2, 0)).min(axis=1).max()
        assert (off > 1.0) == ((quarter, flip) != (0, False))
    # whatever the motion: three different sides fit on each other in one way only
    sides = sorted(np.hypot(*(spots[i] - spots[j])) for i, j in ((0, 1), (1, 2), (2, 0)))
    assert min(np.diff(sides)) > 2.0  # the diameter of a pin
    blank = shapely.Polygon(area_of(cut(plies, "face.svg", "blank").paths[0]))
    waste = blank.difference(area_of(moved(outline, plies[0].offset)))
    assert all(waste.covers(area_of(pin).buffer(0.9)) for pin in pins)


def test_a_wrapped_piece_has_its_pins_on_the_middle_line(piece):
    plies = build(piece, job_of(use={"curve": 60.0, "pull": "x"}))
    spots = [centre(p) for p in cut(plies, "backing.svg", "pins").paths]
    assert len(spots) == 2
    assert spots[0][0] == pytest.approx(spots[1][0], abs=1e-9)
    # handbook 5: lengths are as radii of the middle surfaces; 2-3 oz backing and inlay, 5-6 oz face
    back, inlay, face = 3 * 0.396875, 3 * 0.396875, 6 * 0.396875
    outer, inner = 30 + back + inlay + face / 2, 30 + back / 2
    wide, _ = size(cut(plies, "face.svg", "blank").paths[0])
    assert wide == pytest.approx(116 + 100 * (outer - inner) / outer, abs=0.02)
    blank = area_of(cut(plies, "face.svg", "blank").paths[0])
    left, _, right, _ = blank.bounds
    flipped = shapely.transform(blank, lambda p: (left + right, 0) + p * (-1, 1))
    assert flipped.symmetric_difference(blank).area > 50  # the lug shows it


def test_openings_of_a_wrapped_piece_stay_as_drawn(piece):
    wrapped = cut(build(piece, job_of(use={"curve": 60.0})), "face.svg", "openings")
    flat = cut(build(piece, Job()), "face.svg", "openings")
    assert [size(p) for p in wrapped.paths] == pytest.approx(
        np.array([size(p) for p in flat.paths]), abs=1e-9
    )


def test_a_margin_without_room_for_pins_is_refused(piece):
    with pytest.raises(FiligreeError, match="no room for pin holes"):
        build(piece, job_of(pins={"margin": 3.0}))


def test_a_margin_smaller_than_the_stitch_inset_is_refused(piece):
    with pytest.raises(FiligreeError, match="smaller than the stitch inset"):
        build(piece, job_of(pins={"margin": 5.0}, stitch={"inset": 6.0}))


@settings(max_examples=25)
@given(
    seed=st.integers(0, 1000),
    way=st.sampled_from(["knife", "laser"]),
    bevel=st.sampled_from([0.0, 0.6]),
)
def test_cuts_are_ordered_and_closed(seed, way, bevel):
    rng = np.random.default_rng(seed)
    holes = [
        blob(15 + 25 * i, 15 + 25 * j, rng.uniform(2, 9), seed=seed + i)
        for i in range(3)
        for j in range(2)
    ]
    plies = build(drawn(box(0, 0, 80, 55), *holes), job_of(cut={"way": way, "bevel": bevel}))
    for ply in plies:
        for made in ply.cuts:
            for path in made.paths:
                assert path.closed
                gap = np.roll(path.cubics[:, 3], 1, axis=0) - path.cubics[:, 0]
                assert np.abs(gap).max() < 1e-9
                left, top, right, bottom = bounds(path)
                assert min(left, top, ply.size[0] - right, ply.size[1] - bottom) > 0
    areas = [abs(signed_area(p)) for p in cut(plies, "face.svg", "openings").paths]
    assert all(after > before / 4 for before, after in pairwise(areas))


def test_two_builds_are_alike(piece):
    one, two = build(piece, job_of(**LASER)), build(piece, job_of(**LASER))
    for a, b in zip(one, two, strict=True):
        for left, right in zip(a.cuts, b.cuts, strict=True):
            for p, q in zip(left.paths, right.paths, strict=True):
                assert p.cubics.tolist() == q.cubics.tolist()


class TestFinished:
    """The face that bridges are measured on (handbook 2.1)."""

    def test_a_knife_without_bevel_takes_nothing(self, piece):
        assert finished(piece, loss_of(Job())) is piece

    def test_char_takes_its_width_on_both_sides_of_a_bridge(self):
        pattern = drawn(box(0, 0, 60, 40), box(10, 10, 10, 20), box(23, 10, 10, 20))
        face = finished(pattern, loss_of(job_of(cut={"way": "laser", "char": 0.3})))
        one, two = (o.shape for o in face.openings)
        assert one.distance(two) == pytest.approx(3 - 0.6, abs=1e-9)
        assert face.outline.bounds == pytest.approx((0.3, 0.3, 59.7, 39.7))

    def test_half_of_each_bevel_counts(self):
        pattern = drawn(box(0, 0, 60, 40), box(10, 10, 10, 20), box(23, 10, 10, 20))
        face = finished(pattern, loss_of(job_of(cut={"bevel": 1.0})))
        one, two = (o.shape for o in face.openings)
        assert one.distance(two) == pytest.approx(3 + 2 * 0.5, abs=1e-6)

    def test_a_closed_opening_is_gone_and_a_parted_one_stands_twice(self):
        dumbbell = shapely.union_all(
            [
                shapely.box(10, 10, 20, 20),
                shapely.box(20, 14.5, 30, 15.5),
                shapely.box(30, 10, 40, 20),
            ]
        )
        plain = drawn(box(0, 0, 60, 40), box(10, 30, 10, 1))
        opening = plain.openings[0]
        pattern = replace(plain, openings=(opening, replace(opening, id=2, shape=dumbbell)))
        face = finished(pattern, loss_of(job_of(cut={"bevel": 0.75})))
        assert [o.id for o in face.openings] == [2, 2]
        assert all(o.shape.contains(shapely.Point(o.at)) for o in face.openings)
