"""Making one piece: called by the processes of this machine and by those of a cluster alike."""

import tempfile
from pathlib import Path

import msgspec

from filigree.batch.model import Made, Row, Task
from filigree.batch.saved import content_of
from filigree.errors import FiligreeError
from filigree.job.files import job_from
from filigree.output.folder import SETTINGS


def piece(task: Task) -> Made:
    """Make one piece; what its owner or the machine can put right becomes its row.

    Anything else that is raised is a fault of ours.
    """
    from filigree import pipeline

    row = Row(art=task.art, folder=task.folder, key=task.key, state="failed", say="")
    try:
        job = job_from(task.job, where=SETTINGS)
        with tempfile.TemporaryDirectory(prefix="filigree-") as holder:
            art = Path(holder) / Path(task.art).name
            art.write_bytes(task.data)
            planned = pipeline.plan(art, job)
        if task.files == "all":
            planned = pipeline.with_bench(planned)
        files = pipeline.files_of(planned, files=task.files)
    except FiligreeError as error:
        return Made(row=msgspec.structs.replace(row, say=str(error)), files={})
    except (OSError, MemoryError) as error:
        return Made(row=msgspec.structs.replace(row, say=_short_of(task.art, error)), files={})
    report = planned.report
    stops = sum(f.severity == "stop" for f in report.findings)
    done = msgspec.structs.replace(
        row,
        state="holds" if report.holds else "stop",
        say=report.verdict,
        openings=len(report.openings),
        stops=stops,
        cautions=len(report.findings) - stops,
        content=content_of(files),
    )
    return Made(row=done, files=files)


def _short_of(art: str, error: OSError | MemoryError) -> str:
    """Say what the machine was short of."""
    if isinstance(error, MemoryError):
        told = FiligreeError(
            "it needs more memory than there is", remedy="try fewer --workers", where=art
        )
    else:
        told = FiligreeError(
            f"the system refused ({(error.strerror or str(error)).lower()})",
            remedy="free some space and run it again",
            where=art,
        )
    return str(told)
