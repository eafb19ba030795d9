"""`filigree colours`: what goes behind the openings, side by side."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from filigree.cli.job_options import FILE, job_options
from filigree.cli.printing import progress, say

if TYPE_CHECKING:
    from filigree.job import Job


@click.command("colours")
@click.argument("art", type=FILE)
@click.option(
    "-o", "out", type=FILE, metavar="DIR", help="Folder to write; default: NAME-colours, here."
)
@click.option("--faces", metavar="COLOUR,COLOUR", help="Colours of the face to try.")
@click.option("--inlays", metavar="COLOUR,COLOUR", help="Colours behind the openings to try.")
@click.option(
    "--propose",
    type=click.IntRange(1, 24),
    metavar="N",
    help="Add the N colours of the table that read best, spread over hue.",
)
@click.option(
    "--spread",
    type=click.IntRange(1, 12),
    metavar="K",
    help="Give the openings K colours so that neighbours differ where they can.",
)
@job_options
def command(
    *,
    art: Path,
    job: "Job",
    out: Path | None,
    faces: str | None,
    inlays: str | None,
    propose: int | None,
    spread: int | None,
) -> int:
    """Draw the piece of ART in many colours, and say which will read across a room.

    Colours are names of the table or #rrggbb. Without any, the piece as set and seven proposals are drawn.

    Example: filigree colours vine.svg --faces natural,black --inlays red,turquoise,#2f6b3a
    """
    from filigree import pipeline  # heavy, so only here
    from filigree.job import with_overrides

    wishes: dict[str, object] = {}
    if faces:
        wishes["colours.faces"] = [word.strip() for word in faces.split(",") if word.strip()]
    if inlays:
        wishes["colours.inlays"] = [word.strip() for word in inlays.split(",") if word.strip()]
    if propose:
        wishes["colours.propose"] = propose
    if spread:
        wishes["choose.spread"] = spread
    settings = with_overrides(job, wishes, where="options")
    folder = out or Path(f"{art.stem}-colours")
    with progress() as tell:
        ways = pipeline.colours(art, folder, settings, progress=tell)
    for way in ways:
        reads = (
            "reads for every eye"
            if way.reads
            else "; ".join(w for r in way.readings for w in r.says)
        )
        say(f"{way.face} with {', '.join(way.inlays)}: {reads}")
    say(
        f"\nThe pictures are in {click.format_filename(folder)}; look at {click.format_filename(folder / 'colours.html')}."
    )
    return 0
