"""Places that a job names and that lie off the piece are told; expected by hand from the drawing."""

import pytest

from filigree.job.files import job_from
from filigree.pipeline import make, plan
from tests.robust.running import drawing

PLACES = {
    "zone": ("[[use.zones]]\nname = 'buckle'\nbox = [{0}, {0}, {1}, {1}]\nbridge = 4", "'buckle'"),
    "hole": ("[[use.holes]]\nat = [{0}, {0}]\ndiameter = 3", "Hole at"),
    "bend": ("[[use.bends]]\nstart = [{0}, {0}]\nend = [{1}, {1}]", "Bend at"),
}


@pytest.fixture
def art(tmp_path):
    path = tmp_path / "art.svg"
    path.write_text(drawing())  # the piece lies from (1, 1) to (49, 39)
    return path


def said(art, text):
    job = job_from(f"[choose]\nopen = [[25, 20]]\n{text}", where="job.toml")
    return [f for f in plan(art, job).report.findings if f.check == "placed"]


@pytest.mark.parametrize(("text", "name"), PLACES.values(), ids=PLACES.keys())
def test_a_place_off_the_piece_is_told(art, text, name):
    (finding,) = said(art, text.format(60, 70))
    assert finding.severity == "caution"
    assert name in finding.say
    assert finding.at == (50, 40)  # brought to the edge of the page


@pytest.mark.parametrize("text", [text for text, _ in PLACES.values()], ids=PLACES.keys())
def test_a_place_partly_on_the_piece_is_not(art, text):
    assert not said(art, text.format(30, 70))


def test_what_lies_off_the_piece_is_shown_on_every_paper(art, tmp_path):
    job = job_from("[[use.holes]]\nat = [-500, 900]\ndiameter = 3", where="job.toml")
    assert make(art, tmp_path / "cut", job).holds
    assert "lies off the piece" in (tmp_path / "cut" / "proof.html").read_text(encoding="utf-8")
