"""Batch: many drawings, several at a time, on this machine or on a cluster; goes on after a failure and resumes.

`piece` makes one piece; the local way and the cluster way both call it. What is up to date is known by
content: a piece is made again only when its drawing, its settings or this version have changed.
"""

from collections.abc import Callable
from pathlib import Path

from filigree.batch.elsewhere import on_cluster, on_this_machine
from filigree.batch.listing import pieces_of
from filigree.batch.making import piece
from filigree.batch.model import Files, Made, Result, Row, State, Stopped, Task
from filigree.batch.saved import is_there, kept, read_result, write_result
from filigree.batch.turns import in_turn
from filigree.batch.variations import variations_of
from filigree.errors import one_line
from filigree.job import Job
from filigree.output.swap import undisturbed

__all__ = ["Files", "Made", "Result", "Row", "Stopped", "Task", "batch", "piece", "table"]

SAVED = 20  # pieces between two writings of the result
STATES: dict[State, str] = {  # as the verdict of a piece says it
    "holds": "meets the limits",
    "stop": "does not meet the limits",
    "failed": "failed",
}

Told = Callable[[int, int, Row], None]
Faulted = Callable[[Row, str], None]


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
    faulted: Faulted | None = None,
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
        faulted: told of a fault of ours in one piece: its row and the traceback.

    Returns:
        One row a piece, by folder name.

    Raises:
        FiligreeError: no drawing in the folder, two pieces for one folder, a table that cannot be used, a
            stranger's `batch.json` in `out`, or no scheduler at the address.
        Stopped: Ctrl-C; what is done is written down, and the next run goes on from there.
    """
    listed = pieces_of(folder, out, job or Job(), variations_of(vary), files)
    before = {row.folder: row for row in read_result(out).pieces}
    rows: dict[str, Row] = {}
    try:
        waiting = []
        for item in listed:
            old = before.get(item.folder)
            if item.trouble:
                rows[item.folder] = item.failed(item.trouble)
            elif old is not None and _is_current(out, old, item.key):
                rows[item.folder] = old
            else:
                waiting.append(item)
        with on_cluster(cluster) if cluster else on_this_machine(workers) as hands:
            for made in in_turn(hands, waiting):
                with undisturbed():  # what is written is counted
                    row = rows[made.row.folder] = kept(out, made)
                if made.fault and faulted is not None:
                    faulted(row, made.fault)
                if told is not None:
                    told(len(rows), len(listed), row)
                if len(rows) % SAVED == 0:
                    write_result(out, rows)
    except KeyboardInterrupt as interrupt:
        if rows:
            write_result(out, rows)
        done = sum(row.state != "failed" for row in rows.values())
        raise Stopped(done, len(listed)) from interrupt
    return write_result(out, rows)


def table(result: Result) -> str:
    """Write the rows as a table for a terminal, failures last."""
    pieces = sorted(result.pieces, key=lambda row: (row.state == "failed", row.folder))
    names = [one_line(row.folder) for row in pieces]
    name = max(map(len, [*names, "piece"]))
    state = max(map(len, STATES.values()))
    lines = [f"{'piece':{name}}  {'':{state}}  openings  stops  cautions"]
    for shown, row in zip(names, pieces, strict=True):
        if row.state == "failed":
            lines.append(f"{shown:{name}}  failed: {row.say}")
        else:
            lines.append(
                f"{shown:{name}}  {STATES[row.state]:{state}}  {row.openings:8d}  {row.stops:5d}  {row.cautions:8d}"
            )
    return "\n".join(lines)


def _is_current(out: Path, old: Row, key: str) -> bool:
    """True when a piece was made from the same, and its files are there as they were written."""
    return old.state != "failed" and old.key == key and is_there(out, old)
