"""Cut files: read back by another reader and drawn by two renderers, they are true to the millimetre."""

import io
import re
import xml.etree.ElementTree as ET

import msgspec
import numpy as np
import pytest
import pyvips
import resvg_py
import svgpathtools
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from filigree.geometry.path import circle_path
from filigree.job import Job
from filigree.output.svg import ply_files, ply_svg
from filigree.plies.build import build
from tests.make.curved import blob, box, drawn

SVG = "{http://www.w3.org/2000/svg}"
KEPT = 0.01  # mm: control points of untouched curves
MM = 20  # pixels: a line is two wide
DPI = 25.4 * MM


@pytest.fixture(scope="module")
def piece():
    return drawn(
        box(0, 0, 90, 50),
        circle_path((20, 25), 6),
        blob(45, 25, 11, seed=5),
        box(64, 12, 14, 22),
        inlays=["red", "#27508f", "red"],
    )


def files_of(pattern, **tables):
    plies = build(pattern, msgspec.convert({"stitch": {}, **tables}, Job))
    return {ply.file: ply_svg(ply) for ply in plies}, plies


def groups_of(svg):
    return {g.get("id"): g for g in ET.fromstring(svg).iter(f"{SVG}g")}


def paths_of(group):
    return [svgpathtools.parse_path(p.get("d")) for p in group.iter(f"{SVG}path")]


def test_every_file_is_in_millimetres_and_says_what_it_is(piece):
    files, plies = files_of(piece)
    assert list(files) == [
        "face.svg",
        "trim.svg",
        "inlay-red.svg",
        "inlay-27508f.svg",
        "backing.svg",
    ]
    for ply in plies:
        root = ET.fromstring(files[ply.file])
        width, height = ply.size
        assert root.get("width") == f"{width:g}mm"
        assert root.get("height") == f"{height:g}mm"
        assert root.get("viewBox") == f"0 0 {width:g} {height:g}"
        assert root.find(f"{SVG}title").text == ply.title
        said = root.find(f"{SVG}desc").text
        assert ("nap side" if ply.ply == "inlay" else "grain side") in said  # of pigskin suede
        assert ("not mirrored" in said) != ply.mirrored
        assert [g.get("id") for g in root.findall(f"{SVG}g")] == [c.name for c in ply.cuts]


def test_lines_are_thin_neutral_closed_and_nothing_else(piece):
    files, plies = files_of(piece)
    for svg in (*files.values(), ply_files(plies)["plies.svg"]):
        text = svg.decode()
        assert "transform" not in text
        assert set(re.findall(r'fill="([^"]*)"', text)) == {"none"}
        assert set(re.findall(r'stroke="([^"]*)"', text)) == {"#000000"}
        assert set(re.findall(r'stroke-width="([^"]*)"', text)) == {"0.1"}
        for data in re.findall(r' d="([^"]*)"', text):
            assert data.endswith("Z")
            assert data.count("M") == 1
        assert not re.findall(r"\d\.\d{5,}", text)


def test_openings_have_the_area_that_was_drawn(piece):
    files, plies = files_of(piece)
    paths = paths_of(groups_of(files["face.svg"])["openings"])
    owners = plies[0].cuts[1].owners
    assert sorted(owners) == [1, 2, 3]
    for owner, path in zip(owners, paths, strict=True):
        shape = piece.openings[owner - 1].shape
        assert abs(path.area()) == pytest.approx(shape.area, abs=0.01 + 0.02 * shape.length)
        assert path.isclosed()


def test_sizes_are_true(piece):
    files, _ = files_of(piece)
    (outline,) = paths_of(groups_of(files["trim.svg"])["outline"])
    left, right, top, bottom = outline.bbox()
    assert (right - left, bottom - top) == pytest.approx((90, 50), abs=0.01)
    (blank,) = paths_of(groups_of(files["backing.svg"])["blank"])
    left, right, top, bottom = blank.bbox()
    assert (right - left, bottom - top) == pytest.approx((106, 66), abs=0.01)


def test_a_laser_s_paths_are_corrected_by_half_its_kerf(piece):
    files, plies = files_of(piece, cut={"way": "laser", "kerf": 0.3})
    paths = paths_of(groups_of(files["face.svg"])["openings"])
    circle = paths[plies[0].cuts[1].owners.index(1)]
    left, right, _, _ = circle.bbox()
    assert right - left == pytest.approx(12 - 0.3, abs=2e-4)  # as row 47; four places are written


