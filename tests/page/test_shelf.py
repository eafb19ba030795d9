"""The page without a drawing: one is dropped, chosen from the folder, or gone on with."""

import pytest

from filigree.guides import guide
from filigree.page.keeping import drawings_in
from tests.page.test_browser import GALLERY, opened, said


def test_an_empty_page_takes_a_drawing_and_keeps_the_work(served, tab, art, tmp_path):
    there = tmp_path / "elsewhere"
    there.mkdir()
    art = art.rename(there / "eight.svg")
    on = served()
    page = tab(on.address)
    assert page.locator("#other-title").inner_text() == "Put a drawing on the bench"
    assert not page.locator(".bench").is_visible()
    page.set_input_files("#file", str(art))
    page.wait_for_selector("#name:has-text('eight.svg')")
    fields = opened(on)
    page.focus(f"[data-field='{fields[0]}']")
    page.keyboard.press("Space")
    page.wait_for_selector(f"[data-field='{fields[0]}'][aria-checked='false']")
    again = served()  # the server is gone, a new one is started in the same folder
    page = tab(again.address)
    page.click("button[aria-label='Go on with eight.svg']")
    page.wait_for_selector(f"[data-field='{fields[0]}'][aria-checked='false']")
    third = served()
    page = tab(third.address)
    page.set_input_files("#file", str(art))
    assert "Going on with the work kept" in said(page)
    assert opened(third) == fields[1:]


def test_a_broken_drawing_leaves_the_page_empty(served, tab):
    on = served()
    page = tab(on.address)
    page.set_input_files(
        "#file", {"name": "torn.svg", "mimeType": "image/svg+xml", "buffer": b"<svg"}
    )
    assert said(page).startswith("torn.svg: ")
    assert page.locator("#other").is_visible()
    assert not on.desk.history


def test_a_drawing_without_a_line_is_refused(served, tab):
    on = served()
    page = tab(on.address)
    blank = b"<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm' viewBox='0 0 9 9'/>"
    page.set_input_files(
        "#file", {"name": "blank.svg", "mimeType": "image/svg+xml", "buffer": blank}
    )
    assert "blank.svg" in said(page)
    assert not on.desk.history


def test_a_photo_with_marks_comes_in_once_its_size_is_written(served, tab):
    on = served()
    page = tab(on.address)
    page.set_input_files("#file", str(GALLERY / "waves-photo" / "waves-photo.jpg"))
    assert "write its width" in said(page)
    page.fill("#scan-marks", "178 x 243")
    page.keyboard.press("Enter")
    page.wait_for_selector("#drawing [data-field]", timeout=60000)
    assert on.desk.look.job.scan.marks == (178.0, 243.0)
    assert page.locator("#size").inner_text().endswith("by its corner marks, 178 x 243 mm apart")


def test_drawings_of_the_folder_are_listed_and_opened(served, tab, art, tmp_path):
    quoted = 'vine "of" O\'Hara & <b>.svg'
    (tmp_path / quoted).write_bytes(art.read_bytes())
    (tmp_path / "notes.txt").write_text("no drawing")
    on = served()
    page = tab(on.address)
    rows = page.locator("#shelf li").all_inner_texts()
    assert [row.split("\n")[0] for row in rows] == ["eight.svg", quoted]
    page.locator("#shelf button").nth(1).click()
    page.wait_for_selector("#drawing [data-field]")
    assert page.locator("#name").inner_text() == quoted
    page.click("#save")
    page.wait_for_selector("#said:has-text('Saved')")
    assert (tmp_path / f"{quoted[:-4]}-cut" / "face.svg").is_file()


def test_another_drawing_of_the_same_name_gets_a_folder_of_its_own(served, art, tmp_path):
    desk = served().desk
    data = art.read_bytes()
    desk.drop(desk.turn, "wren.svg", data)
    assert not desk.drop(desk.turn, "wren.svg", data.replace(b'r="9"', b'r="8"'))
    assert desk.keeper.folder == tmp_path / "wren-2-page"
    assert desk.drop(desk.turn, "wren.svg", data)
    assert (desk.out, desk.keeper.folder) == (tmp_path / "wren-cut", tmp_path / "wren-page")


@pytest.mark.parametrize("name", ["../secret.svg", "/etc/passwd", "", "link.svg", "eight.svg/.."])
def test_nothing_outside_the_folder_can_be_chosen(served, art, tmp_path, name):
    outside = tmp_path.parent / "secret.svg"
    outside.write_bytes(art.read_bytes())
    (tmp_path / "link.svg").symlink_to(outside)
    desk = served().desk
    assert [one["name"] for one in drawings_in(tmp_path)] == ["eight.svg"]
    with pytest.raises(Exception, match="not there any more"):
        desk.choose(desk.turn, name, "")
    with pytest.raises(Exception, match="not there any more"):
        desk.choose(desk.turn, "secret.svg", "..")
    assert not desk.history


def test_guides_are_shown_on_the_page(served, tab, art):
    page = tab(served(art).address)
    page.click("[data-guide=drawing]")
    page.wait_for_selector("#guide[open]")
    assert "5-6 oz" in page.locator("#guide td").all_inner_texts()
    text = guide("drawing")
    assert page.locator("#guide-title").inner_text() == text.splitlines()[0].removeprefix("# ")
    heads = [line.removeprefix("## ") for line in text.splitlines() if line.startswith("## ")]
    assert page.locator("#guide h3").all_inner_texts() == heads
    page.keyboard.press("Escape")
    assert not page.locator("#guide").is_visible()
