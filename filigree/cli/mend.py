"""`filigree mend`: the smallest change that makes the face hold."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from filigree.cli.job_options import FILE, job_file_given, job_options
from filigree.cli.printing import answer, mended_words, notes_kept, progress, say
from filigree.errors import one_line

if TYPE_CHECKING:
    from filigree.job import Job


@click.command("mend")
@click.argument("art", type=FILE)
@click.option(
    "-o", "out", type=FILE, metavar="DIR", help="Folder to write; default: NAME-mended, here."
)
@click.option(
    "--weights",
    is_flag=True,
    help="Print for each weight of leather whether the face holds as drawn, mended or not; write nothing.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON, and nothing else.")
@job_options
def command(*, art: Path, job: "Job", out: Path | None, weights: bool, as_json: bool) -> int:
    """Add just enough leather to ART for its face to hold, and write the mended piece.

    The changes stand in the folder's job.toml as [[mend]]; set as_drawn = true on one to leave that
    place as it was drawn, and run again with --job.

    Example: filigree mend vine.svg --face "5-6 oz" -o vine-mended
    """
    from filigree import pipeline  # heavy, so only here

    folder = out or Path(f"{art.stem}-mended")
    if weights:
        with progress() as tell:
            lines = pipeline.weights_table(art, job, progress=tell)
        say(lines)
        return 0
    with progress() as tell:
        piece = pipeline.make(
            art, folder, job, mending=True, job_file=job_file_given(), progress=tell
        )
    picture = one_line(str(folder / "mend.svg"))
    if piece.report.mended is None:
        then = f"Nothing could be mended; the piece as drawn is in {one_line(str(folder))}."
    elif not piece.report.mended.changes:
        then = f"The piece as drawn is in {one_line(str(folder))}."
    else:
        then = f"The mended piece is in {one_line(str(folder))}; look at {picture}."
    told = (mended_words(piece.report), then, notes_kept(piece.notes))
    return answer(piece, as_json=as_json, then="\n".join(filter(None, told)))
