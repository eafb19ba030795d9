"""Read art of any kind: the content decides, not the name."""

from dataclasses import replace
from pathlib import Path

from filigree.drawing.model import Drawing
from filigree.errors import FiligreeError, one_line
from filigree.job import Job

IMAGES = (
    b"\x89PNG",
    b"\xff\xd8\xff",
    b"II*\x00",
    b"MM\x00*",
    b"BM",
    b"RIFF",
    b"II+\x00",
    b"MM\x00+",
)
PICTURES = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp")


def read(art: Path, job: Job) -> Drawing:
    """Read an SVG drawing, or a scan or photo of a tracing.

    Raises:
        FiligreeError: the file is missing, is not a regular file, or is neither kind of art.
    """
    try:
        if not art.is_file():
            what = "not a file" if art.exists() else "no such file"
            raise FiligreeError(what, remedy="name an SVG, or a scan or photo", where=art.name)
        with art.open("rb") as stream:
            head = stream.read(16)
    except OSError as error:
        raise FiligreeError(
            f"cannot be read ({error.strerror})", remedy="check its permissions", where=art.name
        ) from error
    found = _scan(art, job) if _is_picture(art, head) else _svg(art, job)
    return replace(found, name=one_line(found.name))


def _is_picture(art: Path, head: bytes) -> bool:
    """True for a picture's first bytes; also for a picture's name on what is no markup, so that the message fits."""
    if head.startswith(IMAGES):
        return True
    return art.suffix.lower() in PICTURES and not head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(
        b"<"
    )


def _scan(art: Path, job: Job) -> Drawing:
    from filigree.drawing.scan import Measured, read_scan

    scale = job.scan.scale
    return read_scan(
        art,
        sheet=job.sheet,
        marks=job.scan.marks,
        scale=Measured(start=scale[0], end=scale[1], length=scale[2]) if scale else None,
        straight=job.scan.straight,
        mirrored=job.scan.mirrored,
        gap=job.limits.gap,
        line=job.limits.line,
        dark=job.choose.dark,
        most_mp=job.reading.pixels_mp,
    )


def _svg(art: Path, job: Job) -> Drawing:
    from filigree.drawing.svg import read_svg

    return read_svg(
        art,
        sheet=job.sheet,
        line=job.limits.line,
        dark=job.choose.dark,
        threshold=job.limits.tone,
        most=job.reading,
    )
