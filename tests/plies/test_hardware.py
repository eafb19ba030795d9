"""Holes for hardware go through every ply, at their place and in their size."""

import numpy as np
import pytest

from filigree.geometry.path import bounds, circle_path
from filigree.pipeline import files_of, plan, with_bench
from filigree.plies.build import build
from tests.make.curved import box, drawn
from tests.plies.test_build import job_of
from tests.plies.test_papers import TALL, bench_of, paper

HOLES = [{"at": [90, 10], "diameter": 4}, {"at": [10, 50], "diameter": 3}]


def circles(ply):
    """Middle and diameter of each hole for hardware, on the drawing's page, in order."""
    (cut,) = (c for c in ply.cuts if c.name == "hardware-holes")
    found = []
    for left, top, right, bottom in map(bounds, cut.paths):
        x, y = (left + right) / 2, (top + bottom) / 2
        x = ply.size[0] - x if ply.mirrored else x
        found.append((x - ply.offset[0], y - ply.offset[1], right - left))
    return sorted(found)


def piece(*openings, inlays=None):
    return drawn(box(0, 0, 100, 60), *(openings or [box(30, 20, 10, 10)]), inlays=inlays)


@pytest.mark.parametrize("cut", [{}, {"trim": "before"}, {"way": "laser", "kerf": 0.2}])
def test_every_ply_has_the_holes(cut):
    job = job_of(use={"holes": HOLES}, stiffener={}, cut=cut)
    kerf = cut.get("kerf", 0.0)  # a hole is cut smaller by the kerf (row 47)
    plies = [ply for ply in build(piece(), job) if ply.ply != "trim"]
    assert len(plies) == 4
    for ply in plies:
        wanted = [(10, 50, 3 - kerf), (90, 10, 4 - kerf)]
        assert np.array(circles(ply)) == pytest.approx(np.array(wanted), abs=1e-6)


def test_a_hole_cuts_only_the_leather_that_lies_there():
    """One in an opening is none of the face's, one off the piece of no ply; a patch has those that meet it."""
    pattern = piece(circle_path((20, 30), 8), circle_path((70, 30), 8), inlays=["red", "blue"])
    holes = [
        {"at": [20, 30], "diameter": 3},
        {"at": [50, 8], "diameter": 4},
        {"at": [150, 30], "diameter": 4},
    ]
    face, _, red, blue, backing = build(pattern, job_of(use={"holes": holes}))
    assert [x for x, _, _ in circles(face)] == pytest.approx([50])
    assert [x for x, _, _ in circles(red)] == pytest.approx([20])
    assert "hardware-holes" not in [cut.name for cut in blue.cuts]
    assert [x for x, _, _ in circles(backing)] == pytest.approx([20, 50])


def test_a_face_cut_before_tooling_has_them_as_much_nearer():
    """Divided by 1.1 along the piece, from the middle at 50 mm: 50 + 40 / 1.1 and 50 - 40 / 1.1."""
    job = job_of(use={"holes": HOLES}, cut={"stretch_along": 1.1})
    face = circles(build(piece(), job)[0])
    assert [x for x, _, _ in face] == pytest.approx([50 - 40 / 1.1, 50 + 40 / 1.1])
    assert [size for _, _, size in face] == pytest.approx([3, 4])


def test_the_tooling_pattern_shows_them(tmp_path):
    job = {"use": {"holes": [{"at": [100, 60], "diameter": 5}]}}
    transfer = paper(bench_of(tmp_path, 140, 90, **job), "transfer")
    assert circles(transfer) == [pytest.approx((100, 60, 5))]


def test_sheet_and_page_tell_of_them(tmp_path):
    """Three holes, one of them off the piece; trade number 3 is 3.18 mm (handbook 2.5)."""
    art = tmp_path / "plate.svg"
    art.write_text(TALL.format(w=140, h=90, a=130, b=80))
    holes = [
        {"at": [100, 60], "diameter": 3.18},
        {"at": [26, 26], "diameter": 3.18},  # in the opening
        {"at": [190, 60], "diameter": 5},
    ]
    planned = with_bench(plan(art, job_of(use={"holes": holes})))
    rows = [(row.diameter_mm, row.trade, row.count) for row in planned.report.bench.hardware]
    assert rows == [(3.18, "3", 2)]
    assert 11 in planned.report.bench.cautions  # punches: clamp the work (handbook 10.2)
    files = {name: data.decode() for name, data in files_of(planned).items() if name[-4:] == "html"}
    assert "3.2 mm (No. 3, measure it): 2 x for hardware, through every ply." in files["sheet.html"]
    layer = files["proof.html"].split('<g id="layer-hardware">')[1].split("</g>")[0]
    assert layer.count("M") == 2
    assert "Holes for hardware" in files["proof.html"]
