"""Places left as drawn: the page shows the face that Save writes, and one that vanishes takes no other along."""

import json
import urllib.request

import msgspec
import pytest

from filigree import pipeline
from filigree.job import Job, with_overrides
from filigree.page import edits, telling
from filigree.page.desk import Desk
from filigree.page.piece import read_piece

THREE = (  # three square openings of 20 mm in a row, with bridges of 2.3 and 2.2 mm
    '<svg xmlns="http://www.w3.org/2000/svg" width="110mm" height="60mm" viewBox="0 0 110 60">'
    '<g fill="none" stroke="#000" stroke-width="0.3"><rect x="1" y="1" width="105" height="58"/>'
    '<rect class="open" x="20" y="20" width="20" height="20"/>'
    '<rect class="open" x="42.3" y="20" width="20" height="20"/>'
    '<rect class="open" x="64.5" y="20" width="20" height="20"/></g></svg>'
)
THIN = ("widen", (41.15, 30.0)), ("widen", (63.4, 30.0))


@pytest.fixture
def three(tmp_path):
    path = tmp_path / "three.svg"
    path.write_text(THREE, encoding="utf-8")
    return path


@pytest.fixture
def desk(three, tmp_path):
    made = Desk(folder=tmp_path)
    made.open(three, Job())
    return made


def areas(pattern):
    return [o.area_mm2 for o in pattern.openings]


def saved(desk, folder):
    desk.save(desk.turn)
    report = json.loads((folder / "three-cut" / "report.json").read_text())
    return [o["area_mm2"] for o in report["openings"]]


def test_the_page_shows_the_face_that_is_saved(desk, tmp_path):
    desk.mend(desk.turn, list(THIN), accept=True)
    assert [m.as_drawn for m in desk.look.job.mend] == [True, True]
    assert areas(desk.look.pattern) == pytest.approx([400] * 3)
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"face.thickness": "12.8 mm"}))
    assert areas(desk.look.pattern) == pytest.approx(saved(desk, tmp_path), abs=0.01)
    assert min(areas(desk.look.pattern)) < 395  # beside the edge it is mended


def test_a_job_with_places_left_as_drawn_is_the_same_on_the_page_and_made(three):
    left = {"how": "widen", "at": [41.15, 30.0], "as_drawn": True}
    job = with_overrides(Job(), {"mend": [left]})
    made = pipeline.plan(three, job).worked
    _, shown = read_piece(three, job, progress=str)
    assert [c.at for c in made.mended.changes] == [pytest.approx(THIN[1][1])]
    assert areas(shown.pattern) == areas(made.pattern)


def test_a_list_of_some_places_mends_no_more_on_the_page_than_made(three, tmp_path):
    """What is listed is mended, on the page and in `make`, until what there is to mend changes."""
    whole = pipeline.plan(three, Job(), mending=True).worked.job.mend
    job = with_overrides(Job(), {})
    job = msgspec.structs.replace(job, mend=tuple(m for m in whole if m.at[0] < 50)[:1])
    made = pipeline.plan(three, job).worked
    assert len(made.mended.changes) == 1
    desk = Desk(folder=tmp_path)
    desk.open(three, job)
    assert desk.look.listed
    assert telling.mending(desk.look)["listed"].startswith("Mended where the job lists it")
    assert areas(desk.look.pattern) == areas(made.pattern)
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"inlay.colour": "blue"}))
    assert desk.look.listed
    assert (
        areas(desk.look.pattern)
        == areas(made.pattern)
        == pytest.approx(saved(desk, tmp_path), abs=0.01)
    )
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"face.thickness": "6-7 oz"}))
    assert not desk.look.listed
    assert telling.mending(desk.look)["listed"] == ""
    assert len(desk.look.mended.changes) > 1
    assert areas(desk.look.pattern) == pytest.approx(saved(desk, tmp_path), abs=0.01)


def test_a_list_that_no_longer_fits_is_mended_anew(three):
    entry = {"how": "widen", "at": [5.0, 5.0], "width": 3.6}
    _, shown = read_piece(three, with_overrides(Job(), {"mend": [entry]}), progress=str)
    assert not shown.listed
    assert len(shown.mended.changes) == 2


def test_a_place_that_vanishes_takes_no_other_along(desk):
    away = ("fill", (5.0, 5.0))  # no opening is there
    look = desk.mend(desk.turn, [THIN[0], away], accept=True)
    assert [m.at for m in look.job.mend if m.as_drawn] == [THIN[0][1]]
    assert [(m.how, m.at) for m in look.mended.gone] == [away]
    assert [c.at for c in look.mended.changes] == [pytest.approx(THIN[1][1])]


def test_the_page_names_the_place_that_vanished(served, three):
    on = served(three)
    left = [{"how": "fill", "at": [5, 5]}, {"how": THIN[0][0], "at": THIN[0][1]}]
    told = asked(on, "mend", turn=on.desk.turn, left=left, accept=True)
    assert told["said"] == "No longer there to be left as drawn: fill at 5.0, 5.0 mm."


def asked(on, name, **what):
    origin = {"Origin": f"http://{on.host}", "Content-Type": "application/json"}
    request = urllib.request.Request(on.address + name, json.dumps(what).encode(), origin)
    with urllib.request.urlopen(request) as answer:
        return json.load(answer)
