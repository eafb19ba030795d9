"""Desk: the one piece that the page works on, in memory, and what of it is kept on disk.

Every change makes a new job; the jobs are the history. The newest is written to the folder beside the output
before an answer goes out, so that nothing is lost when the page or its server goes away.
"""

import tempfile
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from filigree import pipeline
from filigree.drawing.model import Drawing
from filigree.errors import FiligreeError, one_line
from filigree.job import Job, dump_job, load_job, with_overrides
from filigree.output.folder import check_ours, names_written, write_folder
from filigree.page import edits, telling
from filigree.page.looking import Look, look
from filigree.regions.model import RegionMap

MOST_UNDO = 200
KEPT = "job.toml"


class StoppedError(Exception):
    """The maker has stopped a long step; nothing was changed."""


class StaleError(Exception):
    """A change was meant for a state that is no longer there (another tab)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Divided:
    """A drawing that has been read and divided, and the values of it that the page draws."""

    art: Path
    drawing: Drawing
    regions: RegionMap
    told: dict[str, Any]


@dataclass(slots=True, kw_only=True)
class Desk:
    """The piece in hand.

    Attributes:
        out: folder that saving writes.
        kept: folder in which the state of the work is kept.
        divided: the drawing; None before one is chosen.
        history: looks, oldest first; the one at `now` is shown.
        now: place in `history`.
        turn: grows with every change, so that a second tab is noticed.
        serial: grows with every new drawing or size.
        step: what is being done, in words; "" when nothing is.
    """

    out: Path
    kept: Path
    divided: Divided | None = None
    history: list[Look] = field(default_factory=list)
    now: int = -1
    turn: int = 0
    serial: int = 0
    step: str = ""
    fallback: Job = field(default_factory=Job)
    _stop: threading.Event = field(default_factory=threading.Event)
    _one: threading.Lock = field(default_factory=threading.Lock)

    @property
    def look(self) -> Look:
        """What is shown.

        Raises:
            FiligreeError: no drawing was chosen.
        """
        if not self.history:
            raise FiligreeError("there is no drawing yet", remedy="choose one", where="page")
        return self.history[self.now]

    def stop(self) -> None:
        """End the long step that runs, at its next stage."""
        self._stop.set()

    def told(self) -> dict[str, Any]:
        """Give the state as plain values."""
        out: dict[str, Any] = {"turn": self.turn, "serial": self.serial, "kept": self.kept.name}
        if self.history:
            out |= telling.state(self.look)
            out |= {"undo": self.now > 0, "redo": self.now < len(self.history) - 1}
        return out

    def change(self, turn: int, edit: Callable[[Job, Divided], Job]) -> None:
        """Make one change, keep it on disk and show it.

        Raises:
            StaleError: `turn` is not the state that is shown.
            FiligreeError: the change cannot be made; all is as it was.
        """
        with self._working(turn):
            divided, was = self._in_hand(), self.look
            self._push(look(edit(was.job, divided), divided.drawing, divided.regions, last=was))

    def mend(self, turn: int, left: list[tuple[str, tuple[float, float]]], *, accept: bool) -> Look:
        """Mend what falls short but for the places left; accepted, it becomes the state."""
        with self._working(turn):
            divided = self._in_hand()
            asked = edits.left_as_drawn(self.look.job, left)
            done = look(asked, divided.drawing, divided.regions, mending=True, last=self.look)
            if accept:
                self._push(done)
            return done

    def move(self, turn: int, by: int) -> None:
        """Undo (-1) or redo (1)."""
        with self._working(turn):
            there = self.now + by
            if 0 <= there < len(self.history):
                self._keep(self.history[there].job)
                self.now = there
                self.turn += 1

    def open(self, art: Path, job: Job) -> None:
        """Read a drawing from where the maker pointed; the state before stays until it is read."""
        with self._working(self.turn):
            divided, first = self._read(art, job)
            self._keep(first.job)
            self._lay(divided, first)

    def drop(
        self, turn: int, name: str, data: bytes, size: Mapping[str, Any] | None = None
    ) -> None:
        """Take a drawing that was dropped on the page; it is kept beside the state.

        Args:
            turn: the state that it was meant for.
            name: what the browser calls it.
            data: its bytes.
            size: settings by dotted key that say how large a scan is.
        """
        with self._working(turn):
            plain = plain_name(name)
            job = edits.for_new_drawing(self.look.job if self.history else self.fallback)
            job = with_overrides(job, size or {}, where="page")
            folder = self.kept.parent
            with tempfile.TemporaryDirectory() as between:
                first_place = Path(between) / plain
                first_place.write_bytes(data)
                divided, first = self._read(first_place, job)
            out, kept = folder / f"{Path(plain).stem}-cut", kept_for(folder, plain)
            write_folder(kept, {KEPT: dump_job(first.job).encode(), plain: data})
            self.out, self.kept = out, kept
            self._lay(
                Divided(
                    art=kept / plain,
                    drawing=divided.drawing,
                    regions=divided.regions,
                    told=divided.told,
                ),
                first,
            )

    def scale(
        self, turn: int, start: tuple[float, float], end: tuple[float, float], length: float
    ) -> None:
        """Size the drawing by two points and their distance; it is read anew."""
        with self._working(turn):
            was = self._in_hand()
            job = edits.scaled(
                self.look.job, width=was.drawing.width, start=start, end=end, length=length
            )
            divided, first = self._read(was.art, job)
            self._keep(first.job)
            self._lay(divided, first)

    def save(self, turn: int) -> tuple[str, int]:
        """Write the same folder as `filigree make`; gives its name and the number of files."""
        with self._working(turn):
            divided, job = self._in_hand(), self.look.job
            check_ours(self.out.resolve())
            planned = pipeline.chosen(job, divided.drawing, divided.regions, progress=self._tell)
            self._tell("working out the papers")
            files = pipeline.files_of(pipeline.with_bench(planned))
            self._tell("writing the files")
            write_folder(self.out, files)
            return self.out.name, len(files)

    def _working(self, turn: int) -> "_Working":
        return _Working(self, turn)

    def _tell(self, step: str) -> None:
        if self._stop.is_set():
            raise StoppedError
        self.step = step

    def _in_hand(self) -> Divided:
        if self.divided is None:
            raise FiligreeError("there is no drawing yet", remedy="choose one", where="page")
        return self.divided

    def _read(self, art: Path, job: Job) -> tuple[Divided, Look]:
        worked = pipeline.plan(art, job, progress=self._tell).worked
        self._tell("laying it out")
        told = telling.geometry(worked.drawing, worked.regions)
        divided = Divided(art=art, drawing=worked.drawing, regions=worked.regions, told=told)
        return divided, look(worked.job, worked.drawing, worked.regions)

    def _lay(self, divided: Divided, first: Look) -> None:
        self.divided, self.history, self.now = divided, [first], 0
        self.serial += 1
        self.turn += 1

    def _push(self, new: Look) -> None:
        self._keep(new.job)
        del self.history[self.now + 1 :]
        self.history.append(new)
        del self.history[:-MOST_UNDO]
        self.now = len(self.history) - 1
        self.turn += 1

    def _keep(self, job: Job) -> None:
        """Write the job to disk, and whatever drawing was dropped stays beside it."""
        files = {KEPT: dump_job(job).encode()}
        for name in names_written(self.kept) - {KEPT} if self.kept.is_dir() else ():
            files[name] = (self.kept / name).read_bytes()
        write_folder(self.kept, files)


class _Working:
    """One change at a time; what is being done is told, and forgotten at the end."""

    def __init__(self, desk: Desk, turn: int) -> None:
        self.desk, self.turn = desk, turn

    def __enter__(self) -> None:
        self.desk._one.acquire()
        if self.turn != self.desk.turn:
            self.desk._one.release()
            raise StaleError
        self.desk._stop.clear()

    def __exit__(self, *_: object) -> None:
        self.desk.step = ""
        self.desk._one.release()


def kept_for(folder: Path, name: str) -> Path:
    """Name the folder that keeps the state of the work on a drawing."""
    return folder / f"{Path(name).stem}-page"


def job_kept(kept: Path) -> Job | None:
    """Read the job of work that was begun before; None when there is none.

    Raises:
        FiligreeError: it cannot be read.
    """
    if KEPT not in names_written(kept):
        return None
    return load_job(kept / KEPT)


def plain_name(name: str) -> str:
    """Make a file name out of what a browser sent: no folders, nothing hidden.

    >>> plain_name("../../etc/vine.svg"), plain_name("")
    ('vine.svg', 'drawing')
    """
    last = one_line(name.replace("\\", "/").rsplit("/", 1)[-1])
    kept = "".join(c for c in last if c.isalnum() or c in " ._-").strip(" .")[-80:]
    return kept if kept and kept != KEPT else "drawing"
