"""What is drawn and brushed on the page: gaps closed, bridges, colours over several openings. By pointer and by keyboard."""

import pytest
from playwright.sync_api import expect

from filigree import pipeline
from filigree.job import load_job
from tests.page.test_browser import checked, contents, hand, middle, on_screen, opened, said

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="70mm" viewBox="0 0 120 70">'
OPEN = (  # a border with a break of 6 mm and a ring with one of 5 mm
    f'{HEAD}<g fill="none" stroke="#000" stroke-width="0.4"><path d="M57,3H3V67H117V3H63"/>'
    '<path d="M35,20H70V50H30V20"/></g></svg>'
)


@pytest.fixture
def open_art(tmp_path):
    art = tmp_path / "open.svg"
    art.write_text(OPEN, encoding="utf-8")
    return art


def drag(page, start, end):
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    page.mouse.move(*end)
    page.mouse.up()


def made_again(on, tmp_path):
    """Make the piece with the saved job, and give the files of both."""
    pipeline.make(on.desk.piece.art, tmp_path / "by-hand", load_job(on.desk.out / "job.toml"))
    return contents(on.desk.out), contents(tmp_path / "by-hand")


def test_gaps_are_closed_with_strokes_and_undone(served, tab, open_art, tmp_path):
    on = served(open_art)
    page = tab(on.address)
    assert not on.desk.piece.regions.regions
    hand(page, "close")
    drag(page, on_screen(page, 57.3, 3.2), on_screen(page, 62.8, 2.9))  # near both ends
    page.wait_for_selector("#said:has-text('Closed: 1 new field')")
    page.mouse.click(*on_screen(page, 35.2, 20.1))
    page.mouse.click(*on_screen(page, 30.1, 19.8))
    page.wait_for_selector("[data-field='2']")
    areas = sorted(round(r.area_mm2) for r in on.desk.piece.regions.regions)
    assert areas == [1200, 114 * 64 - 1200]
    first = on.desk.look.job.close[0]
    assert (first.start, first.end) == ((57.0, 3.0), (63.0, 3.0))
    page.click("#undo")
    page.wait_for_selector("[data-field='2']", state="detached")
    page.click("#redo")
    page.wait_for_selector("[data-field='2']")
    page.click("#save")
    page.wait_for_selector("#said:has-text('Saved')")
    saved, again = made_again(on, tmp_path)
    assert saved == again
    assert b"[[close]]" in saved["job.toml"]


def test_gaps_that_were_found_are_closed_by_keyboard(served, tab, open_art):
    on = served(open_art)
    page = tab(on.address)
    page.focus("#hand [value=toggle]")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.wait_for_selector("#gaps button")
    words = page.locator("#gaps button").all_inner_texts()
    assert [text.partition(" at ")[0] for text in words] == ["5 mm", "6 mm"]
    page.focus("#gaps button >> nth=1")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-field='1']")
    page.fill("#close [data-end='0']", "30, 20")
    page.fill("#close [data-end='1']", "35 20")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-field='2']")
    page.focus("#lines button >> nth=1")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-field='2']", state="detached")
    assert len(on.desk.look.job.close) == 1


def test_a_line_that_closes_nothing_is_told(served, tab, open_art):
    page = tab(served(open_art).address)
    hand(page, "close")
    page.fill("#close [data-end='0']", "80, 20")
    page.fill("#close [data-end='1']", "90, 20")
    page.keyboard.press("Enter")
    assert "closes no field yet" in said(page)
    page.fill("#close [data-end='0']", "here")
    page.keyboard.press("Enter")
    page.wait_for_selector("#said:has-text('Two places are needed')")


def test_a_bridge_is_drawn_and_made_again(served, tab, art, tmp_path):
    on = served(art)
    page = tab(on.address)
    first = opened(on)[0]
    hand(page, "bridge")
    page.fill("#wide", "5")
    drag(page, on_screen(page, 9, 20), on_screen(page, 31, 20))
    page.wait_for_selector("#bridges button")
    assert len(on.desk.look.drawn.openings) == 9
    assert on.desk.look.job.bridge[0].width == 5.0
    page.click("#save")
    page.wait_for_selector("#said:has-text('Saved')")
    saved, again = made_again(on, tmp_path)
    assert saved == again
    assert b"[[bridge]]" in saved["job.toml"]
    hand(page, "toggle")
    page.mouse.click(*on_screen(page, 20, 14))  # the field is kept: its bridge goes along
    checked(page, first, "false")
    assert on.desk.look.job.bridge == ()
    page.click("#undo")
    checked(page, first, "true")
    assert len(on.desk.look.drawn.openings) == 9


def test_a_bridge_is_written_by_keyboard(served, tab, art):
    on = served(art)
    page = tab(on.address)
    hand(page, "bridge")
    page.fill("#bridge [data-end='0']", "20, 8")
    page.fill("#bridge [data-end='1']", "20, 32")
    page.keyboard.press("Enter")
    page.wait_for_selector("#bridges button")
    assert on.desk.look.job.bridge[0].width is None
    page.fill("#bridge [data-end='0']", "5, 5")
    page.fill("#bridge [data-end='1']", "6, 5")
    page.keyboard.press("Enter")
    assert "crosses no opening" in said(page)
    assert len(on.desk.look.job.bridge) == 1


def colours(on):
    return [o.inlay for o in on.desk.look.drawn.openings]


def test_brushing_colours_several_openings_in_one_step(served, tab, art):
    on = served(art)
    page = tab(on.address)
    hand(page, "colour")
    page.check("#swatches [value=gold]")
    fields = opened(on)
    start = middle(page, fields[0])
    page.mouse.move(*start)
    page.mouse.down()
    for field in fields[1:4]:
        page.mouse.move(*middle(page, field), steps=4)
    assert page.locator(".brushed").count() == 1
    page.mouse.up()
    filled = page.locator("[data-field][fill='#c29b3f']")
    expect(filled).to_have_count(4)
    assert colours(on) == ["gold"] * 4 + ["red"] * 4
    page.click("#undo")
    expect(filled).to_have_count(0)
    assert colours(on) == ["red"] * 8


def test_openings_are_coloured_by_number(served, tab, art):
    on = served(art)
    page = tab(on.address)
    fields = opened(on)
    hand(page, "colour")
    page.check("#swatches [value=teal]")
    page.fill("#numbers", f"{fields[0]}, {fields[2]}-{fields[3]}")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-field][fill='#1d6468']")
    assert colours(on) == ["teal", "red", "teal", "teal", "red", "red", "red", "red"]
    page.fill("#numbers", "all of them")
    page.keyboard.press("Enter")
    assert "numbers" in said(page)


def test_moving_the_piece_while_the_hand_draws(served, tab, art):
    page = tab(served(art).address)
    hand(page, "bridge")
    before = page.get_attribute("#drawing", "viewBox")
    page.keyboard.down("Shift")
    drag(page, on_screen(page, 60, 30), on_screen(page, 80, 30))
    page.keyboard.up("Shift")
    assert page.get_attribute("#drawing", "viewBox") != before
    assert page.locator("#bridges button").count() == 0
