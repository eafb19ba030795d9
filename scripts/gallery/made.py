"""What the tool makes of one piece of the gallery: its report, and its proof small enough for a page."""

import io
import json
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from filigree.units import counted

WIDTHS = (900, 800, 700, 600)  # pixels across
LARGEST = 150_000  # bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What the tool says of one piece."""

    picture: bytes
    report: dict


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


def said(report: dict) -> str:
    """The findings in one line."""
    widths = [b["width_mm"] for b in report["bridges"]]
    verdict = "Meets the limits" if report["holds"] else "Does not meet the limits"
    stops = sum(f["severity"] == "stop" for f in report["findings"])
    narrow = f", narrowest bridge {int(min(widths) * 100) / 100:.2f} mm" if widths else ""
    count = f"{counted(stops, 'stop')}, " if stops else ""
    cautions = counted(len(report["findings"]) - stops, "caution")
    return f"{verdict}: {counted(len(report['openings']), 'opening')}{narrow}; {count}{cautions}."
