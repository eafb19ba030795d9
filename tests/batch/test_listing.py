"""Listing: which pieces there are, what their folders are called, and what is told of those that cannot be."""

import os

import pytest

from filigree.batch import batch
from filigree.batch.listing import pieces_of
from filigree.batch.variations import Variation
from filigree.errors import FiligreeError
from filigree.job import Job
from tests.batch.art import RING

PLAIN = (Variation(),)


def art(folder, *names):
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(RING.format(x=20))


CLASHES = [  # drawings, labels, both pieces as they are named
    pytest.param(["a/b.svg", "a-b.svg"], [""], ("a/b.svg", "a-b.svg"), id="folder and dash"),
    pytest.param(
        ["vine.svg", "vine-a.svg"],
        ["a-b", "b"],
        ("vine.svg as 'a-b'", "vine-a.svg as 'b'"),
        id="label",
    ),
    pytest.param(["Vine/a.svg", "vine-a.svg"], [""], ("Vine/a.svg", "vine-a.svg"), id="capitals"),
    pytest.param(
        ["u\u0308/a.svg", "\u00fc-a.svg"], [""], ("u\u0308/a.svg", "\u00fc-a.svg"), id="accent"
    ),
    pytest.param(["batch.json.svg"], [""], ("batch.json.svg", "the list"), id="the list itself"),
]


@pytest.mark.parametrize(("names", "labels", "both"), CLASHES)
def test_two_pieces_for_one_folder_are_refused_by_name(tmp_path, names, labels, both):
    art(tmp_path / "art", *names)
    rows = tuple(Variation(label=label) for label in labels)
    with pytest.raises(FiligreeError, match="would both become") as told:
        pieces_of(tmp_path / "art", tmp_path / "cut", Job(), rows, "cuts")
    for piece in both:
        assert piece in str(told.value)


def test_drawings_of_one_stem_get_their_endings(tmp_path):
    art(tmp_path, "vine.svg", "vine.png", "a/vine.svg")
    listed = pieces_of(tmp_path, tmp_path / "cut", Job(), PLAIN, "cuts")
    assert [item.folder for item in listed] == ["a-vine", "vine.png", "vine.svg"]


def test_a_file_in_the_place_of_the_folder_is_told(tmp_path):
    art(tmp_path, "vine.svg")
    with pytest.raises(FiligreeError, match="this is a file; name a folder with"):
        pieces_of(tmp_path / "vine.svg", tmp_path / "cut", Job(), PLAIN, "cuts")
    with pytest.raises(FiligreeError, match="no such folder"):
        pieces_of(tmp_path / "ivy", tmp_path / "cut", Job(), PLAIN, "cuts")


def test_bad_settings_beside_one_drawing_fail_that_one_and_name_its_folder(drawings, tmp_path):
    (drawings / "left" / "job.toml").write_text("[face]\nthicknes = '3 oz'\n")
    result = batch(drawings, tmp_path / "cut", files="cuts", workers=1)
    assert [(r.folder, r.state) for r in result.pieces] == [
        ("left-three", "failed"),
        ("one", "holds"),
        ("two", "holds"),
    ]
    assert result.pieces[0].say.startswith("left/job.toml: [face] unknown key 'thicknes'")


def test_a_drawing_that_cannot_be_read_fails_alone(drawings, tmp_path):
    (drawings / "locked.svg").symlink_to("/proc/self/mem")
    result = batch(drawings, tmp_path / "cut", files="cuts", workers=1)
    states = {row.folder: row.state for row in result.pieces}
    assert states == {"left-three": "holds", "locked": "failed", "one": "holds", "two": "holds"}
    assert "locked.svg: cannot be read (" in next(r.say for r in result.pieces if r.say[0] == "l")


def test_a_name_that_is_no_text_is_written_out(tmp_path):
    art(tmp_path, "vine.svg")
    (tmp_path / "vine.svg").rename(tmp_path / os.fsdecode(b"v\xffne.svg"))
    [item] = pieces_of(tmp_path, tmp_path / "cut", Job(), PLAIN, "cuts")
    assert (item.art, item.folder) == ("v\\xffne.svg", "v\\xffne")


def test_a_row_that_does_not_fit_one_drawing_fails_there_alone(drawings):
    (drawings / "left" / "job.toml").write_text("[limits]\nbridge = 2.0\n")
    row = Variation(label="a", values={"limits.bridge_stop": 3.0}, where="names.csv, line 2")
    listed = pieces_of(drawings, drawings / "cut", Job(), (row,), "cuts")
    assert {item.folder: bool(item.trouble) for item in listed} == {
        "left-three-a": True,
        "one-a": False,
        "two-a": False,
    }
    assert listed[0].trouble.startswith("names.csv, line 2, [limits] bridge_stop: 3 is above")
