"""Density of scans. "row n" is row n of the check table; a format's fields are those of its specification."""

import numpy as np
import pytest
from PIL import Image

from filigree.drawing.read import read
from filigree.drawing.scan import Measured, redraw_scan
from filigree.drawing.scan.density import densities
from filigree.drawing.scan.frame import homography, through
from filigree.drawing.scan.input import load
from filigree.drawing.scan.scale import scan_frame
from filigree.errors import FiligreeError
from filigree.job import Job, Sheet
from filigree.job.sections import Reading
from tests.make.scan_art import lattice
from tests.make.scans import INK, save, sheet

SMALL = (30.0, 22.0)


def png_with_phys(path, per_unit, unit, size=(300, 300)):
    """A PNG whose pHYs holds these very numbers."""
    import struct
    import zlib

    Image.new("L", size, 255).save(path)
    data = path.read_bytes()
    body = b"pHYs" + struct.pack(">IIB", per_unit[0], per_unit[1], unit)
    chunk = struct.pack(">I", 9) + body + struct.pack(">I", zlib.crc32(body))
    path.write_bytes(data[:33] + chunk + data[33:])


def jpeg_with_jfif(path, density, unit):
    """A JPEG whose APP0 holds these very numbers."""
    Image.new("L", (64, 64), 255).save(path)
    data = bytearray(path.read_bytes())
    at = data.index(b"JFIF\0") + 7
    data[at] = unit
    data[at + 1 : at + 5] = density.to_bytes(2, "big") * 2
    path.write_bytes(bytes(data))


def stated(path):
    with Image.open(path) as image:
        return densities(image)


@pytest.mark.parametrize(
    ("per_metre", "unit", "dpi"),
    [
        pytest.param(11811, 1, 299.9994, id="row 25"),
        pytest.param(11811, 0, None, id="row 26, a ratio is no density"),
        pytest.param(2835, 1, None, id="72 dpi means nothing"),
        pytest.param(3780, 1, None, id="96 dpi means nothing"),
        pytest.param(23622, 1, 599.9988, id="600 dpi"),
        pytest.param(0, 1, None, id="zero"),
    ],
)
def test_png_density(tmp_path, per_metre, unit, dpi):
    png_with_phys(tmp_path / "a.png", (per_metre, per_metre), unit)
    found = stated(tmp_path / "a.png")
    assert [d.x for d in found] == ([] if dpi is None else [pytest.approx(dpi, abs=1e-4)])


@pytest.mark.parametrize(
    ("density", "unit", "dpi"),
    [
        pytest.param(118, 2, 299.72, id="row 27, to a centimetre"),
        pytest.param(300, 0, None, id="row 28, a ratio is no density"),
        pytest.param(300, 1, 300.0, id="to an inch"),
    ],
)
def test_jfif_density(tmp_path, density, unit, dpi):
    jpeg_with_jfif(tmp_path / "a.jpg", density, unit)
    found = stated(tmp_path / "a.jpg")
    assert [d.x for d in found] == ([] if dpi is None else [pytest.approx(dpi, abs=0.01)])


def test_tiff_density_to_a_centimetre(tmp_path):
    Image.new("L", (64, 64)).save(
        tmp_path / "a.tif", resolution_unit=3, x_resolution=118.11, y_resolution=118.11
    )
    assert stated(tmp_path / "a.tif")[0].x == pytest.approx(300.0, abs=0.01)  # row 29


def test_a4_at_300_dpi(tmp_path):
    png_with_phys(tmp_path / "a.png", (11811, 11811), 1, size=(2480, 3508))
    frame = scan_frame(load(tmp_path / "a.png"), sheet=Sheet(), scale=None)
    assert (frame.width, frame.height) == pytest.approx(
        (210, 297), abs=25.4 / 300
    )  # row 30, a pixel


def test_axes_apart(tmp_path):
    Image.new("L", (300, 300)).save(tmp_path / "a.tif", dpi=(300, 150))
    frame = scan_frame(load(tmp_path / "a.tif"), sheet=Sheet(), scale=None)
    assert (frame.width, frame.height) == pytest.approx((25.4, 50.8), abs=1e-6)  # row 33


def test_homography_is_projective():
    seen = np.array([[0, 0], [2, 0], [1.5, 1], [0.5, 1.0]])
    matrix = homography(np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]]), seen)
    assert through(matrix, np.array([[0.5, 0.5]]))[0] == pytest.approx(
        (1, 2 / 3), abs=1e-9
    )  # row 32


def two_densities(path):
    exif = Image.Exif()
    exif[282], exif[283], exif[296] = 200.0, 200.0, 2
    drawn = sheet(lattice(5, size=SMALL), INK)
    Image.fromarray(drawn).save(path, dpi=(300, 300), exif=exif, quality=95)


