"""The page in a real browser: a whole piece by pointer, the same by keyboard alone, and what goes wrong."""

import io
import shutil
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from filigree import pipeline
from filigree.job import load_job

GALLERY = Path(__file__).resolve().parents[2] / "gallery"


def contents(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def click_field(page, field):
    """Click a field where its number stands, which is well inside it."""
    page.mouse.click(*middle(page, field))


def hand(page, does):
    """Choose what a touch does."""
    page.check(f"#hand [value={does}]", force=True)


def middle(page, field):
    """Where the number of a field stands on the screen."""
    numbers = page.locator("svg .number")
    ids = [text.rstrip("?") for text in numbers.all_text_contents()]
    box = numbers.nth(ids.index(str(field))).bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def on_screen(page, x, y):
    """Where a place of the drawing, mm, is on the screen."""
    return page.evaluate(
        "([x, y]) => { const p = new DOMPoint(x, y).matrixTransform("
        "document.getElementById('drawing').getScreenCTM()); return [p.x, p.y]; }",
        [x, y],
    )


def checked(page, field, value):
    page.wait_for_selector(f"[data-field='{field}'][aria-checked='{value}']")


def opened(served):
    return sorted(c.region for c in served.desk.look.choices if c.kind == "background")


def said(page):
    page.wait_for_selector("#said:not([hidden])")
    return page.locator("#said").inner_text()


def test_a_piece_of_the_gallery_from_first_look_to_saved(served, tab, tmp_path):
    art = tmp_path / "bracer.svg"
    shutil.copyfile(GALLERY / "bracer" / "bracer.svg", art)
    on = served(art, load_job(GALLERY / "bracer" / "job.toml"))
    page = tab(on.address)
    sizes = {r.id: r.area_mm2 for r in on.desk.piece.regions.regions}
    first, second = sorted(opened(on), key=lambda i: -sizes[i])[:2]
    click_field(page, first)
    checked(page, first, "false")
    click_field(page, second)
    checked(page, second, "false")
    click_field(page, second)
    checked(page, second, "true")
    page.fill("#thickness", "6-7 oz")
    page.press("#thickness", "Enter")
    page.wait_for_selector("#wanted:has-text('4.2 mm')")
    assert page.locator("#verdict").inner_text() == on.desk.told()["verdict"]
    page.click("#preview")
    page.wait_for_selector("#accept:not([hidden])")
    assert on.desk.look.mended is None
    before = page.locator("#changes input:checked").count()
    page.locator("#changes input").first.uncheck()
    page.wait_for_selector("text=Left as drawn")
    assert page.locator("#changes input:checked").count() < before
    page.click("#accept")
    page.wait_for_selector("#unmend:not([hidden])")
    assert on.desk.look.mended.changes
    hand(page, "colour")
    page.check("#swatches [value=teal]")
    page.click("#all")
    page.wait_for_selector("[data-field][fill='#1d6468']")
    page.click("#save")
    page.wait_for_selector("#said:has-text('Saved')")
    assert f"files are in {on.desk.out.name}." in said(page)
    made = tmp_path / "by-hand"
    pipeline.make(art, made, load_job(on.desk.out / "job.toml"))
    assert contents(on.desk.out) == contents(made)


def test_keyboard_alone(served, tab, art):
    on = served(art)
    page = tab(on.address)
    first = opened(on)

    def tab_to(selector):
        for _ in range(60):
            page.keyboard.press("Tab")
            if page.evaluate("s => document.activeElement.matches(s)", selector):
                return
        pytest.fail(f"{selector} cannot be reached with Tab")

    tab_to("[data-field]")
    while page.evaluate("document.activeElement.dataset.field") != str(first[1]):
        page.keyboard.press("ArrowRight")
    assert f"Field {first[1]}:" in page.locator("#told").inner_text()
    page.keyboard.press("Space")
    checked(page, first[1], "false")
    assert page.evaluate("document.activeElement.dataset.field") == str(first[1])
    tab_to("#thickness")
    page.keyboard.press("Control+a")
    page.keyboard.type("19-20 oz")
    page.keyboard.press("Enter")
    page.wait_for_selector("#verdict:has-text('Does not meet')")
    tab_to("#sure-title")
    page.keyboard.press("Enter")
    tab_to(f"[data-key='field-{first[1]}']")
    page.keyboard.press("Space")
    checked(page, first[1], "true")
    tab_to("#undo")
    page.keyboard.press("Enter")
    checked(page, first[1], "false")
    tab_to("#save")
    page.keyboard.press("Enter")
    page.wait_for_selector("#said:has-text('Saved')")
    assert (on.desk.out / "face.svg").is_file()


def test_no_fault_that_shuts_anyone_out(served, tab, art):
    page = tab(served(art).address)
    page.fill("#thickness", "13-14 oz")
    page.press("#thickness", "Enter")
    page.click("#preview")
    page.wait_for_selector("#accept:not([hidden])")
    page.click("#sure-title")
    assert faults(page) == []
    for does in ("colour", "close", "bridge", "scale"):
        hand(page, does)
        assert faults(page) == []
    page.click("[data-guide=drawing]")
    page.wait_for_selector("#guide[open]")
    assert faults(page) == []


def test_an_empty_page_shuts_nobody_out(served, tab, art):
    page = tab(served().address)
    page.set_input_files(
        "#file", {"name": "torn.svg", "mimeType": "image/svg+xml", "buffer": b"<svg"}
    )
    assert said(page)
    assert faults(page) == []


def test_targets_are_large_enough_for_a_finger(served, browser, art):
    context = browser.new_context(viewport={"width": 1024, "height": 768}, has_touch=True)
    page = context.new_page()
    page.goto(served(art).address)
    page.wait_for_selector("body[data-ready]")
    for does in ("toggle", "colour", "close", "bridge", "scale"):
        hand(page, does)
        small = page.evaluate(
            "[...document.querySelectorAll('button, select, summary, #hand label, #swatches input, '"
            " + 'input:not([type=checkbox], [type=radio])')].filter(e => e.offsetParent).map(e => [e.id || e.textContent, e.getBoundingClientRect()])"
            ".filter(([, r]) => r.height < 44 || r.width < 44).map(([name]) => name)"
        )
        assert small == [], does  # WCAG 2.2, 2.5.5: 44 px, on a tablet beside the bench
        assert page.locator("#drawing").bounding_box()["height"] > 300, does
        assert page.evaluate("document.documentElement.scrollHeight") <= 768, does
    context.close()


def test_a_tap_opens_and_keeps(served, browser, art):
    on = served(art)
    context = browser.new_context(viewport={"width": 1024, "height": 768}, has_touch=True)
    page = context.new_page()
    page.goto(on.address)
    page.wait_for_selector("body[data-ready]")
    first = opened(on)[0]
    page.touchscreen.tap(*middle(page, first))
    checked(page, first, "false")
    hand(page, "bridge")
    page.touchscreen.tap(*on_screen(page, 45, 9))
    page.touchscreen.tap(*on_screen(page, 45, 31))
    page.wait_for_selector("#bridges button")
    context.close()


def faults(page):
    """Serious faults in the light, and those of contrast, all that colours change, in the dark."""
    found = serious(page)
    page.emulate_media(color_scheme="dark")
    found += serious(page, only="color-contrast")
    page.emulate_media(color_scheme="light")
    return found


def serious(page, only=""):
    """Faults that axe-core calls serious or critical, with the place of each."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(
            (Path(__file__).with_name("axe") / "axe.min.js").read_text(encoding="utf-8")
            + ";undefined"
        )
    found = page.evaluate("(only) => axe.run(only ? { runOnly: only } : {})", only)
    assert len(found["passes"]) > (0 if only else 10)
    return [
        (fault["id"], node["html"][:200])
        for fault in found["violations"]
        if fault["impact"] in {"serious", "critical"}
        for node in fault["nodes"]
    ]


@pytest.mark.parametrize(("width", "height"), [(1024, 768), (1600, 1000), (400, 800)])
def test_it_fits_the_screen(served, tab, art, width, height):
    page = tab(served(art).address, width=width, height=height)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    box = page.locator("#drawing").bounding_box()
    assert box["width"] > 0.5 * width
    if width > 1000:
        assert page.evaluate("document.documentElement.scrollHeight") <= height
        assert box["height"] > 0.55 * height
    small = page.evaluate(
        "[...document.querySelectorAll('button, select, input, summary')].filter(e => e.offsetParent)"
        ".map(e => e.getBoundingClientRect()).filter(r => r.height < 24 || r.width < 24).length"
    )
    assert small == 0  # WCAG 2.2, 2.5.8: targets of 24 px


def test_a_second_tab_is_told(served, tab, art):
    on = served(art)
    one, other = tab(on.address), tab(on.address)
    first = opened(on)
    click_field(one, first[0])
    checked(one, first[0], "false")
    click_field(other, first[1])
    assert "another tab" in said(other)
    checked(other, first[0], "false")
    assert opened(on) == first[1:]


def test_a_broken_drawing_changes_nothing_and_a_good_one_comes_in(served, tab, art):
    on = served(art)
    page = tab(on.address)
    page.set_input_files(
        "#file", {"name": "torn.svg", "mimeType": "image/svg+xml", "buffer": b"<svg"}
    )
    assert said(page).startswith("torn.svg: ")
    assert page.locator("#name").inner_text() == "eight.svg"
    good = art.read_bytes().replace(b'r="9"', b'r="7"')
    page.set_input_files("#file", {"name": "wren.svg", "mimeType": "image/svg+xml", "buffer": good})
    page.wait_for_selector("#name:has-text('wren.svg')")
    assert page.locator("[data-field]").count() == 9


def test_a_scan_comes_in_with_its_size(served, tab, art):
    picture = Image.new("L", (600, 400), 255)
    pen = ImageDraw.Draw(picture)
    pen.rectangle((20, 20, 580, 380), outline=0, width=4)
    for x in (180, 420):
        pen.ellipse((x - 70, 130, x + 70, 270), outline=0, width=4)
    data = io.BytesIO()
    picture.save(data, "PNG")
    scan = {"name": "scan.png", "mimeType": "image/png", "buffer": data.getvalue()}
    on = served(art)
    page = tab(on.address)
    page.fill("#scan-width", "wide")
    page.set_input_files("#file", scan)
    assert "wide" in said(page)
    page.fill("#scan-width", "120")
    page.set_input_files("#file", scan)
    page.wait_for_selector("#name:has-text('scan.png')")
    assert on.desk.piece.drawing.width == pytest.approx(120)
    assert len(on.desk.piece.regions.regions) == 3


def test_thickness_that_makes_no_sense_is_told_and_nothing_is_changed(served, tab, art):
    on = served(art)
    page = tab(on.address)
    page.fill("#thickness", "leather")
    page.press("#thickness", "Enter")
    assert "leather" in said(page)
    assert on.desk.look.job.face.thickness == ""


def test_two_clicks_give_the_scale(served, tab, art):
    on = served(art)
    page = tab(on.address)
    hand(page, "scale")
    numbers = opened(on)
    click_field(page, numbers[0])
    click_field(page, numbers[1])
    page.fill("#length", "50")
    page.press("#length", "Enter")
    page.wait_for_selector("#size:has-text('width set to')")
    assert on.desk.piece.drawing.width == pytest.approx(240, rel=0.02)  # clicks are to a pixel


def test_a_server_that_is_gone_is_told(served, tab, art):
    on = served(art)
    page = tab(on.address)
    page.route("**/pick", lambda route: route.abort())
    click_field(page, opened(on)[0])
    assert "has ended" in said(page)


def test_the_page_asks_nothing_of_any_other_place(served, tab, art):
    on = served(art)
    page = tab(on.address)
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert asked
    assert {url for url in asked if not url.startswith(on.address)} == set()
