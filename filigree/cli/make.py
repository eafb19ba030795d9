"""`filigree make`: the main job, from a drawing to a folder of files."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from filigree.cli.job_options import FILE, job_file_given, job_options
from filigree.cli.printing import answer, mended_words, mending_hint, notes_kept, progress
from filigree.errors import one_line

if TYPE_CHECKING:
    from filigree.job import Job


@click.command("make")
@click.argument("art", type=FILE)
@click.option(
    "-o", "out", type=FILE, metavar="DIR", help="Folder to write; default: NAME-cut, here."
)
@click.option(
    "--files",
    type=click.Choice(["all", "cuts"]),
    default="all",
    help="cuts: ply files, report and job only.",
)
@click.option("--mend", "mending", is_flag=True, help="Add the little leather that makes it hold.")
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON, and nothing else.")
@job_options
def command(
    *,
    art: Path,
    job: "Job",
    out: Path | None,
    files: str,
    mending: bool,
    as_json: bool,
) -> int:
    """Read ART, check whether its face holds, and write every file to cut and look at.

    ART is a line drawing (SVG), or a scan or photo of one. A job.toml beside it is used.
    One that you change in the folder of the piece is used with --job, and never written over without.

    Example: filigree make vine.svg --face "5-6 oz" --inlay red -o vine-cut
    """
    from filigree import pipeline  # heavy, so only here

    folder = out or pipeline.folder_for(art)
    with progress() as tell:
        piece = pipeline.make(
            art,
            folder,
            job,
            mending=mending,
            files="cuts" if files == "cuts" else "all",
            job_file=job_file_given(),
            progress=tell,
        )
    look = "" if files == "cuts" else f"; look at {one_line(str(folder / 'proof.html'))}"
    hint = mended_words(piece.report) if mending else mending_hint(piece, more=["--mend"])
    where = f"The files are in {one_line(str(folder))}{look}."
    return answer(
        piece,
        as_json=as_json,
        then="\n".join(filter(None, (hint, where, notes_kept(piece.notes)))),
    )
