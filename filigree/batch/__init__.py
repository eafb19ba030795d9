"""Batch: many drawings, several at a time, on this machine or on a cluster; goes on after a failure and resumes.

`piece` makes one piece; the local way and the cluster way both call it. What is up to date is known by
content: a piece is made again only when its drawing, its settings or this version have changed.
"""

import os
from collections.abc import Callable, Mapping
from pathlib import Path

import msgspec

from filigree.batch.elsewhere import in_turn, on_cluster, on_this_machine
from filigree.batch.listing import RESULT, pieces_of
from filigree.batch.making import piece
from filigree.batch.model import Files, Made, Result, Row, Task
from filigree.batch.variations import variations_of
from filigree.errors import FiligreeError
from filigree.job import Job
from filigree.output.folder import write_folder

__all__ = ["Files", "Made", "Result", "Row", "Task", "batch", "piece", "table"]

SAVED = 20  # pieces between two writings of the result

Told = Callable[[int, int, Row], None]


def batch(
    folder: Path,
    out: Path,
    job: Job | None = None,
    *,
    vary: Path | None = None,
    files: Files = "all",
    workers: int | None = None,
    cluster: str = "",
    told: Told | None = None,
) -> Result:
    """Make every drawing of a folder, and of the folders in it.

    Args:
        folder: the drawings; one with a `job.toml` beside it takes its settings from there.
        out: gets a folder a piece, and `batch.json`.
        job: settings for drawings that have none beside them; the defaults when None.
        vary: a table (CSV) that makes several pieces of each drawing: a column "name", the others are keys
            of the job, as "face.thickness".
        files: "cuts" leaves out pictures and papers.
        workers: processes; all cores when None.
        cluster: address of a running Dask scheduler, or "" for this machine.
        told: told how many of how many are done, and the row of the last one.

    Returns:
        One row a piece, by folder name.

    Raises:
        FiligreeError: no drawing in the folder, a table that cannot be used, or no scheduler at the address.
    """
    listed = pieces_of(folder, out, job or Job(), variations_of(vary), files)
    before = {row.folder: row for row in _before(out).pieces}
    rows: dict[str, Row] = {}
    waiting = []
    for item in listed:
        if item.trouble:
            rows[item.folder] = item.failed(item.trouble)
            continue
        old = before.get(item.folder)
        current = old is not None and old.key == item.key and old.state != "failed"
        if old is not None and current and (out / item.folder).is_dir():
            rows[item.folder] = old
        else:
            waiting.append(item)
    pool = on_cluster(cluster) if cluster else on_this_machine(workers)
    with pool as submit:
        for made in in_turn(submit, waiting):
            rows[made.row.folder] = _kept(out, made)
            if told is not None:
                told(len(rows), len(listed), rows[made.row.folder])
            if len(rows) % SAVED == 0:
                _write(out, rows)
    return _write(out, rows)


def table(result: Result) -> str:
    """Write the rows as a table for a terminal, failures last."""
    lines = [f"{'piece':40s} {'':7s} {'openings':>8s} {'stops':>6s} {'cautions':>8s}"]
    for row in sorted(result.pieces, key=lambda r: (r.state == "failed", r.folder)):
        if row.state == "failed":
            lines.append(f"{row.folder:40s} failed  {row.say}")
        else:
            lines.append(
                f"{row.folder:40s} {row.state:7s} {row.openings:8d} {row.stops:6d} {row.cautions:8d}"
            )
    return "\n".join(lines)


def _kept(out: Path, made: Made) -> Row:
    """Write a piece into its folder; a folder that cannot be written becomes a failure of that piece."""
    if not made.files:
        return made.row
    try:
        write_folder(out / made.row.folder, dict(made.files))
    except FiligreeError as error:
        return msgspec.structs.replace(made.row, state="failed", say=str(error))
    return made.row


def _before(out: Path) -> Result:
    try:
        return msgspec.json.decode((out / RESULT).read_bytes(), type=Result)
    except (OSError, msgspec.DecodeError):
        return Result(pieces=())


def _write(out: Path, rows: Mapping[str, Row]) -> Result:
    """Write `batch.json` in one step."""
    result = Result(pieces=tuple(rows[name] for name in sorted(rows)))
    try:
        out.mkdir(parents=True, exist_ok=True)
        beside = out / f".{RESULT}.{os.getpid()}"
        beside.write_bytes(msgspec.json.format(msgspec.json.encode(result), indent=1) + b"\n")
        beside.replace(out / RESULT)
    except OSError as error:
        raise FiligreeError(
            f"cannot be written ({error.strerror})",
            remedy="choose a folder you may write to, with -o",
            where=str(out),
        ) from error
    return result
