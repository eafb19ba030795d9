"""What is kept of the work: each drawing has its own, and nothing in the way locks it out."""

import pytest
from PIL import Image, ImageDraw

from filigree.job import Job
from filigree.page import edits
from filigree.page.desk import Desk
from filigree.page.keeping import NAMED


def thicker(desk):
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"face.thickness": "4-5 oz"}))


@pytest.fixture
def scan(tmp_path):
    """A scan of 100 x 60 mm beside the drawing, of the same stem."""
    image = Image.new("L", (1000, 600), 255)
    draw = ImageDraw.Draw(image)
    draw.rectangle((10, 10, 989, 589), outline=0, width=4)
    draw.rectangle((200, 200, 400, 400), outline=0, width=4)
    path = tmp_path / "eight.png"
    image.save(path, dpi=(254, 254))
    return path


def test_a_drawing_of_the_same_stem_has_work_of_its_own(art, scan, tmp_path):
    desk = Desk(folder=tmp_path)
    desk.choose(desk.turn, art.name, "")
    thicker(desk)
    desk.choose(desk.turn, scan.name, "")
    assert desk.look.job.face.thickness == Job().face.thickness
    assert (desk.keeper.folder.name, desk.out.name) == ("eight-2-page", "eight-2-cut")
    again = Desk(folder=tmp_path)
    assert again.open(art, Job())
    assert again.look.job.face.thickness == "4-5 oz"
    assert again.out == tmp_path / "eight-cut"


def test_the_shelf_says_which_of_the_two_was_begun(art, scan, tmp_path):
    desk = Desk(folder=tmp_path)
    desk.choose(desk.turn, scan.name, "")
    assert {one["name"]: one["begun"] for one in desk.shelf()} == {
        art.name: False,
        scan.name: True,
    }


def test_a_dropped_drawing_and_another_that_lies_there_are_two(art, tmp_path):
    desk = Desk(folder=tmp_path)
    desk.drop(desk.turn, art.name, art.read_bytes().replace(b'r="9"', b'r="8"'))
    thicker(desk)
    assert not desk.open(art, Job())
    assert desk.keeper.folder.name == "eight-2-page"


def test_a_dropped_copy_goes_on_and_stays(art, tmp_path):
    desk = Desk(folder=tmp_path)
    desk.drop(desk.turn, art.name, art.read_bytes())
    thicker(desk)
    assert Desk(folder=tmp_path).open(art, Job())
    assert (tmp_path / "eight-page" / art.name).read_bytes() == art.read_bytes()


def test_work_kept_without_a_name_is_taken_up_and_named(art, tmp_path):
    desk = Desk(folder=tmp_path)
    desk.open(art, Job())
    thicker(desk)
    folder = desk.keeper.folder
    (folder / NAMED).unlink()
    marker = folder / ".filigree"
    marker.write_text(marker.read_text().replace(f"{NAMED}\n", ""))
    assert Desk(folder=tmp_path).open(art, Job())
    assert (folder / NAMED).read_text() == "eight.svg\n"


def test_an_empty_folder_of_that_name_is_taken(art, tmp_path):
    (tmp_path / "eight-page").mkdir()
    desk = Desk(folder=tmp_path)
    desk.open(art, Job())
    thicker(desk)
    assert desk.keeper.folder.name == "eight-page"
    assert Desk(folder=tmp_path).open(art, Job())


@pytest.mark.parametrize("full", [True, False])
def test_what_is_somebody_elses_is_left_alone(art, tmp_path, full):
    there = tmp_path / "eight-page"
    if full:
        there.mkdir()
        (there / "notes.txt").write_text("mine")
    else:
        there.write_text("mine")
    desk = Desk(folder=tmp_path)
    assert [one["begun"] for one in desk.shelf()] == [False]
    desk.open(art, Job())
    thicker(desk)
    assert desk.keeper.folder.name == "eight-2-page"
