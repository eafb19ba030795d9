"""Photos without corner marks: the table and the sheet's edge become no lines; the edges set the sheet straight.

Where lines must lie is known from the camera that made the photo; seeds were not used in tuning.
"""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from PIL import Image
from shapely import LineString, MultiLineString

from filigree.drawing.scan import redraw_scan
from filigree.drawing.scan.scale import Measured
from filigree.drawing.scan.sheet import find_paper
from filigree.job import Sheet
from tests.make.photo_things import TABLES, Thing
from tests.make.photos import Scene, Shot, shot
from tests.make.scan_art import FAMILIES, plain_border
from tests.make.scans import INK, PENCIL, sheet

ART = (62.0, 46.0)
PER_MM = 7.0


def redrawn(seen: Shot, folder, **more):
    """What is read when two points of the sheet and their distance are given."""
    Image.fromarray(seen.grey).save(folder / "a.png")
    ends = np.array([(0.3, 0.5), (0.7, 0.5)]) * seen.size
    at = seen.to_picture(ends) + 0.5
    scale = Measured(
        start=tuple(at[0].tolist()), end=tuple(at[1].tolist()), length=0.4 * seen.size[0]
    )
    return redraw_scan(folder / "a.png", sheet=Sheet(), scale=scale, **more)


def fine(line: np.ndarray) -> np.ndarray:
    return np.asarray(LineString(line).segmentize(2.0).coords)


def off(seen: Shot, out) -> tuple[float, float]:
    """Shares of the length found that is not drawn, and of the length drawn that is not found, over 0.5 mm."""
    found = [out.frame.to_pixels(line) for line in out.drawing.lines]
    truth = [seen.to_picture(fine(line)) for line in seen.lines]

    def one_way(a, b):
        whole = MultiLineString([LineString(v) for v in b])
        shapely.prepare(whole)
        points = [
            shapely.line_interpolate_point(line, np.arange(0.1, line.length, 3.0))
            for line in (LineString(v) for v in a)
        ]
        return float((shapely.distance(np.concatenate(points), whole) > 0.5 * PER_MM).mean())

    return one_way(found, truth), one_way(truth, found)


def art(seed: int, size=ART):
    return FAMILIES[list(FAMILIES)[seed % 4]](seed, size=size)


@pytest.mark.parametrize("table", ["wood", "dark", "pale", "cloth", "stone"])
def test_a_table_becomes_no_line(tmp_path, table):
    seed = 301 + list(TABLES).index(table)
    scene = Scene(table=table, seed=seed, toward=77 * seed, turn=seed % 11 - 5, per_mm=PER_MM)
    seen = shot(art(seed), scene)
    out = redrawn(seen, tmp_path)
    stray, missing = off(seen, out)
    assert stray < 0.01
    assert missing < 0.01
    assert out.drawing.solids.is_empty
    assert not out.drawing.marks
    assert out.drawing.skipped[0].what == "the table round the sheet"


SHADE = {"kind": "shadow", "on": "all"}
HARD = [
    pytest.param(Thing(**SHADE, at=(40, 30), turn=65, size=0, dark=0.4, soft=0.6), id="hard"),
    pytest.param(Thing(**SHADE, at=(40, 30), turn=-20, size=0, dark=0.35, soft=10), id="soft"),
    pytest.param(Thing(**SHADE, at=(50, 20), turn=25, size=28, dark=0.45, soft=1.2), id="strip"),
]


@pytest.mark.parametrize("shadow", HARD)
def test_a_shadow_over_sheet_and_table(tmp_path, shadow):
    seen = shot(art(311), Scene(table="wood", things=(shadow,), seed=311, per_mm=PER_MM))
    stray, missing = off(seen, redrawn(seen, tmp_path))
    assert stray < 0.01
    assert missing < 0.01


def test_a_sheet_that_runs_out_of_the_picture(tmp_path):
    scene = Scene(table="wood", fill=1.02, aside=(0.1, 0.05), tilt=4, seed=312, per_mm=PER_MM)
    seen = shot(art(312), scene)
    stray, _ = off(seen, redrawn(seen, tmp_path))
    assert stray < 0.01


def test_fingers_and_weights_on_the_edge(tmp_path):
    things = (
        Thing(kind="finger", on="all", at=(4, 30), turn=10, size=6),
        Thing(kind="weight", on="all", at=(84, 4), turn=20, size=6, dark=0.2),
    )
    seen = shot(art(313), Scene(things=things, seed=313, per_mm=PER_MM))
    stray, missing = off(seen, redrawn(seen, tmp_path))
    assert stray < 0.01
    assert missing < 0.01


