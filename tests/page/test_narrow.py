"""On a phone, a tablet and a small desk screen: nothing runs off sideways or overlaps, and a thumb hits what it touches."""

import pytest

from filigree import pipeline
from filigree.job import Job

SCREENS = [(390, 844), (768, 1024), (1280, 800)]
THUMB = 40  # CSS pixels: as large as a touch target has to be here

OFF = """() => [...document.querySelectorAll('body *')]
  .filter(e => !e.closest('svg') && !e.closest('.unseen') && e.getClientRects().length)
  .map(e => [e, e.getBoundingClientRect()])
  .filter(([e, r]) => r.width > 1 && (r.right > innerWidth + 1 || r.left < -1))
  .filter(([e]) => { for (let p = e.parentElement; p; p = p.parentElement)
      if (getComputedStyle(p).overflowX !== 'visible' && p !== document.body) return false; return true; })
  .map(([e, r]) => `${e.tagName} ${e.id} ${e.className} ${r.left}..${r.right}`)"""

SMALL = """least => [...document.querySelectorAll('button, select, summary, input, a[href]')]
  .map(e => e.type === 'checkbox' || e.type === 'radio' ? e.closest('label') || e : e)
  .map(e => [e, e.getBoundingClientRect()])
  .filter(([e, r]) => r.width > 1 && r.height > 1 && !e.closest('#swatches') && r.height < least)
  .map(([e, r]) => `${e.tagName} ${e.id} ${e.textContent.trim().slice(0, 30)} ${r.width}x${r.height}`)"""

OVERLAPS = """() => { const all = [...document.querySelectorAll('header > *, .edge > *, #hand label')]
    .filter(e => e.getClientRects().length).map(e => [e, e.getBoundingClientRect()]);
  const out = [];
  for (const [i, [a, p]] of all.entries()) for (const [b, q] of all.slice(i + 1))
    if (!a.contains(b) && !b.contains(a) && Math.min(p.right, q.right) - Math.max(p.left, q.left) > 1
        && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 1) out.push(`${a.id || a.className} ${b.id || b.className}`);
  return out; }"""

CUT = """() => [...document.querySelectorAll('#verdict, #told, h1, #size')]
  .filter(e => e.scrollHeight > e.clientHeight + 1 || e.clientWidth < 120)
  .map(e => `${e.id} ${e.clientWidth} ${e.scrollHeight} of ${e.clientHeight}`)"""


def faults(page):
    return {
        "sideways": page.evaluate("document.documentElement.scrollWidth - innerWidth > 0"),
        "off": page.evaluate(OFF),
        "small": page.evaluate(SMALL, THUMB),
        "overlapping": page.evaluate(OVERLAPS),
        "cut": page.evaluate(CUT),
    }


FINE = {"sideways": False, "off": [], "small": [], "overlapping": [], "cut": []}


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_the_page_fits_the_screen(served, tab, art, width, height):
    page = tab(served(art).address, width=width, height=height)
    assert faults(page) == FINE
    page.evaluate("for (const e of document.querySelectorAll('details')) e.open = true")
    page.check("#hand [value=colour]", force=True)
    assert faults(page) == FINE


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_a_page_without_a_drawing_and_its_guides_fit(served, tab, width, height):
    page = tab(served().address, width=width, height=height)
    found = faults(page)
    assert (found["sideways"], found["off"], found["small"]) == (False, [], [])
    page.locator("[aria-labelledby='guides-title'] button").first.click()
    page.wait_for_selector("dialog[open]")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    box = page.locator("dialog").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= width


def test_a_swatch_is_large_enough_for_a_thumb(served, tab, art):
    page = tab(served(art).address, width=390, height=844)
    page.check("#hand [value=colour]", force=True)
    box = page.locator("#swatches input").first.bounding_box()
    assert min(box["width"], box["height"]) >= THUMB


@pytest.mark.parametrize("name", ["proof.html", "sheet.html"])
def test_what_is_looked_at_on_a_phone_fits_it(tab, art, tmp_path, name):
    pipeline.make(art, tmp_path / "cut", Job())
    page = tab((tmp_path / "cut" / name).as_uri(), width=390, height=844)
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    assert page.evaluate(OFF) == []
