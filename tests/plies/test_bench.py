"""Bench figures of a plate, against sums worked by hand."""

import pytest

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
