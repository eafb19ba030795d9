"""Every piece of the gallery by name: its drawing, its proof picture, its place in the gallery's page."""

import importlib
import io
import json
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from scripts.gallery.sheet import Sheet

NAMES = (
    "bracer",
    "belt",
    "satchel",
    "book-cover",
    "mask",
    "interlace",
    "silhouette",
    "emblem",
    "vine",
)
WIDTHS = (900, 800, 700, 600)  # pixels across
LARGEST = 150_000  # bytes
HEAD = """# Gallery

Props of the Withyhollow workshop, which outfits a touring company's play about a river court. Every drawing is our own,
drawn by a script in `scripts/gallery/`; `scripts/gallery/build` redraws them all, makes the pictures and this page.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What the tool says of one piece."""

    picture: bytes
    report: dict


def sheet(name: str) -> Sheet:
    """Draw one piece."""
    drawn = importlib.import_module(f"scripts.gallery.{name.replace('-', '_')}").sheet()
    if not isinstance(drawn, Sheet):
        raise TypeError(f"{name} draws no sheet")
    return drawn


def main(names: Sequence[str], folder: Path) -> int:
    """Redraw the pieces named (all without names) below `folder`, their pictures and the page."""
    sections = []
    for name in names or NAMES:
        place = folder / name
        drawn = sheet(name)
        _write(place / f"{name}.svg", drawn.svg().encode())
        made = make(place / f"{name}.svg")
        _write(place / "proof.png", made.picture)
        sections.append(
            section(drawn, (place / "story.md").read_text(encoding="utf-8"), made.report)
        )
        print(f"gallery/{name}: {said(made.report)}")
    if not names:
        from scripts.gallery import traced  # it needs this module

        sections += traced.main(folder)
        _write(folder / "README.md", "\n".join([HEAD, *sections]).encode())
    return 0


def make(art: Path) -> Made:
    """Run the tool on a drawing with the job beside it; the proof made small, and the report."""
    with tempfile.TemporaryDirectory() as place:
        out = Path(place) / "cut"
        command = [sys.executable, "-m", "filigree", "make", str(art), "-o", str(out)]
        done = subprocess.run(command, check=False, capture_output=True, text=True)
        if done.returncode not in (0, 1):
            raise RuntimeError(done.stderr)
        report = json.loads((out / "report.json").read_text(encoding="utf-8"))
        return Made(picture=small((out / "proof.png").read_bytes()), report=report)


def small(png: bytes) -> bytes:
    """The picture, small and with few enough colours to stay under `LARGEST`."""
    picture = Image.open(io.BytesIO(png)).convert("RGB")
    for across in WIDTHS:
        high = round(picture.height * across / picture.width)
        smaller = picture.resize((across, high), Image.Resampling.LANCZOS)
        for colours in (32, 16):
            out = io.BytesIO()
            method, dither = Image.Quantize.MEDIANCUT, Image.Dither.NONE
            few = smaller.quantize(colours, method=method, dither=dither)
            few.save(out, "PNG", optimize=True)
            if out.tell() <= LARGEST:
                return out.getvalue()
    raise ValueError("the proof does not fit into the size wanted")


def section(drawn: Sheet, story: str, report: dict) -> str:
    """One piece on the gallery's page."""
    return f"""## {drawn.title}

![Proof: {drawn.title}]({drawn.name}/proof.png)

{story.strip()}

```console
$ scripts/run make gallery/{drawn.name}/{drawn.name}.svg
```

{drawn.says} {said(report)}
"""


def said(report: dict) -> str:
    """The findings in one line."""
    widths = [b["width_mm"] for b in report["bridges"]]
    verdict = "Meets the limits" if report["holds"] else "Does not meet the limits"
    stops = sum(f["severity"] == "stop" for f in report["findings"])
    narrow = f", narrowest bridge {int(min(widths) * 100) / 100:.2f} mm" if widths else ""
    count = f"{stops} stops, " if stops else ""
    cautions = len(report["findings"]) - stops
    return f"{verdict}: {len(report['openings'])} openings{narrow}; {count}{cautions} cautions."


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
