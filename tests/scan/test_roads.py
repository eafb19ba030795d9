"""Centre lines against the truth they were drawn from; limits in mm are those a redrawn scan must meet."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiLineString
from shapely.ops import polygonize, unary_union

from filigree.drawing.scan import redraw_scan
from filigree.job import Sheet
from tests.make.scan_art import FAMILIES, Art, lattice, plain_border, rosette, vine
from tests.make.scans import INK, PENCIL, Camera, Hand, photo, save, sheet, turned

SMALL = (60.0, 45.0)
FINE = replace(PENCIL, dpi=600.0)
SCANS = [  # hand, mean and 95th percentile, seed not used in tuning
    pytest.param(INK, 0.013, 0.035, 11, id="ink 300"),
    pytest.param(PENCIL, 0.02, 0.05, 12, id="pencil 300"),
]


def distances(found, truth) -> np.ndarray:
    """Symmetric distances of points 0.2 mm apart."""

    def one_way(a, b):
        whole = MultiLineString([LineString(v) for v in b])
        shapely.prepare(whole)
        points = [
            shapely.line_interpolate_point(line, np.arange(0.1, line.length, 0.2))
            for line in (LineString(v) for v in a)
        ]
        return shapely.distance(np.concatenate(points), whole)

    return np.concatenate([one_way(found, truth), one_way(truth, found)])


def fields(lines):
    return [
        f
        for f in polygonize(unary_union([LineString(v) for v in lines]))
        if not f.buffer(-0.6).is_empty
    ]


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize(("hand", "mean", "most", "seed"), SCANS)
def test_centre_lines(tmp_path, family, hand, mean, most, seed):
    art = FAMILIES[family](seed, size=SMALL)
    save(sheet(art, replace(hand, seed=seed)), tmp_path / "a.png", dpi=hand.dpi)
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    off = distances(drawing.lines, art.lines)
    near = off[off < 0.5]
    assert near.mean() <= mean
    assert np.percentile(near, 95) <= most
    assert (off >= 0.5).mean() < 0.01  # stray and missing line together


def test_600_dpi(tmp_path):
    art = rosette(13, size=(40.0, 30.0))
    save(sheet(art, FINE), tmp_path / "a.png", dpi=600)
    off = distances(
        redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing.lines, art.lines
    )
    assert off.mean() <= 0.01
    assert np.percentile(off, 95) <= 0.03


@pytest.mark.parametrize(("seed", "bow"), [(14, -0.04), (15, 0.03)])
def test_photo_with_tilt_bow_and_shadow(tmp_path, seed, bow):
    art = vine(seed, size=SMALL)
    grey, offset, apart = photo(art, INK, Camera(seed=seed, toward=40.0 * seed, bow=bow))
    save(grey, tmp_path / "a.png", dpi=None)
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), marks=apart).drawing
    off = distances([line - offset for line in drawing.lines], art.lines)
    assert off.mean() <= 0.04
    assert np.percentile(off, 95) <= 0.09
    found, truth = np.vstack(drawing.lines), np.vstack(art.lines)
    assert np.ptp(found, axis=0) == pytest.approx(np.ptp(truth, axis=0), rel=0.001)


@pytest.mark.parametrize("turn", [1, 2])
def test_a_turned_photo_is_fine(tmp_path, turn):
    art = vine(16, size=SMALL)
    grey, _, apart = photo(art, INK, Camera(seed=16))
    save(np.ascontiguousarray(np.rot90(grey, turn)), tmp_path / "a.png", dpi=None)
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), marks=apart).drawing
    assert (drawing.width, drawing.height) == apart
    assert len(fields(drawing.lines)) == len(fields(art.lines))


@pytest.mark.parametrize("degrees", [-3.0, 1.5])
def test_a_skewed_scan_is_set_straight(tmp_path, degrees):
    art = lattice(17, size=SMALL)
    save(sheet(art, replace(INK, skew=degrees)), tmp_path / "a.png")
    askew = Art(
        size=art.size,
        lines=tuple(turned(art.size, degrees, v) for v in art.lines),
        widths=art.widths,
    )
    left = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert distances(left.lines, askew.lines).mean() <= 0.013
    straight = redraw_scan(tmp_path / "a.png", sheet=Sheet()).drawing
    assert distances(straight.lines, art.lines).mean() <= 0.02


def test_breaks_close_and_are_listed(tmp_path):
    gap, width = 0.8, 0.5
    row = np.array([(4.0, 20.0), (56.0, 20.0)])
    left, right = row.copy(), row.copy()
    left[1, 0], right[0, 0] = (
        30 - gap / 2 - width / 2,
        30 + gap / 2 + width / 2,
    )  # round ends reach half a width in
    art = Art(size=SMALL, lines=(plain_border(SMALL), left, right), widths=(width,) * 3)
    save(sheet(art, INK), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet()).drawing
    assert len(fields(drawing.lines)) == 2
    (closed,) = drawing.closed
    assert closed.at == pytest.approx((30, 20), abs=0.1)
    assert closed.length == pytest.approx(gap, abs=0.15)
    apart = redraw_scan(tmp_path / "a.png", sheet=Sheet(), gap=0.5).drawing
    assert apart.closed == ()


@pytest.mark.parametrize("hand", [INK, PENCIL], ids=["ink", "pencil"])
def test_a_doubled_stroke_is_left_out_and_told(tmp_path, hand):
    row = np.array([(4.0, 20.0), (56.0, 20.0)])
    slipped = np.array([(20.0, 20.75), (38.0, 20.7)])
    art = Art(size=SMALL, lines=(plain_border(SMALL), row, slipped), widths=(0.4,) * 3)
    save(sheet(art, replace(hand, breaks=0.0)), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert [s.what for s in drawing.skipped] == ["a stroke at 29, 21 mm"]
    assert distances(drawing.lines, art.lines[:2]).max() < 0.5


@pytest.mark.parametrize("cap", ["round", "butt"])
def test_ends_are_where_the_pen_stopped(tmp_path, cap):
    line = np.array([(12.0, 20.0), (40.0, 24.0)])
    art = Art(size=SMALL, lines=(plain_border(SMALL), line), widths=(0.5, 0.6))
    save(sheet(art, Hand(cap=cap)), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet()).drawing
    (found,) = [v for v in drawing.lines if v[:, 0].min() > 10 and v[:, 0].max() < 45]
    ends = found[[0, -1]][np.argsort(found[[0, -1], 0])]
    assert ends == pytest.approx(line, abs=0.1)  # half a width is 0.3 mm


def test_mirrored_film(tmp_path):
    art = vine(18, size=SMALL)
    save(sheet(art, INK)[:, ::-1], tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), mirrored=True, straight=False).drawing
    shift = drawing.width - SMALL[0]  # whole pixels
    assert distances(drawing.lines, [v + np.array((shift, 0)) for v in art.lines]).mean() <= 0.035


def test_two_runs_give_the_same(tmp_path):
    save(sheet(rosette(19, size=(40.0, 30.0)), PENCIL), tmp_path / "a.png")
    one, other = (redraw_scan(tmp_path / "a.png", sheet=Sheet()).drawing for _ in range(2))
    assert all(np.array_equal(a, b) for a, b in zip(one.lines, other.lines, strict=True))
