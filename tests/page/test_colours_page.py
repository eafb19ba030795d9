"""Colourways as SVG, picture and page: every renderer takes them, what does not read is said in words."""

import io
import xml.etree.ElementTree as ET

import pytest
import pyvips
from PIL import Image

from filigree import pipeline
from filigree.cli import main
from filigree.job import Job, with_overrides
from tests.page.conftest import ART
from tests.page.test_browser import serious

SVG = "{http://www.w3.org/2000/svg}"
COLOURS = {"colours.faces": ["natural", "black"], "colours.inlays": ["red", "turquoise"]}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("colours")
    (folder / "eight.svg").write_text(ART, encoding="utf-8")
    ways = pipeline.colours(
        folder / "eight.svg", folder / "out", with_overrides(Job(), COLOURS, where="test")
    )
    return folder / "out", ways


def test_every_combination_is_drawn_and_named(made):
    out, ways = made
    assert [(w.face, *w.inlays) for w in ways] == [
        (face, inlay) for face in ("natural", "black") for inlay in ("red", "turquoise")
    ]
    root = ET.fromstring((out / "colours.svg").read_bytes())
    ids = [g.get("id") for g in root.iter(f"{SVG}g") if (g.get("id") or "").startswith("colourway")]
    assert ids == [f"colourway-{k}" for k in range(1, 5)]
    words = [t.text for t in root.iter(f"{SVG}text")]
    for way in ways:
        assert f"{way.face} with {way.inlays[0]}" in words
    reads = sum(way.reads for way in ways)
    assert 0 < reads < 4
    assert words.count("reads for every eye") == reads
    assert words.count("does not read well for every eye") == 4 - reads


def test_two_renderers_show_inlay_wall_and_face(made):
    out, _ = made
    data = (out / "colours.svg").read_bytes()
    root = ET.fromstring(data)
    wide = float(root.get("viewBox").split()[2])
    one = Image.open(out / "colours.png")  # by resvg
    other = Image.open(
        io.BytesIO(pyvips.Image.thumbnail_buffer(data, 1200).write_to_buffer(".png"))
    )
    group = next(g for g in root.iter(f"{SVG}g") if g.get("id") == "colourway-1")
    shift, zoom = group.get("transform").split(" scale(")
    x, y = (float(v) for v in shift.removeprefix("translate(").rstrip(")").split(","))
    zoom = float(zoom.rstrip(")"))

    def seen(picture, at):
        place = tuple(
            round((o + zoom * v) * picture.width / wide) for o, v in zip((x, y), at, strict=True)
        )
        return picture.convert("RGB").getpixel(place)

    for picture in (one, other):
        assert seen(picture, (20, 20)) == pytest.approx((0xB2, 0x22, 0x22), abs=3)  # red, unshaded
        wall = seen(picture, (20 - 9 * 0.7071 + 0.25, 20 - 9 * 0.7071 + 0.25))  # upper left edge
        assert sum(wall) < 0.75 * (0xB2 + 0x22 + 0x22)
        assert seen(picture, (32.5, 5)) == pytest.approx((0xC8, 0xA0, 0x60), abs=30)  # face


def test_the_page_is_one_file_for_every_eye(made, tab):
    out, ways = made
    page = tab((out / "colours.html").as_uri())
    assert page.locator("figure").count() == len(ways)
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.reload()
    assert asked == [(out / "colours.html").as_uri()]
    first = page.locator("figcaption").first.inner_text()
    assert first.startswith("natural with red\n")
    assert "tritan" in first
    assert serious(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 1024


def test_the_command_names_what_does_not_read(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "eight.svg").write_text(ART, encoding="utf-8")
    assert main(["colours", "eight.svg", "--faces", "black", "--inlays", "charcoal"]) == 0
    assert (
        "black with charcoal: reads only close by: the colours are 12 apart"
        in capsys.readouterr().out
    )
