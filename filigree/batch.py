"""Batch: many drawings, several at a time, on this machine or on a cluster; goes on after a failure and resumes.

`piece` makes one piece; the local way and the cluster way both call it. What is up to date is known by
content: a piece is made again only when its drawing, its settings or this version have changed.
"""

import csv
import functools
import hashlib
import importlib
import itertools
import os
import re
import tempfile
from collections import Counter, deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Literal, Protocol

import msgspec
from msgspec import Struct

from filigree import __version__
from filigree.errors import FiligreeError
from filigree.job import Job, dump_job, load_job, with_overrides
from filigree.job.files import job_from
from filigree.output.folder import names_written, write_folder

RESULT = "batch.json"
ART = (".svg", ".svgz", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp")
SETTINGS = "job.toml"
NAME = "name"  # column of a list of variations that names the folder
LARGEST_LIST = 10_000_000  # bytes
AHEAD = 4  # tasks handed out for each worker, so that a long list is never all in memory
SAVED = 20  # pieces between two writings of the result
PLAIN = re.compile(r"[\w-]{1,100}")

Files = Literal["all", "cuts"]
State = Literal["holds", "stop", "failed"]


class Row(Struct, frozen=True, kw_only=True):
    """One piece of a batch.

    `art` and `folder` are relative to the folders of the batch; `key` stands for drawing, settings and
    version.
    """

    art: str
    folder: str
    state: State
    say: str
    openings: int = 0
    stops: int = 0
    cautions: int = 0
    key: str = ""


class Result(Struct, frozen=True, kw_only=True):
    """What `batch.json` holds, in the order of the folders' names."""

    format: Literal["filigree-batch"] = "filigree-batch"
    version: Literal[1] = 1
    pieces: tuple[Row, ...]


class Waiting(Protocol):
    """A piece being made elsewhere."""

    def result(self) -> "Made":
        """Wait for it."""


Told = Callable[[int, int, Row], None]


@dataclass(frozen=True, slots=True)
class Submit:
    """A way to have pieces made elsewhere, and how many may be on their way at once."""

    call: "Callable[[Task], Waiting]"
    ahead: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece to make; everything in it travels to another process or machine.

    Attributes:
        art: name of the drawing, relative to the batch's folder.
        data: the drawing.
        job: settings as text.
        folder: where the piece goes, relative to the output folder.
        files: "all" or "cuts".
        key: name of the content; equal keys give equal pieces.
    """

    art: str
    data: bytes
    job: str
    folder: str
    files: Files
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A piece that was made: its row and its files; no files when it failed."""

    row: Row
    files: Mapping[str, bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Listed:
    """A piece of the list, its drawing still on disk."""

    path: Path
    art: str
    job: str
    folder: str
    files: Files
    key: str

    def task(self) -> Task:
        return Task(
            art=self.art,
            data=self.path.read_bytes(),
            job=self.job,
            folder=self.folder,
            files=self.files,
            key=self.key,
        )


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
    listed = _listed(folder, out, job or Job(), _variations(vary), files)
    before = {row.folder: row for row in _before(out).pieces}
    rows: dict[str, Row] = {}
    waiting = []
    for item in listed:
        old = before.get(item.folder)
        current = old is not None and old.key == item.key and old.state != "failed"
        if old is not None and current and (out / item.folder).is_dir():
            rows[item.folder] = old
        else:
            waiting.append(item)
    pool = _on_cluster(cluster) if cluster else _on_this_machine(workers)
    with pool as submit:
        for made in _in_turn(submit, waiting):
            rows[made.row.folder] = _kept(out, made)
            if told is not None:
                told(len(rows), len(listed), rows[made.row.folder])
            if len(rows) % SAVED == 0:
                _write(out, rows)
    return _write(out, rows)


def piece(task: Task) -> Made:
    """Make one piece; what its owner can put right, and a fault of ours, become a row."""
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
    except (ArithmeticError, LookupError, TypeError, ValueError, RuntimeError) as fault:
        say = f"a fault of filigree: {type(fault).__name__}: {fault}"
        return Made(row=msgspec.structs.replace(row, say=say), files={})
    report = planned.report
    stops = sum(f.severity == "stop" for f in report.findings)
    done = msgspec.structs.replace(
        row,
        state="holds" if report.holds else "stop",
        say=report.verdict,
        openings=len(report.openings),
        stops=stops,
        cautions=len(report.findings) - stops,
    )
    return Made(row=done, files=files)


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


def _listed(
    folder: Path, out: Path, job: Job, variations: Mapping[str, Mapping[str, Any]], files: Files
) -> list[_Listed]:
    """List every piece, by folder name; two drawings of one stem get their endings into the name."""
    if not folder.is_dir():
        raise FiligreeError(
            "no such folder", remedy="name a folder with drawings", where=folder.name
        )
    inside = out.resolve()
    made = functools.cache(names_written)  # files of earlier results are no drawings
    paths = sorted(
        p
        for p in folder.rglob("*")
        if p.suffix.lower() in ART
        and p.is_file()
        and not p.resolve().is_relative_to(inside)
        and p.name not in made(p.parent)
    )
    if not paths:
        raise FiligreeError(
            "no drawing in this folder", remedy=f"put {', '.join(ART[:3])} there", where=folder.name
        )
    stems = Counter(p.relative_to(folder).with_suffix("") for p in paths)
    items = []
    for path in paths:
        art = path.relative_to(folder)
        stem = art.with_suffix("")
        name = "-".join((stem if stems[stem] == 1 else art).parts)
        beside = path.with_name(SETTINGS)
        own = load_job(beside) if beside.is_file() else job
        digest = hashlib.sha256(path.read_bytes()).digest()
        for label, values in variations.items():
            settings = dump_job(with_overrides(own, values, where=f"variation {label}"))
            items.append(
                _Listed(
                    path=path,
                    art=art.as_posix(),
                    job=settings,
                    folder=f"{name}-{label}" if label else name,
                    files=files,
                    key=_key(digest, settings, files),
                )
            )
    return sorted(items, key=lambda item: item.folder)


def _key(digest: bytes, settings: str, files: Files) -> str:
    parts = (__version__.encode(), files.encode(), settings.encode(), digest)
    return hashlib.sha256(b"".join(len(p).to_bytes(8, "big") + p for p in parts)).hexdigest()


def _variations(vary: Path | None) -> dict[str, dict[str, Any]]:
    """Read the table of variations: settings by name; one without a name when there is no table."""
    if vary is None:
        return {"": {}}
    try:
        if vary.stat().st_size > LARGEST_LIST:
            raise FiligreeError("larger than 10 MB", remedy="part it", where=vary.name)
        rows = list(csv.DictReader(vary.read_text(encoding="utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise FiligreeError(
            f"no table of variations ({error})", remedy="write it as CSV, UTF-8", where=vary.name
        ) from error
    if not rows or NAME not in rows[0]:
        raise FiligreeError(
            'no column "name", or no row under it',
            remedy='give a first line like "name,face.thickness,sheet.width"',
            where=vary.name,
        )
    found: dict[str, dict[str, Any]] = {}
    for number, row in enumerate(rows, start=2):
        label = (row.pop(NAME) or "").strip()
        if not label or label in found or PLAIN.fullmatch(label) is None:
            raise FiligreeError(
                f"line {number}: {label!r} is no name for a folder, or is there twice",
                remedy="use letters, digits, - and _",
                where=vary.name,
            )
        found[label] = {key.strip(): _value(text) for key, text in row.items() if key and text}
    return found


def _value(text: str) -> str | float | int | bool:
    word = text.strip()
    if word in {"true", "false"}:
        return word == "true"
    for kind in (int, float):
        try:
            return kind(word)
        except ValueError:
            continue
    return word


@contextmanager
def _on_this_machine(workers: int | None) -> Iterator[Submit]:
    """Give a way to make pieces in other processes of this machine."""
    count = max(workers or os.cpu_count() or 1, 1)
    pool = ProcessPoolExecutor(count, mp_context=get_context("spawn"))
    try:
        yield Submit(lambda task: pool.submit(piece, task), count * AHEAD)
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    pool.shutdown()


@contextmanager
def _on_cluster(address: str) -> Iterator[Submit]:
    """Give a way to make pieces on the workers of a running scheduler."""
    try:
        make_client: Callable[..., Any] = importlib.import_module("distributed").Client
    except ImportError as error:
        raise FiligreeError(
            "the cluster extra is not installed",
            remedy="pip install 'filigree[cluster]'",
            where="--cluster",
        ) from error
    try:
        client = make_client(address, timeout=10)
    except (OSError, ValueError) as error:
        raise FiligreeError(
            f"no scheduler answers at {address}", remedy="check the address", where="--cluster"
        ) from error
    try:
        workers = max(len(client.scheduler_info()["workers"]), 1)
        yield Submit(
            lambda task: client.submit(piece, task, pure=False, retries=3), workers * AHEAD
        )
    finally:
        client.close()


def _in_turn(submit: Submit, items: Sequence[_Listed]) -> Iterator[Made]:
    """Hand out pieces, a few ahead, and give each in the order of the list when it is done."""
    left = iter(items)
    running = deque(submit.call(item.task()) for item in itertools.islice(left, submit.ahead))
    while running:
        yield running.popleft().result()
        running.extend(submit.call(item.task()) for item in itertools.islice(left, 1))


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
