"""Draws gallery/hero.png, the picture at the head of README.md: one piece in two colourways.

Run from the project's folder: python -m scripts.gallery.hero
"""

import io
import tempfile
from pathlib import Path

from PIL import Image

from filigree.cli import main

GALLERY = Path(__file__).resolve().parents[2] / "gallery"
HEAD, ROW = 0.062, 0.381  # of the width: end of the title, end of the pictures of the first row
SIDE = 1400  # pixels across
SHADES = 64  # keeps the file under 200 kB


def hero() -> bytes:
    """Draw the colourways, keep the row of pictures, and give it as PNG."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "colours"
        art = str(GALLERY / "bracer" / "bracer.svg")
        words = ["colours", art, "--faces", "natural", "--inlays", "navy,red", "-o", str(out)]
        if main(words) != 0:
            raise SystemExit("the colourways were not drawn")
        with Image.open(out / "colours.png") as whole:
            row = whole.crop(
                (0, round(HEAD * whole.width), whole.width, round(ROW * whole.width))
            ).convert("RGB")
    small = row.resize((SIDE, round(SIDE * row.height / row.width)), Image.Resampling.LANCZOS)
    stream = io.BytesIO()
    small.quantize(SHADES, dither=Image.Dither.NONE).save(stream, "PNG", optimize=True)
    return stream.getvalue()


if __name__ == "__main__":
    (GALLERY / "hero.png").write_bytes(hero())
