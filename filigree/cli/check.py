"""`filigree check`: the findings alone, nothing written."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from filigree.cli.job_options import FILE, job_options
from filigree.cli.printing import answer, mending_hint, progress

if TYPE_CHECKING:
    from filigree.job import Job


@click.command("check")
@click.argument("art", type=FILE)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON, and nothing else.")
@job_options
def command(*, art: Path, job: "Job", as_json: bool) -> int:
    """Say whether the face of ART meets the limits for its leather; write nothing.

    Ends with 0 when it does and 1 when it does not.

    Example: filigree check vine.svg --face "5-6 oz" --cut laser
    """
    from filigree import pipeline  # heavy, so only here

    with progress() as tell:
        piece = pipeline.check(art, job, progress=tell)
    return answer(piece, as_json=as_json, then=mending_hint(piece, instead="mend"))
