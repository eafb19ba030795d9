"""Saved: what is up to date by content, and lists that are not ours."""

import json

import pytest

from filigree.batch import STATES, batch, table
from filigree.errors import FiligreeError
from filigree.output.summary import verdict
from tests.batch.art import RING, files_in


def made(drawings, out):
    """Folders made by a run."""
    seen = []
    batch(drawings, out, files="cuts", workers=1, told=lambda *told: seen.append(told[2].folder))
    return seen


def gone(folder):
    (folder / "face.svg").unlink()


def changed(folder):
    data = (folder / "face.svg").read_bytes()
    (folder / "face.svg").write_bytes(data.replace(b"6", b"7"))


def unlisted(folder):
    marker = folder / ".filigree"
    marker.write_text(marker.read_text().replace("face.svg\n", ""))


@pytest.mark.parametrize("harm", [gone, changed, unlisted])
def test_a_piece_whose_files_are_not_those_of_its_run_is_made_again(drawings, tmp_path, harm):
    out = tmp_path / "cut"
    made(drawings, out)
    before = files_in(out)
    harm(out / "one")
    assert made(drawings, out) == ["one"]
    assert {name: data for name, data in files_in(out).items() if name in before} == before
    assert made(drawings, out) == []


def test_a_file_of_the_maker_beside_them_makes_nothing_again(drawings, tmp_path):
    made(drawings, tmp_path / "cut")
    (tmp_path / "cut" / "one" / "notes.txt").write_text("two skins")
    assert made(drawings, tmp_path / "cut") == []


@pytest.mark.parametrize("text", ['{"cups": 12}', "", "[1]", "flour, sugar"])
def test_a_list_of_somebody_else_is_never_replaced(drawings, tmp_path, text):
    out = tmp_path / "cut"
    out.mkdir()
    (out / "batch.json").write_text(text)
    with pytest.raises(FiligreeError, match="this file was not written by filigree"):
        batch(drawings, out, files="cuts", workers=1)
    assert (out / "batch.json").read_text() == text
    assert [p.name for p in out.iterdir()] == ["batch.json"]


def test_a_list_of_another_version_is_replaced(drawings, tmp_path):
    out = tmp_path / "cut"
    out.mkdir()
    (out / "batch.json").write_text('{"format": "filigree-batch", "version": 7, "rows": []}')
    assert len(made(drawings, out)) == 3
    assert json.loads((out / "batch.json").read_text())["version"] == 1


def test_a_file_in_the_place_of_the_output_is_told(drawings, tmp_path):
    (tmp_path / "cut").write_text("mine")
    with pytest.raises(FiligreeError, match="there is a file of that name in the way"):
        batch(drawings, tmp_path / "cut", files="cuts", workers=1)


def test_the_folder_to_write_may_not_hold_the_drawings(drawings):
    with pytest.raises(FiligreeError, match="its drawings lie in the folder to write"):
        batch(drawings, drawings, files="cuts", workers=1)


def test_the_table_says_it_as_the_verdict_does(drawings, tmp_path):
    (drawings / "broken.svg").write_text("no drawing")
    (drawings / "two.svg").write_text(RING.format(x=67.5))
    result = batch(drawings, tmp_path / "cut", files="cuts", workers=1)
    lines = table(result).splitlines()
    assert lines[0].split() == ["piece", "openings", "stops", "cautions"]
    assert lines[1].startswith("left-three  meets the limits ")
    assert lines[3].startswith("two         does not meet the limits ")
    assert lines[4].startswith("broken      failed: ")
    assert verdict(()).lower().startswith(STATES["holds"])
    stop = next(row for row in result.pieces if row.state == "stop")
    assert stop.say.lower().startswith(STATES["stop"])
    assert "hold" not in table(result)
