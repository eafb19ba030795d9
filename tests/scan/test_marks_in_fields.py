"""Hatching, cross-hatching, stipple, shading and crosses mean background and divide nothing (handbook 12)."""

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon

from filigree.cli import main
from filigree.drawing.scan import redraw_scan
from filigree.drawing.svg import read_svg
from filigree.job import Sheet
from filigree.output.lines import lines_svg
from filigree.output.marks_sheet import PAPERS, marks_sheet, marks_sheet_pdf, marks_sheet_svg
from tests.make.scan_art import Art, plain_border
from tests.make.scans import INK, PENCIL, Marked, painted, save, sheet
from tests.scan.test_roads import fields

SIZE = (60.0, 30.0)
BAR = np.array([(30.0, 4.0), (30.0, 26.0)])
ART = Art(size=SIZE, lines=(plain_border(SIZE), BAR), widths=(0.5, 0.5))
LEFT = shapely.box(4, 4, 30, 26)
INNER = LEFT.buffer(-1.2)


def strokes(degrees, step=1.5):
    a = np.radians(degrees)
    along, across = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    middle = np.array(LEFT.centroid.coords[0])
    cuts = [
        LineString(
            [middle + across * k - along * 50, middle + across * k + along * 50]
        ).intersection(INNER)
        for k in np.arange(-20, 20, step)
    ]
    return tuple(np.asarray(c.coords) for c in cuts if c.length > 1.5)


DOTS = np.array(
    [(x + (y % 3) * 0.3, y) for x in np.arange(6, 28, 1.8) for y in np.arange(6, 25, 1.8)]
)
CROSS = (np.array([(14.0, 12.0), (20.0, 18.0)]), np.array([(20.0, 12.0), (14.0, 18.0)]))
KINDS = [
    pytest.param(Marked(lines=strokes(40)), "hatched", id="hatching"),
    pytest.param(Marked(lines=strokes(40) + strokes(130)), "hatched", id="cross-hatching"),
    pytest.param(Marked(dots=DOTS), "stippled", id="stipple"),
    pytest.param(Marked(lines=CROSS), "X", id="cross"),
    pytest.param(Marked(grey=(LEFT.buffer(-0.6),)), "shaded", id="shading"),
]


@pytest.mark.parametrize("hand", [INK, PENCIL], ids=["ink", "pencil"])
@pytest.mark.parametrize(("marked", "how"), KINDS)
def test_a_marked_field(tmp_path, hand, marked, how):
    save(sheet(ART, hand, marked), tmp_path / "a.png")
    redrawn = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False)
    drawing = redrawn.drawing
    assert {m.how for m in drawing.marks} == {how}
    assert all(LEFT.buffer(0.6).contains(m.shape) for m in drawing.marks)
    assert len(fields(drawing.lines)) == 2
    again = read_svg(lines_svg(redrawn), sheet=Sheet())  # marks stay wishes in the redrawn SVG
    assert again.marks
    assert all(LEFT.buffer(0.6).contains(m.shape) for m in again.marks)
    assert len(fields(again.lines)) == 2