def test_punched_holes_are_no_solids_and_are_told(tmp_path):
    holes = tuple(Thing(kind="hole", on="hole", at=(6, y), size=3) for y in (15, 55))
    seen = shot(art(320), Scene(table="dark", things=holes, seed=320, per_mm=PER_MM))
    out = redrawn(seen, tmp_path)
    assert off(seen, out) == pytest.approx((0, 0), abs=0.01)
    assert out.drawing.solids.is_empty
    assert sum("dark spot at" in s.what for s in out.drawing.skipped) == 2


def test_a_solid_within_the_drawing_stays(tmp_path):
    # a filled square in the middle of the sheet is drawn as lines close together
    rows = np.linspace(20, 25, 21)
    fill = tuple(np.array([(28.0, y), (33.0, y)]) for y in rows)
    drawn = art(321)
    seen = shot(
        type(drawn)(size=ART, lines=(plain_border(ART), *fill), widths=(0.5,) * (len(fill) + 1)),
        Scene(table="dark", seed=321, per_mm=PER_MM),
    )
    assert redrawn(seen, tmp_path).drawing.solids.area == pytest.approx(25 + 20 * 0.25, rel=0.15)


@pytest.mark.parametrize(("hand", "dark"), [(INK, 0.5), (PENCIL, 0.3)], ids=["ink", "pencil"])
def test_the_edge_of_a_hand_s_shadow_is_no_line(tmp_path, hand, dark):
    shadow = Thing(**SHADE, at=(42, 33), turn=140, size=0, dark=dark, soft=1.0)
    hand = replace(hand, breaks=0.0, seed=322)
    seen = shot(art(322), Scene(things=(shadow,), seed=322, per_mm=PER_MM), hand)
    assert off(seen, redrawn(seen, tmp_path)) == pytest.approx((0, 0), abs=0.01)


@pytest.mark.parametrize(("bow", "tilt"), [(0.0, 12.0), (-0.04, 6.0)])
def test_the_edges_of_a_format_set_a_photo_straight(tmp_path, bow, tilt):
    # A6 is 148 x 105 mm (ISO 216); the sides' ratio is read, the two points give the size
    seen = shot(
        art(314, size=(124.0, 81.0)),
        Scene(seed=314, tilt=tilt, bow=bow, toward=130, turn=4, per_mm=PER_MM),
    )
    out = redrawn(seen, tmp_path, straight=True)
    assert (out.frame.width, out.frame.height) == pytest.approx((148, 105), rel=0.001)
    truth = np.vstack([fine(line) for line in seen.lines])
    there = out.frame.to_mm(seen.to_picture(truth))
    sides = [np.hypot(*np.diff(v[[0, len(v) // 2]], axis=0).T) for v in (truth, there)]
    assert sides[1] == pytest.approx(sides[0], rel=0.001)
    assert not any("straight" in s.what for s in out.drawing.skipped)
    assert "edges of the sheet" in out.drawing.scale_from


def test_a_sheet_of_no_format_is_left_aslant_and_told(tmp_path):
    seen = shot(art(315, size=(70.0, 60.0)), Scene(seed=315, per_mm=PER_MM))  # 94 x 84 mm
    out = redrawn(seen, tmp_path)
    assert out.drawing.scale_from == "--scale"
    assert any("--marks" in s.why for s in out.drawing.skipped)


def test_straight_off_leaves_the_slant(tmp_path):
    seen = shot(art(316, size=(124.0, 81.0)), Scene(seed=316, per_mm=PER_MM))
    assert redrawn(seen, tmp_path, straight=False).drawing.scale_from == "--scale"


def test_a_flat_scan_is_left_alone():
    flat = Image.fromarray(sheet(art(317), INK))
    assert find_paper(flat) is None


def test_the_drawing_s_own_border_is_not_the_sheet():
    # the page ends 1 mm beyond a border line that runs all round it
    drawn = FAMILIES["lattice"](318, size=ART)
    tight = type(drawn)(
        size=ART, lines=(*drawn.lines[1:], plain_border(ART, inset=1.0)), widths=drawn.widths
    )
    assert find_paper(Image.fromarray(sheet(tight, INK))) is None


def test_a_scanner_s_dark_lid_round_a_sheet(tmp_path):
    page = np.pad(sheet(art(319), INK), 90, constant_values=30)
    noise = np.random.default_rng(319).normal(0, 3, page.shape)
    page = np.clip(page + noise, 0, 255).astype(np.uint8)
    Image.fromarray(page).save(tmp_path / "a.png", dpi=(300, 300))
    out = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    shift = 90 * 25.4 / 300
    low, high = np.vstack(out.lines).min(0), np.vstack(out.lines).max(0)
    assert (low - shift).tolist() == pytest.approx([4, 4], abs=0.1)
    assert (high - shift).tolist() == pytest.approx([ART[0] - 4, ART[1] - 4], abs=0.1)
    assert out.solids.is_empty