def test_a_conflict_is_told(tmp_path):
    two_densities(tmp_path / "a.jpg")
    drawing = redraw_scan(tmp_path / "a.jpg", sheet=Sheet()).drawing
    assert drawing.width == pytest.approx(SMALL[0], abs=25.4 / 300)
    assert drawing.scale_from == "300 dpi (JFIF), against 200 dpi (EXIF)"
    assert [s.what for s in drawing.skipped] == ["a scale of 200 dpi (EXIF)"]


def test_a_conflict_does_not_matter_when_the_size_is_given(tmp_path):
    two_densities(tmp_path / "a.jpg")
    drawing = redraw_scan(tmp_path / "a.jpg", sheet=Sheet(width=45)).drawing
    assert drawing.width == pytest.approx(45)
    assert drawing.skipped == ()


@pytest.mark.parametrize(
    ("dpi", "known"),
    [((204, 98), True), ((300, 30), False), ((300, 72), False), ((96, 300), False)],
)
def test_both_axes_must_make_sense(tmp_path, dpi, known):
    Image.new("L", (64, 64)).save(tmp_path / "a.tif", dpi=dpi)
    assert [(d.x, d.y) for d in stated(tmp_path / "a.tif")] == ([dpi] if known else [])


def test_the_most_pixels_read_can_be_set(tmp_path):
    Image.new("L", (1200, 1000), 255).save(tmp_path / "a.png")
    with pytest.raises(FiligreeError, match=r"1200 x 1000 pixels .* limit of 1 million"):
        load(tmp_path / "a.png", most_mp=1.0)
    assert load(tmp_path / "a.png", most_mp=1.2).size == (1200, 1000)


def test_the_job_says_how_many_pixels(tmp_path):
    save(sheet(lattice(5, size=SMALL), INK), tmp_path / "a.png")
    job = Job(reading=Reading(pixels_mp=0.05))
    with pytest.raises(FiligreeError, match=r"limit of 0.05 million .* pixels_mp"):
        read(tmp_path / "a.png", job)
    assert read(tmp_path / "a.png", Job()).lines


def test_two_points_and_a_length(tmp_path):
    Image.new("L", (400, 200)).save(tmp_path / "a.png")
    known = Measured(start=(100, 50), end=(300, 50), length=50)
    frame = scan_frame(load(tmp_path / "a.png"), sheet=Sheet(), scale=known)
    assert (frame.width, frame.height) == pytest.approx((100, 50))


FORMATS = [
    ("a.png", "L"), ("a.png", "RGB"), ("a.png", "P"), ("a.png", "RGBA"), ("a.png", "LA"), ("a.png", "I;16"),
    ("a.jpg", "L"), ("a.jpg", "RGB"), ("a.jpg", "CMYK"), ("a.tif", "L"), ("a.tif", "RGB"), ("a.tif", "I;16"),
    ("a.tif", "CMYK"), ("a.bmp", "L"), ("a.bmp", "RGB"), ("a.webp", "RGB"),
]  # fmt: skip


@pytest.fixture(scope="module")
def grey():
    return sheet(lattice(5, size=SMALL), INK)


@pytest.mark.parametrize(("name", "mode"), FORMATS)
def test_formats_read_to_the_same_lines(tmp_path, grey, name, mode):
    save(grey, tmp_path / "plain.png")
    plain = redraw_scan(tmp_path / "plain.png", sheet=Sheet()).drawing
    image = (
        Image.fromarray(grey.astype(np.uint16) * 257)
        if mode == "I;16"
        else Image.fromarray(grey).convert(mode)
    )
    more = {"quality": 98} if name.endswith(("jpg", "webp")) else {}
    image.save(tmp_path / name, dpi=(300, 300), **more)
    sized = (
        Sheet(width=grey.shape[1] * 25.4 / 300) if name.endswith("webp") else Sheet()
    )  # WebP has no field but EXIF
    read = redraw_scan(tmp_path / name, sheet=sized).drawing
    assert len(read.lines) == len(plain.lines)
    for one, other in zip(read.lines, plain.lines, strict=True):
        assert one[[0, -1]] == pytest.approx(other[[0, -1]], abs=0.03)


def test_one_bit_reads_too(tmp_path, grey):
    Image.fromarray(grey).convert("1", dither=Image.Dither.NONE).save(
        tmp_path / "a.tif", dpi=(300, 300)
    )
    assert len(redraw_scan(tmp_path / "a.tif", sheet=Sheet()).drawing.lines) > 5


@pytest.mark.parametrize("turn", range(2, 9))
def test_exif_orientation_is_applied_first(tmp_path, grey, turn):
    from filigree.drawing.scan.input import UPRIGHT

    undo = {6: 8, 8: 6}.get(turn, turn)
    exif = Image.Exif()
    exif[274] = turn
    Image.fromarray(grey).transpose(UPRIGHT[undo]).save(
        tmp_path / "a.jpg", quality=100, dpi=(300, 300), exif=exif
    )
    assert np.abs(np.asarray(load(tmp_path / "a.jpg").grey).astype(int) - grey).max() < 12
