"""Photos as a newcomer takes them: ruled and squared paper, blue ink, crumpled paper, strong JPEG, few pixels.

Limits are those of photos; the ruling is 0.22 dark against 0.85 of the pen.
"""

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from filigree.drawing.scan import redraw_scan
from filigree.job import Sheet
from tests.make.scan_art import vine
from tests.make.scans import INK, Camera, Marked, photo, save, sheet
from tests.scan.test_roads import distances

ART = vine(8, size=(60.0, 45.0))


@pytest.fixture(scope="module")
def shot():
    return photo(ART, INK, Camera(seed=8))


def ruled(grey):
    at = np.arange(grey.shape[0])[:, None] % 55 < 2
    return grey * (1 - 0.22 * at)


def squared(grey):
    at = np.arange(grey.shape[1])[None] % 55 < 2
    return ruled(grey) * (1 - 0.22 * at)


def crumpled(grey):
    folds = np.random.default_rng(3).normal(0, 1, (7, 9))
    zoomed = ndimage.zoom(folds, (grey.shape[0] / 7 + 0.01, grey.shape[1] / 9 + 0.01), order=1)
    fold = zoomed[: grey.shape[0], : grey.shape[1]]
    return grey * (1 - 0.3 * np.abs(fold) / np.abs(fold).max())


def blue(grey):
    ink = np.array([0.15, 0.25, 0.8]) * 0.6
    return 255 * (ink + (1 - ink) * (grey / 255)[..., None])


UGLY = [  # what is done to the photo, quality, lines said to be left out
    pytest.param(ruled, 85, True, id="ruled paper"),
    pytest.param(squared, 85, True, id="squared paper"),
    pytest.param(crumpled, 85, False, id="crumpled paper"),
    pytest.param(blue, 85, False, id="blue ballpoint"),
    pytest.param(lambda g: g, 40, False, id="strong JPEG"),
]


@pytest.mark.parametrize(("spoil", "quality", "faint"), UGLY)
def test_an_ugly_photo(tmp_path, shot, spoil, quality, faint):
    grey, offset, apart = shot
    picture = np.uint8(np.clip(spoil(grey.astype(float)), 0, 255))
    Image.fromarray(picture).save(tmp_path / "a.jpg", quality=quality)
    drawing = redraw_scan(tmp_path / "a.jpg", sheet=Sheet(), marks=apart).drawing
    off = distances([line - offset for line in drawing.lines], ART.lines)
    assert off.mean() <= 0.04
    assert np.percentile(off, 95) <= 0.09
    assert any("faint" in s.what for s in drawing.skipped) == faint


def test_few_pixels_still_give_the_lines(tmp_path, shot):
    grey, offset, apart = shot
    half = Image.fromarray(grey).resize(
        (grey.shape[1] // 2, grey.shape[0] // 2), Image.Resampling.BOX
    )
    half.save(tmp_path / "a.jpg", quality=85)
    drawing = redraw_scan(tmp_path / "a.jpg", sheet=Sheet(), marks=apart).drawing
    off = distances([line - offset for line in drawing.lines], ART.lines)
    assert off.mean() <= 0.04  # 5 pixels to a mm


def test_pencil_hatching_in_an_ink_drawing_is_no_ruling(tmp_path):
    strokes = tuple(np.array([(x, 8.0), (x - 3, 14.0)]) for x in np.arange(10.0, 24.0, 1.6))
    frame = np.array([(4.0, 4.0), (28.0, 4.0), (28.0, 18.0), (4.0, 18.0), (4.0, 4.0)])
    art = type(ART)(size=(32.0, 22.0), lines=(frame,), widths=(0.5,))
    ink = sheet(art, INK)
    pencil = sheet(type(ART)(size=(32.0, 22.0), lines=(), widths=()), INK, Marked(lines=strokes))
    save(np.minimum(ink, 255 - (255 - pencil) // 2), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert [m.how for m in drawing.marks] == ["hatched"]
    assert ["read as marks" in s.why for s in drawing.skipped] == [True]  # and none as faint
