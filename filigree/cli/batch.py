"""`filigree batch`: every drawing of a folder, several at a time."""

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from filigree.cli import HOLDS, STOP
from filigree.cli.job_options import FILE
from filigree.cli.printing import say

if TYPE_CHECKING:
    from filigree.batch import Row


@click.command("batch")
@click.argument("folder", type=FILE)
@click.option(
    "-o", "out", type=FILE, metavar="DIR", help="Folder to write; default: NAME-cut, here."
)
@click.option(
    "--job",
    "job_file",
    type=FILE,
    metavar="FILE",
    help="Settings for drawings without a job.toml beside them.",
)
@click.option(
    "--vary",
    type=FILE,
    metavar="FILE",
    help="Table (CSV) that makes several pieces of each drawing.",
)
@click.option(
    "--files",
    type=click.Choice(["all", "cuts"]),
    default="all",
    help="cuts: ply files, report and job only.",
)
@click.option(
    "--workers", type=click.IntRange(1, 1024), metavar="N", help="Processes; default: all cores."
)
@click.option(
    "--cluster", default="", metavar="ADDRESS", help="A running Dask scheduler to work on."
)
def command(
    *,
    folder: Path,
    out: Path | None,
    job_file: Path | None,
    vary: Path | None,
    files: str,
    workers: int | None,
    cluster: str,
) -> int:
    """Make every drawing in FOLDER and the folders in it, on all cores; print one table at the end.

    Pieces that are up to date are not made again. A failure is written down and the others go on.

    Example: filigree batch riders -o riders-cut --vary names.csv
    """
    from filigree.batch import batch, table  # heavy, so only here
    from filigree.job import load_job

    started = time.monotonic()

    def told(done: int, of: int, row: "Row") -> None:
        left = (time.monotonic() - started) / done * (of - done)
        click.echo(
            f"\r\x1b[K{done} of {of}, about {left:.0f} s left: {row.folder}", err=True, nl=False
        )

    watched = sys.stderr is not None and sys.stderr.isatty()
    result = batch(
        folder,
        out or Path(f"{folder.name or 'batch'}-cut"),
        load_job(job_file) if job_file else None,
        vary=vary,
        files="cuts" if files == "cuts" else "all",
        workers=workers,
        cluster=cluster,
        told=told if watched else None,
    )
    if watched:
        click.echo("\r\x1b[K", err=True, nl=False)
    say(table(result))
    return HOLDS if all(row.state == "holds" for row in result.pieces) else STOP
