"""`filigree batch`: every drawing of a folder, several at a time."""

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from filigree.cli import BUG, HOLDS, INTERRUPTED, STOP
from filigree.cli.job_options import FILE
from filigree.cli.printing import say
from filigree.errors import one_line

if TYPE_CHECKING:
    from filigree.batch import Row

_CLEAR = "\r\x1b[K"


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
    try:
        from filigree.batch import Stopped, batch, table  # heavy, so only here
        from filigree.job import load_job
    except KeyboardInterrupt:
        return _stopped()
    watched = sys.stderr is not None and sys.stderr.isatty()
    faults: list[str] = []
    started = time.monotonic()

    def told(done: int, of: int, row: "Row") -> None:
        left = (time.monotonic() - started) / done * (of - done)
        shown = one_line(row.folder)
        click.echo(f"{_CLEAR}{done} of {of}, about {left:.0f} s left: {shown}", err=True, nl=False)

    def faulted(row: "Row", trace: str) -> None:
        faults.append(row.folder)
        click.echo(f"{_CLEAR if watched else ''}{trace}", err=True)

    try:
        result = batch(
            folder,
            out or Path(f"{folder.name or 'batch'}-cut"),
            load_job(job_file) if job_file else None,
            vary=vary,
            files="cuts" if files == "cuts" else "all",
            workers=workers,
            cluster=cluster,
            told=told if watched else None,
            faulted=faulted,
        )
    except Stopped as stopped:
        return _stopped(f" {stopped.done} of {stopped.of} pieces are done;")
    except KeyboardInterrupt:
        return _stopped()
    if watched:
        click.echo(_CLEAR, err=True, nl=False)
    say(table(result))
    if faults:
        return BUG
    return HOLDS if all(row.state == "holds" for row in result.pieces) else STOP


def _stopped(done: str = "") -> int:
    """Say how far it came."""
    watched = sys.stderr is not None and sys.stderr.isatty()
    click.echo(
        f"{_CLEAR if watched else ''}filigree: stopped;{done} run it again to go on from there",
        err=True,
    )
    return INTERRUPTED
