"""`filigree redraw`: a scan or photo of a tracing to clean line art in mm."""

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from filigree.cli import HOLDS
from filigree.cli.job_options import FILE, sides_of
from filigree.cli.printing import progress, say
from filigree.cli.single import write_files
from filigree.cli.usage import readable, sought
from filigree.errors import FiligreeError

if TYPE_CHECKING:
    from filigree.drawing.scan import Measured, Redrawn
    from filigree.job import Sheet

_NUMBER = r"\s*(-?\d+(?:\.\d+)?)\s*"
_SCALE = re.compile(rf"^{_NUMBER},{_NUMBER}[ ;]{_NUMBER},{_NUMBER}[ ;](.+)$")


@click.command("redraw")
@click.argument("scan", type=FILE, required=False)
@click.option(
    "-o",
    "out",
    type=FILE,
    metavar="LINES.svg",
    help="File to write; default: NAME-lines.svg, here.",
)
@click.option("--width", metavar="LENGTH", help="Width of the whole picture.")
@click.option("--height", metavar="LENGTH", help="Height of the whole picture.")
@click.option(
    "--art-width", metavar="LENGTH", help="Width of what is drawn, instead of the picture."
)
@click.option(
    "--art-height", metavar="LENGTH", help="Height of what is drawn, instead of the picture."
)
@click.option(
    "--marks", metavar="WxH", help="Photo: mm between the middles of the four corner marks."
)
@click.option(
    "--scale", metavar="'X,Y X,Y LENGTH'", help="Two points, pixels, and the length between them."
)
@click.option(
    "--straight",
    type=click.Choice(["on", "off"]),
    default="on",
    help="Turn the border parallel to the page.",
)
@click.option("--mirrored", is_flag=True, help="The film lay face down.")
@click.option(
    "--gap",
    metavar="LENGTH",
    default="1 mm",
    help="Widest break in a line that is closed; default 1 mm.",
)
@click.option(
    "--marks-sheet",
    "paper",
    metavar="PAPER",
    help="Write a sheet with corner marks to print: A5, A4, A3, letter, legal.",
)
def command(
    *,
    scan: Path | None,
    out: Path | None,
    width: str | None,
    height: str | None,
    art_width: str | None,
    art_height: str | None,
    marks: str | None,
    scale: str | None,
    straight: str,
    mirrored: bool,
    gap: str,
    paper: str | None,
) -> int:
    """Turn SCAN, a scan or photo of a tracing, into clean line art in mm.

    Beside the lines a picture shows them over the scan. Hatching, stipple, crosses and shading are kept as marks.

    Example: filigree redraw tracing.png -o lines.svg
    """
    if paper is not None:
        return _sheet(paper, out)
    if scan is None:
        raise FiligreeError(
            "no scan is named",
            remedy="name one, or print a sheet with --marks-sheet A4",
            where="redraw",
        )
    target = out or Path(f"{scan.stem}-lines.svg")
    if target.suffix.lower() != ".svg":
        raise FiligreeError(
            f"'{target.name}' does not end in .svg", remedy="name it LINES.svg", where="-o"
        )
    readable(sought(scan))
    from filigree.drawing.scan import redraw_scan  # heavy, so only here
    from filigree.output.lines import LINES_DESC, OVERLAY_TITLE, lines_svg, overlay_png
    from filigree.units import is_nothing, parse_length

    with progress() as tell:
        redrawn = redraw_scan(
            scan,
            sheet=_page(width=width, height=height, art_width=art_width, art_height=art_height),
            marks=None if marks is None else sides_of(marks, where="--marks"),
            scale=None if scale is None else _scale(scale),
            straight=straight == "on",
            mirrored=mirrored,
            gap=0.0 if is_nothing(gap) else parse_length(gap, where="--gap"),
            tell=tell,
        )
        shown = _beside(target, scan)
        write_files(
            {target: lines_svg(redrawn), shown: overlay_png(redrawn)},
            ours=(LINES_DESC, OVERLAY_TITLE),
        )
    say(_told(redrawn, target, shown))
    return HOLDS


def _sheet(paper: str, out: Path | None) -> int:
    from filigree.output.marks_sheet import (
        SHEET_TITLE,
        marks_sheet,
        marks_sheet_pdf,
        marks_sheet_svg,
    )

    target = out or Path(f"marks-{paper}.pdf")
    sheet = marks_sheet(paper)
    writers = {".svg": marks_sheet_svg, ".pdf": marks_sheet_pdf}
    if target.suffix.lower() not in writers:
        raise FiligreeError(
            f"'{target.name}' is neither .svg nor .pdf", remedy="name it marks.pdf", where="-o"
        )
    write_files({target: writers[target.suffix.lower()](paper)}, ours=(SHEET_TITLE,))
    say(
        f"{click.format_filename(target)}: print at 100 %; then use --marks {sheet.apart[0]:g}x{sheet.apart[1]:g}."
    )
    return HOLDS


def _page(**lengths: str | None) -> "Sheet":
    from filigree.job import Sheet
    from filigree.units import parse_length

    asked: dict[str, Any] = {
        name: parse_length(text, where="--" + name.replace("_", "-"))
        for name, text in lengths.items()
        if text is not None
    }
    return Sheet(**asked)


def _scale(text: str) -> "Measured":
    from filigree.drawing.scan import Measured
    from filigree.units import parse_length

    found = _SCALE.match(text.strip())
    if not found:
        raise FiligreeError(
            f"'{text[:60]}' is not two points and a length",
            remedy="write it like '120,340 1301,340 100mm'",
            where="--scale",
        )
    x1, y1, x2, y2 = (float(v) for v in found.groups()[:4])
    return Measured(start=(x1, y1), end=(x2, y2), length=parse_length(found[5], where="--scale"))


def _beside(target: Path, scan: Path) -> Path:
    """Name of the picture: that of the lines, unless it is the scan itself."""
    shown = target.with_suffix(".png")
    return (
        shown
        if shown.resolve() != scan.resolve()
        else target.with_name(f"{target.stem}-overlay.png")
    )


def _told(redrawn: "Redrawn", target: Path, shown: Path) -> str:
    from filigree.units import counted

    drawing = redrawn.drawing
    facts = [
        f"{drawing.width:.1f} x {drawing.height:.1f} mm, scale from {drawing.scale_from}; "
        + counted(len(redrawn.paths), "line")
    ]
    if drawing.closed:
        facts.append(f"{counted(len(drawing.closed), 'gap')} closed")
    if drawing.marks:
        facts.append(f"{counted(len(drawing.marks), 'place')} marked")
    facts += [f"left out: {s.what} ({s.why})" for s in drawing.skipped]
    names = (click.format_filename(p) for p in (target, shown))
    return "; ".join(facts) + ".\nThe lines are in {}; {} shows them over the scan.".format(*names)
