"""Two pieces that start on paper: a pencil tracing that was scanned, and one that a phone took.

Run as `python -m scripts.gallery.traced`; writes `gallery/knot-scan/` and `gallery/waves-photo/` with the overlays of
`filigree redraw`. The sheets carry the lines of two other pieces, drawn and worn by the generators of the tests.
"""

import io
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

from PIL import Image

from filigree.drawing.svg import read_svg
from filigree.job import Sheet
from scripts.gallery.made import make, said
from tests.make.scan_art import Art
from tests.make.scans import PENCIL, Camera, photo, sheet

GALLERY = Path(__file__).resolve().parents[2] / "gallery"
DPI = 200.0
STROKE = 0.45  # mm
ACROSS = 900  # pixels of the pictures kept


def lines_of(name: str) -> Art:
    """The lines of a piece of the gallery, as a hand would trace them."""
    drawing = read_svg(GALLERY / name / f"{name}.svg", sheet=Sheet())
    return Art(
        size=(drawing.width, drawing.height),
        lines=drawing.lines,
        widths=(STROKE,) * len(drawing.lines),
    )


def knot_scan() -> bytes:
    """A pencil tracing of the knot, scanned; JPEG."""
    picture = Image.fromarray(sheet(lines_of("interlace"), replace(PENCIL, dpi=DPI, breaks=0.5)))
    buffer = io.BytesIO()
    picture.save(buffer, "JPEG", quality=80, optimize=True, dpi=(DPI, DPI))
    return buffer.getvalue()


def waves_photo() -> bytes:
    """A tracing of the waves between four corner marks, taken by a phone under a lamp; JPEG."""
    picture, _, _ = photo(lines_of("book-cover"), camera=Camera(seed=3, per_mm=8.0))
    buffer = io.BytesIO()
    Image.fromarray(picture).save(buffer, "JPEG", quality=80, optimize=True)
    return buffer.getvalue()


def apart(art: Art) -> str:
    """The `--marks` of the photo: middle to middle of the corner marks."""
    return "x".join(f"{side + 16:g}" for side in art.size)


def redrawn(art: Path, options: list[str]) -> bytes:
    """The overlay of `filigree redraw`: the lines found, over the sheet; small PNG."""
    with tempfile.TemporaryDirectory() as holder:
        lines = Path(holder) / "lines.svg"
        subprocess.run(
            [sys.executable, "-m", "filigree", "redraw", str(art), "-o", str(lines), *options],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        overlay = Image.open(lines.with_suffix(".png")).convert("RGB")
    overlay.thumbnail((ACROSS, ACROSS))
    buffer = io.BytesIO()
    overlay.quantize(32, dither=Image.Dither.NONE).save(buffer, "PNG", optimize=True)
    return buffer.getvalue()


def main(folder: Path = GALLERY) -> list[str]:
    """Write both sheets, overlays and proofs; gives their sections of the gallery's page."""
    marks = apart(lines_of("book-cover"))
    sections = []
    for name, title, data, options in (
        ("knot-scan", "The knot, from a scan", knot_scan(), []),
        ("waves-photo", "The waves, from a photo", waves_photo(), ["--marks", marks]),
    ):
        place = folder / name
        art = place / f"{name}.jpg"
        place.mkdir(parents=True, exist_ok=True)
        art.write_bytes(data)
        (place / "overlay.png").write_bytes(redrawn(art, options))
        made = make(art)
        (place / "proof.png").write_bytes(made.picture)
        sections.append(
            f"""## {title}

![The lines found, over the sheet]({name}/overlay.png)

![Proof: {title}]({name}/proof.png)

{(place / "story.md").read_text(encoding="utf-8").strip()}

```console
$ scripts/run make gallery/{name}/{name}.jpg
```

{said(made.report)}
"""
        )
    return sections


if __name__ == "__main__":
    main()
