"""Pictures that cannot be read are refused in one line (bad input of scans; limits from the file headers)."""

import re
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from filigree.cli import main
from filigree.drawing.scan import redraw_scan
from filigree.errors import FiligreeError
from filigree.job import Sheet
from tests.make.scan_art import lattice, vine
from tests.make.scans import INK, photo, save, sheet

SIZED = Sheet(width=50)


def noise(path):
    rng = np.random.default_rng(1)
    Image.fromarray(rng.integers(0, 256, (500, 600)).astype(np.uint8)).save(path)


def bomb(path):
    """A PNG whose header claims 40,000 x 40,000 pixels."""
    head = b"IHDR" + struct.pack(">IIBBBBB", 40000, 40000, 8, 0, 0, 0, 0)
    data = b"IDAT" + zlib.compress(b"\0" * 10)
    chunks = [
        struct.pack(">I", len(c) - 4) + c + struct.pack(">I", zlib.crc32(c))
        for c in (head, data, b"IEND")
    ]
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(chunks))


def truncated(path):
    Image.fromarray(sheet(vine(1, size=(40, 30)), INK)).save(path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


BAD = [
    ("white.png", lambda p: Image.new("L", (400, 300), 255).save(p), "no drawn line"),
    ("black.png", lambda p: Image.new("L", (400, 300), 0).save(p), "no drawn line"),
    ("noise.png", noise, "no drawn line|only speckles"),
    ("tiny.png", lambda p: Image.new("L", (1, 1)).save(p), "only 1 x 1 pixels"),
    ("cut.png", truncated, "damaged or cut off"),
    ("bomb.png", bomb, "over the limit of 100 million"),
    (
        "float.tif",
        lambda p: Image.fromarray(np.ones((50, 50), np.float32)).save(p),
        "floating-point",
    ),
    ("name.png", lambda p: Image.new("L", (50, 50)).save(p, "JPEG"), "holds a JPEG picture"),
    ("text.png", lambda p: p.write_text("no picture"), "no PNG, JPEG"),
    ("empty.png", lambda p: p.write_bytes(b""), "the file is empty"),
    (
        "pages.tif",
        lambda p: Image.new("L", (50, 50)).save(
            p, save_all=True, append_images=[Image.new("L", (50, 50))]
        ),
        "holds 2 pictures",
    ),
]


@pytest.mark.parametrize(("name", "make", "says"), BAD)
def test_is_refused(tmp_path, name, make, says):
    make(tmp_path / name)
    with pytest.raises(FiligreeError, match=says):
        redraw_scan(tmp_path / name, sheet=SIZED)


@pytest.mark.parametrize("command", ["redraw", "make"])
@pytest.mark.parametrize(("name", "make", "says"), BAD)
def test_a_command_refuses_it_in_one_line(tmp_path, monkeypatch, capsys, command, name, make, says):
    make(tmp_path / name)
    monkeypatch.chdir(tmp_path)
    assert main([command, name, "--width", "50"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert re.search(says, told.err)
    assert [p.name for p in tmp_path.iterdir()] == [name]


SIZES = [["--width", "0"], ["--width", "-3"], ["--width", "nan"], ["--width", "1e9"], ["--marks", "0x0"],
         ["--marks", "180"], ["--scale", "1,1 1,1 100mm"], ["--scale", "1,1 5"], ["--marks", "9000x9000"]]  # fmt: skip


@pytest.mark.parametrize("asked", SIZES)
def test_a_nonsense_size_is_refused_in_one_line(tmp_path, monkeypatch, capsys, asked):
    save(sheet(lattice(1, size=(30, 22)), INK), tmp_path / "a.png")
    monkeypatch.chdir(tmp_path)
    assert main(["redraw", "a.png", *asked]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert [p.name for p in tmp_path.iterdir()] == ["a.png"]


def test_unknown_scale_offers_the_ways_out(tmp_path, monkeypatch, capsys):
    save(sheet(lattice(1, size=(30, 22)), INK), tmp_path / "a.png", dpi=None)
    monkeypatch.chdir(tmp_path)
    assert main(["redraw", "a.png"]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert all(way in told for way in ("--marks", "--width", "--scale"))
    assert [p.name for p in tmp_path.iterdir()] == ["a.png"]


@pytest.mark.parametrize("missing", [1, 4])
def test_marks_that_are_not_there(tmp_path, missing):
    grey, _, apart = photo(vine(1, size=(50, 40)), leave_out=missing)
    save(grey, tmp_path / "a.png", dpi=None)
    with pytest.raises(FiligreeError, match="corner marks"):
        redraw_scan(tmp_path / "a.png", sheet=Sheet(), marks=apart)


@pytest.mark.parametrize("size", [{"width": 0.5}, {"width": 4000, "height": 1}])
def test_nonsense_sizes(tmp_path, size):
    save(sheet(lattice(1, size=(30, 22)), INK), tmp_path / "a.png")
    with pytest.raises(FiligreeError):
        redraw_scan(tmp_path / "a.png", sheet=Sheet(**size))