def test_untouched_curves_are_the_source_s(piece):
    files, plies = files_of(piece)
    paths = paths_of(groups_of(files["face.svg"])["openings"])
    written = paths[plies[0].cuts[1].owners.index(2)]
    source = blob(45, 25, 11, seed=5).cubics + np.array(plies[0].offset)
    found = np.array([[(p.real, p.imag) for p in piece_.bpoints()] for piece_ in written])
    assert len(found) == len(source)
    for curve in source:
        both = [np.abs(found - c).max(axis=(1, 2)).min() for c in (curve, curve[::-1])]
        assert min(both) < KEPT


def test_the_overview_holds_every_ply_as_a_group(piece):
    _, plies = files_of(piece)
    root = ET.fromstring(ply_files(plies)["plies.svg"])
    assert [g.get("id") for g in root.findall(f"{SVG}g")] == [
        p.file.removesuffix(".svg") for p in plies
    ]
    ids = [g.get("id") for g in root.iter(f"{SVG}g")]
    assert len(ids) == len(set(ids))


def test_colour_names_cannot_break_the_file():
    holes = [circle_path((15, 20), 5), circle_path((45, 20), 5)]
    pattern = drawn(box(0, 0, 60, 40), *holes, inlays=['rusty "old" <red>', "a&b"])
    files, plies = files_of(pattern)
    for svg in (*files.values(), ply_files(plies)["plies.svg"]):
        ET.fromstring(svg)
    assert {"inlay-rusty-old-red.svg", "inlay-a-b.svg"} <= set(files)


def test_no_plies_no_overview():
    assert ply_files(()) == {}


def test_the_same_piece_gives_the_same_bytes(piece):
    assert files_of(piece)[0] == files_of(piece)[0]


def by_resvg(svg):
    png = resvg_py.svg_to_bytes(svg_string=svg.decode(), dpi=DPI, background="#ffffff")
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("L"))


def by_vips(svg):
    image = (
        pyvips.Image.svgload_buffer(svg, scale=DPI / 72).flatten(background=255).colourspace("b-w")
    )
    return image.numpy()[..., 0] if image.bands > 1 else image.numpy()


@pytest.mark.parametrize("file", ["face.svg", "trim.svg", "inlay-27508f.svg", "backing.svg"])
def test_two_renderers_draw_alike_and_true(piece, file):
    files, plies = files_of(piece)
    (ply,) = (p for p in plies if p.file == file)
    one, two = by_resvg(files[file]), by_vips(files[file])
    assert one.shape == two.shape == (round(ply.size[1] * MM), round(ply.size[0] * MM))
    for ink, other in ((one, two), (two, one)):  # no line of one is missing in the other
        near = np.lib.stride_tricks.sliding_window_view(np.pad(other, 1, mode="edge"), (3, 3))
        assert near.min(axis=(2, 3))[ink < 160].max() < 200
    assert 255 - one.mean() == pytest.approx(255 - two.mean(), rel=0.1)  # as much ink
    for image in (one, two):
        rows, columns = np.nonzero(image < 160)
        every = [paths_of(g) for g in groups_of(files[file]).values()]
        boxes = np.array([p.bbox() for group in every for p in group])
        drawn_box = [boxes[:, 0].min(), boxes[:, 1].max(), boxes[:, 2].min(), boxes[:, 3].max()]
        seen = [columns.min(), columns.max() + 1, rows.min(), rows.max() + 1]
        assert np.array(seen) / MM == pytest.approx(drawn_box, abs=0.1)  # a pixel and half a line


@settings(max_examples=15)
@given(seed=st.integers(0, 10_000), way=st.sampled_from(["knife", "laser"]))
def test_what_is_read_back_is_what_was_built(seed, way):
    rng = np.random.default_rng(seed)
    holes = [blob(15 + 22 * k, 20, rng.uniform(3, 9), seed=seed + k) for k in range(3)]
    plies = build(drawn(box(0, 0, 75, 40), *holes), msgspec.convert({"cut": {"way": way}}, Job))
    for ply in plies:
        groups = groups_of(ply_svg(ply))
        for cut in ply.cuts:
            for path, back in zip(cut.paths, paths_of(groups[cut.name]), strict=True):
                found = [(p.real, p.imag) for piece_ in back for p in (piece_.start, piece_.end)]
                ends = np.concatenate([path.cubics[:, 0], path.cubics[:, 3]])
                off = np.abs(np.array(found)[:, None] - ends[None]).max(axis=2).min(axis=0)
                assert off.max() < 1e-4
