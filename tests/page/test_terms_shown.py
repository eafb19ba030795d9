"""Words of the trade on page, proof and sheet: told to keyboard and pointer, put away with Escape (WCAG 2.2, 1.4.13)."""

import pytest

from filigree import pipeline


@pytest.fixture
def places(art, served, tmp_path):
    """Where the words stand: the page, the proof and the job sheet."""
    pipeline.make(art, tmp_path / "cut")
    return [
        served(art).address,
        *((tmp_path / "cut" / name).as_uri() for name in ("proof.html", "sheet.html")),
    ]


def test_meanings_by_keyboard_and_pointer(places, tab):
    for address in places:
        page = tab(address)
        term = page.locator(".term", has_text="face").first
        meaning = page.locator(f"#{term.get_attribute('aria-describedby')}")
        assert meaning.text_content() == "Face: the tooled ply on top, with the openings."
        assert not meaning.is_visible()
        term.focus()
        assert meaning.is_visible()
        box = meaning.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 1024
        page.keyboard.press("Escape")
        assert not meaning.is_visible()
        assert page.evaluate("document.activeElement.className") == "term"
        page.evaluate("document.activeElement.blur()")
        term.hover()
        assert meaning.is_visible()
        box = meaning.bounding_box()
        page.mouse.move(box["x"] + 9, box["y"] + box["height"] / 2, steps=6)
        assert meaning.is_visible()  # the pointer may rest on it
        page.keyboard.press("Escape")
        assert not meaning.is_visible()
        page.mouse.move(2, 2)
        term.hover()
        assert meaning.is_visible()


def test_the_row_follows_what_stands_on_the_page(served, tab, art):
    on = served(art)
    page = tab(on.address)
    words = page.locator(".term").all_inner_texts()
    assert "kerf" not in words
    page.fill("#thickness", "19-20 oz")
    page.press("#thickness", "Enter")
    page.wait_for_selector("details.stop")
    words = page.locator(".term").all_inner_texts()
    assert words.count("bridge") == 1
    assert "stop" in words
