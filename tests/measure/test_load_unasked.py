"""What works hardest, told unasked where that is quick: the size of the piece decides, never a clock."""

import json

import pytest
import shapely

from filigree import pipeline
from filigree.job import Job, Use, with_overrides
from filigree.measure import measure
from filigree.measure.stiffness import CELLS, QUICK, load_of, quick_load
from tests.make.shapes import pattern, rectangle, square_grid

ART = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">'
    '<g fill="none" stroke="#000" stroke-width=".3"><rect x="5" y="5" width="110" height="70"/>'
    '<rect class="open" x="25" y="20" width="30" height="40"/>'
    '<rect class="open" x="61" y="20" width="30" height="40"/></g></svg>'
)


def face(width, height, side, pitch):
    holes = [rectangle(x + 12, y + 12, side, side) for x, y in square_grid(6, 4, pitch)]
    return pattern(*holes, outline=shapely.box(0, 0, width, height))


def pulled(piece, wanted=3.6):
    return quick_load(piece, measure(piece, wanted=wanted), pull="x")


def test_a_small_piece_is_pulled_on_a_coarse_grid_and_a_narrow_one_on_a_finer():
    wide, narrow = pulled(face(180, 120, 10, 20)), pulled(face(180, 120, 10, 10.9))
    assert wide.share.size == pytest.approx(QUICK, rel=0.02)
    assert narrow.share.size == pytest.approx(CELLS[1], rel=0.02)
    assert wide.step <= 3.6 / 2
    assert narrow.step < wide.step


def test_a_piece_too_large_for_a_grid_that_sees_a_bridge_is_not_pulled():
    side = 1.8 * CELLS[1] ** 0.5  # mm: a square of as many cells, each half a bridge of 3.6 mm
    assert pulled(face(side - 5, side - 5, 10, 20)) is not None
    assert pulled(face(side + 5, side + 5, 10, 20)) is None
    assert (
        pulled(pattern(outline=shapely.box(0, 0, 180, 120))) is None
    )  # nothing cut, nothing to tell


def test_the_coarse_grid_is_near_the_fine_one():
    piece = face(180, 120, 10, 16)
    measures = measure(piece, wanted=3.6)
    fine = load_of(piece, measures, use=Use(pull="x", work="always"), unasked=False)
    assert quick_load(piece, measures, pull="x").stiffness == pytest.approx(
        fine.stiffness, abs=0.03
    )


@pytest.mark.parametrize(
    ("work", "unasked", "told"),
    [
        ("always", False, True),
        ("always", True, True),
        ("auto", False, False),
        ("auto", True, True),
        ("never", True, False),
    ],
)
def test_the_job_says_whether_it_is_told(work, unasked, told):
    piece = face(150, 100, 10, 20)
    found = load_of(piece, measure(piece, wanted=3.6), use=Use(work=work), unasked=unasked)
    assert (found is not None) is told


def test_every_paper_tells_it_and_the_cuts_alone_do_not(tmp_path):
    art = tmp_path / "two.svg"
    art.write_text(ART)
    pipeline.make(art, tmp_path / "all")
    pipeline.make(art, tmp_path / "again")
    pipeline.make(art, tmp_path / "cuts", files="cuts")
    never = with_overrides(Job(), {"use.work": "never"})
    pipeline.make(art, tmp_path / "never", never)
    said = "it works hardest, in this order, at ("
    for name in ("proof.html", "sheet.html"):
        assert said in (tmp_path / "all" / name).read_text()
        assert said not in (tmp_path / "never" / name).read_text()
    loads = {
        name: json.loads((tmp_path / name / "report.json").read_text())["load"]
        for name in ("all", "again", "cuts", "never")
    }
    assert loads["all"]["hardest"]
    way = loads["all"]["pull"]
    assert way == "left and right"
    assert f"Pulled {way}, the face is" in (tmp_path / "all" / "sheet.html").read_text()
    assert f"Pulled {way}, as the arrows show" in (tmp_path / "all" / "load.svg").read_text()
    assert loads["again"] == loads["all"]
    assert loads["cuts"] is loads["never"] is None
    assert (tmp_path / "all" / "load.svg").exists()
    assert not (tmp_path / "never" / "load.svg").exists()
