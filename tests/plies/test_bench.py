"""Bench figures of a plate, against sums worked by hand."""

import math

import pytest

from filigree.geometry.path import circle_path
from filigree.plies.build import build
from filigree.plies.glue import glue_map, joints
from tests.make.curved import box, drawn
from tests.plies.test_build import job_of
from tests.plies.test_papers import bench_of

LASER = {"way": "laser"}
TANNED = [  # tannage as written of face and inlay, as reported, sentences of handbook 10.2 that must stand
    pytest.param("chrome", "veg", ("chrome", "veg"), {2}, id="chrome face: chromium"),
    pytest.param("veg", "veg", ("veg", "veg"), set(), id="all veg: no more than a laser asks"),
    pytest.param("veg", "other", ("veg", "unknown"), {3, 4}, id="not known: as PVC"),
    pytest.param("", "", ("veg", "unknown"), {3, 4}, id="as the table says"),
]


@pytest.mark.parametrize(("face", "inlay", "told", "more"), TANNED)
def test_the_tannage_that_a_ply_names_chooses_the_cautions(tmp_path, face, inlay, told, more):
    worked = bench_of(
        tmp_path,
        140,
        90,
        cut=LASER,
        face={"tannage": face},
        inlay={"leather": "pigskin lining", "tannage": inlay},
    )
    bench = worked.bench
    assert tuple(sheet.kind.tannage for sheet in bench.sheets[:2]) == told
    assert {2, 3, 4} & set(bench.cautions) == more


SEWN = [  # pitch and thread as set, thread and needle of handbook 4
    pytest.param(3.0, None, 0.6, "4", id="2.7 to 3.4"),
    pytest.param(3.6, None, 0.8, "2", id="3.4 to 4"),
    pytest.param(4.0, None, 0.8, "2", id="4, whatever whole stitches make of it"),
    pytest.param(5.0, None, 1.0, "0", id="4 to 5"),
    pytest.param(6.0, None, 1.2, "000", id="5 to 6"),
    pytest.param(3.0, 1.2, 1.2, "000", id="a thread of one's own has its own needle"),
    pytest.param(6.0, 0.5, 0.5, "4", id="and a thin one too"),
]


@pytest.mark.parametrize(("pitch", "own", "thread", "needle"), SEWN)
def test_thread_by_the_pitch_that_is_set_and_needle_by_the_thread(
    tmp_path, pitch, own, thread, needle
):
    stitch = {"pitch": pitch, "inset": 4.0} | ({"thread": own} if own else {})
    sewing = bench_of(tmp_path, 140, 90, stitch=stitch).bench.sewing
    assert sewing.pitch != pitch  # whole stitches fit with a pitch of their own
    assert (sewing.thread_size, sewing.needle) == (thread, needle)


def test_every_joint_of_the_stack_is_cemented(tmp_path):
    """A plate of 130 x 80 mm with an opening of 12 x 12 and no keep-out, worked by hand (handbook 3.1)."""
    worked = bench_of(tmp_path, 140, 90, stiffener={}, glue={"keep_out": 0, "coverage": 2.0})
    bonds = worked.bench.cement.bonds
    plate = 130 * 80
    assert [bond.plies for bond in bonds] == [
        ("face", "inlay"),
        ("inlay", "stiffener"),
        ("stiffener", "backing"),
    ]
    assert [bond.area_mm2 for bond in bonds] == pytest.approx([plate - 144, plate, plate], abs=0.1)
    for bond in bonds:
        assert bond.spread_mm2 == 2 * bond.area_mm2
        assert bond.volume_ml == pytest.approx(bond.area_mm2 / 2000)  # 2 m2 a litre
        assert bond.roll_minutes == pytest.approx(bond.area_mm2 / 304.8**2 / 2)  # 2 ft2 a minute


def test_the_face_is_bonded_to_patches_only_where_they_lie():
    """Two round openings of radius 5 mm, far apart: rings of leather 4 mm wide lie under the face."""
    piece = drawn(
        box(0, 0, 100, 60),
        circle_path((20, 30), 5),
        circle_path((70, 30), 5),
        inlays=["red", "blue"],
    )
    job = job_of(glue={"keep_out": 0})
    face, backing = joints(piece, glue_map(piece, job), build(piece, job))
    assert face.area_mm2 == pytest.approx(2 * math.pi * (9**2 - 5**2), rel=1e-3)
    assert (backing.plies, backing.area_mm2) == (("inlay", "backing"), pytest.approx(6000))


def test_the_inner_ply_runs_shortest_round_the_curve(tmp_path):
    """Backing of 3, inlay of 1 and face of 2 mm round 70 mm, whole turns at their middles (handbook 5)."""
    worked = bench_of(
        tmp_path,
        140,
        90,
        face={"thickness": "2 mm"},
        inlay={"thickness": "1 mm"},
        backing={"thickness": "3 mm"},
        use={"curve": 70.0},
    )
    wanted = [math.pi * (70 + across) for across in (3, 3 * 2 + 1, 3 * 2 + 1 * 2 + 2)]
    assert worked.bench.lengths == pytest.approx(wanted)


def test_cost_pays_for_the_waste_of_a_hide(tmp_path):
    """At a yield of 0.6 (handbook 11.1) a priced ply costs its blank's area over 0.6."""
    bench = bench_of(tmp_path, 140, 90, face={"price": 12.0}, paper={"yield_share": 0.6}).bench
    blank = bench.sheets[0].gross_mm2 / 304.8**2
    assert bench.sheets[0].cost == pytest.approx(12.0 * blank)
    assert bench.cost == pytest.approx(12.0 * blank / 0.6)
    assert bench_of(tmp_path, 140, 90).bench.cost is None
