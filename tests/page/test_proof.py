"""proof.html: one file from disk, alive with script, a still picture without."""

import re

import pytest

from filigree import pipeline
from filigree.job.files import job_from
from tests.page.conftest import ART
from tests.page.test_browser import serious

JOB = '[face]\nthickness = "13-14 oz"\n[stitch]\npitch = 4.0\n'


@pytest.fixture(scope="module")
def proof(tmp_path_factory):
    out = tmp_path_factory.mktemp("proof") / "out"
    art = out.with_name("eight.svg")
    art.write_text(ART, encoding="utf-8")
    pipeline.make(art, out, job_from(JOB, where="test"))
    return out / "proof.html"


def test_it_is_one_file_that_asks_for_nothing(proof, tab):
    text = proof.read_text(encoding="utf-8")
    assert set(re.findall(r"https?://[^\"' ]+", text)) <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"<(link|img|iframe|script [^>]*src)", text)
    page = tab(proof.as_uri())
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.reload()
    assert asked == [proof.as_uri()]


def test_layers_findings_openings_and_colours(proof, tab):
    page = tab(proof.as_uri())
    whole = [float(v) for v in page.get_attribute("svg", "viewBox").split()]
    for layer in ("face", "inlay", "backing", "stitches", "pins", "numbers", "findings"):
        page.uncheck(f"[data-layer='{layer}']")
        assert (
            page.locator(f"#layer-{layer}").evaluate("e => getComputedStyle(e).display") == "none"
        )
        page.check(f"[data-layer='{layer}']")
        assert (
            page.locator(f"#layer-{layer}").evaluate("e => getComputedStyle(e).display") != "none"
        )
    while (folded := page.locator("details:not([open]) > summary")).count():
        folded.first.click()
    page.click("[data-finding='1']")
    near = page.get_attribute("svg", "viewBox").split()
    at = page.get_attribute("[data-finding='1']", "data-at").split(",")
    assert float(near[0]) + float(near[2]) / 2 == pytest.approx(float(at[0]))
    assert float(near[1]) + float(near[3]) / 2 == pytest.approx(float(at[1]))
    page.click("#whole")
    again = [float(v) for v in page.get_attribute("svg", "viewBox").split()]
    assert again == pytest.approx(whole)
    page.fill("[data-colour='--face']", "#112233")
    fill = page.locator("#layer-face .land").evaluate("e => getComputedStyle(e).fill")
    assert fill == "rgb(17, 34, 51)"


def test_an_opening_tells_number_size_and_neighbours(proof, tab):
    page = tab(proof.as_uri())
    opening = page.locator(".opening").first
    opening.focus()
    words = page.locator("#told").inner_text()
    number = opening.get_attribute("id").removeprefix("opening-")
    assert words.startswith(f"Opening {number}: 254 mm2.")  # a disc of 9 mm, by its formula
    assert re.search(r"Narrowest bridges: 7\.\d+ to opening \d+|6\.99 to opening \d+", words)
    page.keyboard.press("ArrowRight")
    assert page.locator("#told").inner_text() != words


def test_the_wheel_and_the_keys_bring_it_closer(proof, tab):
    page = tab(proof.as_uri())

    def wide():
        return float(page.get_attribute("svg", "viewBox").split()[2])

    first = wide()
    page.locator("svg").hover()
    page.mouse.wheel(0, -100)
    page.wait_for_function(
        "first => Number(document.querySelector('svg').getAttribute('viewBox').split(' ')[2]) < first",
        arg=first,
    )
    page.locator("svg").focus()
    page.keyboard.press("0")
    assert wide() == pytest.approx(first)
    page.keyboard.press("+")
    assert wide() < first


def test_without_script_it_is_a_still_picture(proof, browser):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(proof.as_uri())
    assert page.locator("svg #layer-face").is_visible()
    assert page.locator("summary").first.is_visible()
    assert page.locator(".live:visible").count() == 0
    context.close()


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_fault_that_shuts_anyone_out(proof, tab, dark):
    assert serious(tab(proof.as_uri(), dark=dark)) == []