@pytest.mark.parametrize("degrees", [12, 18, 25])
def test_hatching_that_meets_its_border_leaves_it_straight(tmp_path, degrees):
    touching = tuple(
        np.asarray(c.coords)
        for c in (
            LineString([v[0] * 3 - v[-1] * 2, v[-1] * 3 - v[0] * 2]).intersection(LEFT)
            for v in strokes(degrees, 2.0)
        )
    )
    save(sheet(ART, INK, Marked(lines=touching)), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert {m.how for m in drawing.marks} == {"hatched"}
    assert len(fields(drawing.lines)) == 2
    truth = shapely.union_all([LineString(v) for v in ART.lines])
    whole = shapely.union_all([LineString(v) for v in drawing.lines])
    assert (
        shapely.hausdorff_distance(whole, truth, densify=0.01) < 0.2
    )  # mm, under half a line's width


GRID = (
    *(np.array([(x, 12.0), (x + 0.3, 15.2)]) for x in (11.0, 12.2)),
    *(np.array([(9.6, y), (13.6, y + 0.3)]) for y in (13.0, 14.2)),
)
LONG_X = (np.array([(10.0, 14.0), (22.0, 25.9)]), np.array([(22.0, 14.5), (10.5, 25.0)]))
BOX = np.array([(9.0, 10.0), (16.0, 10.0), (16.0, 17.0), (9.0, 17.0), (9.0, 10.0)])
LOOSE = [
    pytest.param((), GRID, {"hatched"}, 2, id="four crossing strokes in a wide field"),
    pytest.param((), LONG_X, {"X"}, 2, id="an X that runs over its border with one end"),
    pytest.param(
        (BOX, np.array([(12.5, 10.0), (12.5, 17.0)]), np.array([(9.0, 13.5), (16.0, 13.5)])),
        (),
        set(),
        6,
        id="a window is drawn",
    ),
]


@pytest.mark.parametrize(("drawn", "strokes", "hows", "count"), LOOSE)
def test_few_strokes_that_cross(tmp_path, drawn, strokes, hows, count):
    art = Art(size=SIZE, lines=(*ART.lines, *drawn), widths=(0.5,) * (2 + len(drawn)))
    save(sheet(art, INK, Marked(lines=strokes)), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert {m.how for m in drawing.marks} == hows
    assert len(fields(drawing.lines)) == count
    assert any("read as marks" in s.why for s in drawing.skipped) == bool(hows)


def test_strokes_read_as_marks_are_told_by_check(tmp_path, monkeypatch, capsys):
    save(sheet(ART, INK, Marked(lines=strokes(40))), tmp_path / "a.png")
    monkeypatch.chdir(tmp_path)
    main(["check", "a.png"])
    assert "read as marks that say background (hatched; 1 place)" in capsys.readouterr().out


def test_a_bare_leaf_in_a_hatched_field_stays(tmp_path):
    leaf = np.array([(12.0, 15.0), (15.0, 12.0), (20.0, 11.6), (24.0, 15.0)])
    leaf = np.vstack([leaf, leaf[::-1] * (1, -1) + (0, 30.0)])
    area = LEFT.difference(Polygon(leaf))
    cut = [
        p
        for v in strokes(75, 1.8) + strokes(160, 1.8)
        for p in shapely.get_parts(
            LineString([v[0] * 3 - v[-1] * 2, v[-1] * 3 - v[0] * 2]).intersection(area)
        )
        if p.length > 1
    ]
    art = Art(size=SIZE, lines=(*ART.lines, leaf), widths=(0.5, 0.5, 0.5))
    marked = Marked(lines=tuple(np.asarray(p.coords) for p in cut))
    save(sheet(art, INK, marked), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert {m.how for m in drawing.marks} == {"hatched"}
    marks = shapely.union_all([m.shape for m in drawing.marks])
    assert marks.intersection(Polygon(leaf)).area < 0.3 * Polygon(leaf).area
    assert marks.area > 0.6 * area.area


def test_a_shadow_over_the_lines_is_no_shading(tmp_path):
    grey = sheet(ART, INK)
    y, x = np.mgrid[: grey.shape[0], : grey.shape[1]] * 25.4 / 300  # mm
    shadow = 1 / (1 + np.exp((np.hypot((x - 29) / 1.6, y - 13) - 6) / 0.4))
    save((grey * (1 - 0.3 * shadow)).astype(np.uint8), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert drawing.marks == ()
    assert len(fields(drawing.lines)) == 2


def test_veins_are_no_hatching(tmp_path):
    midrib = np.array([(8.0, 15.0), (27.0, 15.0)])
    veins = tuple(
        np.array([(x, 15.0), (x + 3, 15.0 + s * 5)])
        for x in (10.0, 13.0, 16.0, 19.0)
        for s in (-1, 1)
    )
    art = Art(size=SIZE, lines=(*ART.lines, midrib, *veins), widths=(0.5,) * (3 + len(veins)))
    save(sheet(art, INK), tmp_path / "a.png")
    assert redraw_scan(tmp_path / "a.png", sheet=Sheet()).drawing.marks == ()


def test_a_black_area_has_edges(tmp_path):
    disc = shapely.Point(17, 15).buffer(6, quad_segs=32)
    marked = Marked(grey=(Polygon(disc.exterior),), grey_dark=INK.ink)
    save(sheet(ART, INK, marked), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert drawing.solids.area == pytest.approx(np.pi * 36, rel=0.01)  # closed form
    assert drawing.dark in ("leather", "cut")
    assert len(drawing.fields) == 2


def test_redraw_writes_lines_and_picture(tmp_path, monkeypatch, capsys):
    save(sheet(ART, INK), tmp_path / "a.png")
    monkeypatch.chdir(tmp_path)
    assert main(["redraw", "a.png", "-o", "a.svg"]) == 0
    assert "60.0 x 30.0 mm" in capsys.readouterr().out
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a-overlay.png", "a.png", "a.svg"]
    again = read_svg(tmp_path / "a.svg", sheet=Sheet())
    assert len(fields(again.lines)) == 2


@pytest.mark.parametrize("paper", PAPERS)
def test_the_marks_sheet_is_found(tmp_path, paper):
    laid = marks_sheet(paper)
    per_mm = 4.0
    svg = marks_sheet_svg(paper).decode().replace("mm", "", 2)
    w, h = (round(v * per_mm) for v in laid.size)
    svg = svg.replace(f'width="{laid.size[0]:g}"', f'width="{w}"', 1).replace(
        f'height="{laid.size[1]:g}"', f'height="{h}"', 1
    )
    svg = svg.replace("</title>", '</title><rect width="100%" height="100%" fill="#fff"/>', 1)
    dark = painted(svg, w, h)
    y, x = (round((v + 25) * per_mm) for v in (15, 15))
    dark[y : y + 300, x : x + 2] = dark[y : y + 300, x + 240 : x + 242] = 1
    dark[y : y + 2, x : x + 242] = dark[y + 298 : y + 300, x : x + 242] = 1
    upside_down = np.rot90(np.uint8(250 - 230 * dark), 2)
    save(np.ascontiguousarray(upside_down), tmp_path / "a.png", dpi=None)
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), marks=laid.apart).drawing
    assert np.vstack(drawing.lines).min(0) == pytest.approx(
        (25, 25), abs=0.6
    )  # the small square says which way is up
    assert marks_sheet_pdf(paper).startswith(b"%PDF")
