"""Piece: a drawing that has been read and divided for the page, and the long work on it.

Every function here takes nouns and gives nouns and can be done in another process.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from filigree import pipeline
from filigree.drawing.model import Drawing
from filigree.drawing.read import read
from filigree.job import Job
from filigree.page import telling
from filigree.page.looking import Look, look
from filigree.regions.background.look import Look as Seen
from filigree.regions.background.look import look as see
from filigree.regions.model import RegionMap
from filigree.regions.picks import with_numbers

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """A drawing with its fields.

    Attributes:
        art: where it was read.
        read: as read.
        drawing: with the lines that close gaps by hand.
        regions: its fields; none when nothing is enclosed yet.
        seen: what the choice of background has seen of them; None without fields.
        told: what the page draws, as plain values.
    """

    art: Path
    read: Drawing
    drawing: Drawing
    regions: RegionMap
    seen: Seen | None
    told: dict[str, Any]


def read_piece(art: Path, job: Job, *, progress: Progress) -> tuple[Piece, Look]:
    """Read a drawing and look at it as its job says.

    A drawing in which nothing is enclosed is taken too: its gaps can be closed on the page.

    Raises:
        FiligreeError: something in the drawing or the settings that the maker can put right.
    """
    pipeline.check_settings(job)
    progress("reading the drawing")
    return divided(art, read(art, job), job, progress=progress)


def divided(art: Path, drawing: Drawing, job: Job, *, progress: Progress) -> tuple[Piece, Look]:
    """Find the fields of a drawing that has been read, and look at it."""
    progress("finding the fields")
    closed, regions = pipeline.divided(drawing, job)
    if not closed.lines:
        pipeline.refuse_open(closed, regions)
    progress("laying it out")
    piece = Piece(
        art=art,
        read=drawing,
        drawing=closed,
        regions=regions,
        seen=see(regions) if regions.regions else None,
        told=telling.geometry(closed, regions),
    )
    return piece, looked(piece, with_numbers(job, regions), progress=progress)


def looked(
    piece: Piece,
    job: Job,
    last: Look | None = None,
    *,
    mending: bool = False,
    progress: Progress,
) -> Look:
    """Look at a piece as a job says, leaning on an earlier look at it."""
    return look(
        job,
        piece.drawing,
        piece.regions,
        seen=piece.seen,
        last=last,
        mending=mending,
        progress=progress,
    )


def mended(piece: Piece, job: Job, last: Look, *, progress: Progress) -> Look:
    """Mend whatever falls short, but for what the job leaves as drawn."""
    return looked(piece, job, last, mending=True, progress=progress)


def files_of(piece: Piece, job: Job, *, progress: Progress) -> dict[str, bytes]:
    """Give every file that `filigree make` writes.

    Raises:
        FiligreeError: nothing is enclosed, or whatever `make` refuses.
    """
    pipeline.refuse_open(piece.drawing, piece.regions)
    planned = pipeline.chosen(job, piece.drawing, piece.regions, progress=progress)
    progress("working out the papers")
    planned = pipeline.with_bench(planned)
    progress("drawing the files")
    return pipeline.files_of(planned)


def moved_to(piece: Piece, art: Path) -> Piece:
    """Give the piece with the place where its drawing is kept."""
    return replace(piece, art=art)
