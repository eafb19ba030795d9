"""Pictures that are no scan: cut off, swollen, or said to be what they are not."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from tests.robust.running import make, refused


def encoded(kind, *, mode="L", size=(120, 90), **settings):
    rng = np.random.default_rng(1)
    flat = Image.fromarray(rng.integers(0, 256, (*size[::-1], 3)).astype(np.uint8)).convert(mode)
    kept = io.BytesIO()
    flat.save(kept, kind, **settings)
    return kept.getvalue()


def png(width, height, *, depth=8, colour=0, density=None, data=b"\0" * 10):
    """A PNG whose head claims anything."""
    chunks = [b"IHDR" + struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)]
    if density is not None:
        chunks.append(b"pHYs" + struct.pack(">IIB", *density, 1))
    chunks += [b"IDAT" + zlib.compress(data), b"IEND"]
    packed = [struct.pack(">I", len(c) - 4) + c + struct.pack(">I", zlib.crc32(c)) for c in chunks]
    return b"\x89PNG\r\n\x1a\n" + b"".join(packed)


def white(*density):
    return png(200, 100, density=density, data=(b"\0" + b"\xff" * 200) * 100)


BAD = {
    "40,000 each way": png(40_000, 40_000),
    "one long row": png(2**31 - 1, 1),
    "no width": png(0, 10),
    "no pixel": png(0, 0),
    "one pixel": png(1, 1, data=b"\0\0"),
    "unknown depth": png(50, 50, depth=3),
    "unknown colour": png(50, 50, colour=9),
    "too little data": png(50, 50),
    "swelling data": png(9_000, 9_000, data=bytes(20_000_000)),
    "density of nothing": white(0, 0),
    "density of one": white(1, 1),
    "absurd density": white(2**31 - 1, 2**31 - 1),
    "uneven density": white(1, 2**31 - 1),
    "head only": b"\x89PNG\r\n\x1a\n",
    "noise after the head": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4,
    "jpeg head": b"\xff\xd8\xff\xe0",
    "bmp head": b"BM" + bytes(60),
    "riff of nothing": b"RIFF\0\0\0\0WEBP",
    "riff of sound": b"RIFF\x24\0\0\0WAVEfmt ",
    "tiff without pictures": b"II*\0\x08\0\0\0\0\0\0\0\0\0",
    "tiff in a circle": b"II*\0\x08\0\0\0\0\0\x08\0\0\0",
    "tiff far away": b"MM\0*\xff\xff\xff\xf0",
}
WHOLE = {
    kind: encoded(kind, mode="RGB" if kind in {"JPEG", "WEBP"} else "L")
    for kind in ("PNG", "JPEG", "TIFF", "BMP", "WEBP")
}


@pytest.mark.parametrize("data", BAD.values(), ids=BAD.keys())
def test_refused(tmp_path, capsys, data):
    art = tmp_path / "scan.png"
    art.write_bytes(data)
    refused(tmp_path, capsys, make(tmp_path, art, "--width", "50"))


@pytest.mark.parametrize("share", [0.02, 0.2, 0.5, 0.8])
@pytest.mark.parametrize("kind", WHOLE)
def test_a_picture_cut_off_is_refused(tmp_path, capsys, kind, share):
    art = tmp_path / f"scan.{kind.lower()}"
    art.write_bytes(WHOLE[kind][: max(4, int(share * len(WHOLE[kind])))])
    refused(tmp_path, capsys, make(tmp_path, art, "--width", "50"))
