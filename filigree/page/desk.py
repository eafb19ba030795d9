"""Desk: the one piece that the page works on, in memory, and what of it is kept on disk.

Every change makes a new state; the states are the history. The newest is written to disk before an answer goes
out, so that nothing is lost when the page or its server goes away.
"""

import tempfile
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import Job, with_overrides
from filigree.output.byhand import refuse_changed, with_hand
from filigree.output.folder import check_ours, names_written, settled, write_folder
from filigree.page import edits, patching, piece, telling
from filigree.page.aside import HELPER, Helper, StoppedError
from filigree.page.keeping import (
    Keeper,
    begun,
    cut_beside,
    drawings_in,
    job_kept,
    keeper_for,
    place_for,
    plain_name,
)
from filigree.page.looking import Look
from filigree.page.piece import Piece

MOST_UNDO = 200
SLOW = (
    1.5  # seconds: changes that take longer than this are made aside, so that they can be stopped
)
MANY = 4000  # fields of a drawing whose changes are slow until they prove quick

T = TypeVar("T")
Edit = Callable[[Job, "State"], Job]


class StaleError(Exception):
    """A change was meant for a state that is no longer there (another tab)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class State:
    """One state of the work: the drawing with its fields, its number, and the look at it."""

    piece: Piece
    serial: int
    look: Look


@dataclass(slots=True, kw_only=True)
class Desk:
    """The piece in hand.

    Attributes:
        folder: where drawings are looked for, kept and saved.
        given: folder that saving writes whatever drawing is chosen; None when each has its own.
        out: folder that saving writes; None before a drawing is chosen.
        keeper: of the state of the work; None before a drawing is chosen.
        history: states, oldest first; the one at `now` is shown.
        now: place in `history`.
        turn: grows with every change, so that a second tab is noticed.
        step: what is being done, in words; "" when nothing is.
        fallback: settings of a drawing that has none yet.
        helper: does long work.
        patience: seconds; a change is made by the helper when the last one took longer.
    """

    folder: Path
    given: Path | None = None
    out: Path | None = None
    keeper: Keeper | None = None
    history: list[State] = field(default_factory=list)
    now: int = -1
    turn: int = 0
    step: str = ""
    fallback: Job = field(default_factory=Job)
    helper: Helper = HELPER
    patience: float = SLOW
    _serial: int = 0
    _told: dict[str, Any] | None = None
    _slow: bool = False
    _stop: threading.Event = field(default_factory=threading.Event)
    _one: threading.Lock = field(default_factory=threading.Lock)
    _shown: threading.RLock = field(default_factory=threading.RLock)

    @property
    def state(self) -> State:
        """What is shown.

        Raises:
            FiligreeError: no drawing was chosen.
        """
        with self._shown:
            if not self.history:
                raise FiligreeError("there is no drawing yet", remedy="choose one", where="page")
            return self.history[self.now]

    @property
    def look(self) -> Look:
        """The look that is shown."""
        return self.state.look

    @property
    def piece(self) -> Piece:
        """The drawing that is shown."""
        return self.state.piece

    def stop(self) -> None:
        """End the long step that runs."""
        self._stop.set()

    def told(self) -> dict[str, Any]:
        """Give the state as plain values; the one given last is remembered."""
        if self._told is None or self._told["turn"] != self.turn:
            self._told = self._telling()
        return self._told

    def told_since(self, before: dict[str, Any]) -> dict[str, Any]:
        """Give what has changed since a state that was told, or the whole state where that is not less."""
        now = self.told()
        return patching.patch(before, now) if patching.fits(before, now) else now

    def _telling(self) -> dict[str, Any]:
        with self._shown:  # all of one turn; a change in between makes another, which is told anew
            turn, history, now, keeper = self.turn, self.history, self.now, self.keeper
        if not history:
            return {"turn": turn, "empty": True}
        on = history[now]
        return telling.state(on.look, on.piece.regions) | {
            "turn": turn,
            "serial": on.serial,
            "kept": keeper.folder.name if keeper else "",
            "undo": now > 0,
            "redo": now < len(history) - 1,
        }

    def change(self, turn: int, edit: Edit) -> None:
        """Make one change, keep it on disk and show it.

        Raises:
            StaleError: `turn` is not the state that is shown.
            FiligreeError: the change cannot be made; all is as it was.
        """
        with self._working(turn):
            was = self.state
            job = edit(was.look.job, was)
            if edits.reads_anew(was.look.job, job):
                self._push(*self._aside(piece.read_piece, was.piece.art, job))
            elif edits.divides_anew(was.look.job, job):
                self._push(*self._aside(piece.divided, was.piece.art, was.piece.read, job))
            elif job != was.look.job:
                self._append(was.piece, self._kept_look(was, job), serial=was.serial)

    def mend(self, turn: int, left: list[tuple[str, XY]], *, accept: bool) -> Look:
        """Mend what falls short but for the places left; accepted, it becomes the state."""
        with self._working(turn):
            was = self.state
            asked = edits.left_as_drawn(was.look.job, left)
            done = self._aside(piece.mended, was.piece, asked, was.look)
            if accept:
                self._push(was.piece, done, serial=was.serial)
                self._slow = True  # the next change mends anew, which may have to be stopped
            return done

    def move(self, turn: int, by: int) -> None:
        """Undo (-1) or redo (1)."""
        with self._working(turn):
            there = self.now + by
            if 0 <= there < len(self.history):
                self._keep(self.history[there].look.job)
                with self._shown:
                    self.now, self.turn = there, self.turn + 1

    def open(self, art: Path, job: Job, *, out: Path | None = None, anew: bool = False) -> bool:
        """Read a drawing from where the maker pointed; the state before stays until it is read.

        Args:
            art: the drawing.
            job: settings to begin with, when no work on it is kept.
            out: folder that saving writes.
            anew: lay kept work aside, as a copy beside it.

        Returns:
            True when earlier work was taken up.
        """
        with self._working(self.turn):
            dropped = art.name in names_written(art.parent)  # it lies in the folder of its own work
            beside = out.parent if out is not None else self.folder
            keeper = Keeper(folder=art.parent) if dropped else keeper_for(beside, art)
            at = self.folder / f"{art.stem}-cut" if dropped else cut_beside(keeper.folder)
            before = None if anew else job_kept(keeper.folder)
            self._tell("reading the drawing")
            there = piece.read_piece(art, before or job, progress=self._tell)
            if anew:
                keeper.lay_aside(there[1].job)
            self._lay(*there, out=out or at, keeper=keeper)
            return before is not None

    def choose(self, turn: int, name: str, inside: str) -> None:
        """Open a drawing of the shelf.

        Raises:
            FiligreeError: it is not there.
        """
        with self._working(turn):
            if {"name": name, "inside": inside} not in drawings_in(self.folder):
                raise FiligreeError("it is not there any more", remedy="look again", where="page")
            art = self.folder / inside / name
            keeper = Keeper(folder=art.parent) if inside else keeper_for(self.folder, art)
            there = self._aside(piece.read_piece, art, job_kept(keeper.folder) or self.fallback)
            self._lay(*there, out=cut_beside(keeper.folder), keeper=keeper)

    def drop(
        self, turn: int, name: str, data: bytes, size: Mapping[str, Any] | None = None
    ) -> bool:
        """Take a drawing that was dropped on the page; it is kept beside the state.

        Args:
            turn: the state that it was meant for.
            name: what the browser calls it.
            data: its bytes.
            size: settings by dotted key that say how large a scan is.

        Returns:
            True when earlier work on this very drawing was taken up.
        """
        with self._working(turn):
            plain = plain_name(name)
            out, kept, before = place_for(self.folder, plain, data)
            job = before or edits.for_new_drawing(self.look.job if self.history else self.fallback)
            job = with_overrides(job, size or {}, where="page")
            with tempfile.TemporaryDirectory() as between:
                first_place = Path(between) / plain
                first_place.write_bytes(data)
                read, first = self._aside(piece.read_piece, first_place, job)
            keeper = Keeper(folder=kept)
            keeper.keep_with(first.job, plain, data)
            self._lay(piece.moved_to(read, kept / plain), first, out=out, keeper=keeper)
            return before is not None

    def scale(self, turn: int, start: XY, end: XY, length: float) -> None:
        """Size the drawing by two points and their distance; it is read anew."""
        with self._working(turn):
            was = self.state
            job = edits.scaled(
                was.look.job, width=was.piece.drawing.width, start=start, end=end, length=length
            )
            self._push(*self._aside(piece.read_piece, was.piece.art, job))

    def save(self, turn: int) -> tuple[str, int]:
        """Write the same folder as `filigree make`; gives its name and the number of files."""
        with self._working(turn):
            was = self.state
            out = self.out or self.folder / f"{was.piece.art.stem}-cut"
            check_ours(settled(out))
            refuse_changed(out, was.look.job, remedy="move the file away, then save again")
            files = self._aside(piece.files_of, was.piece, was.look.job)
            write_folder(out, with_hand(out, files, was.look.job))
            return out.name, len(files)

    def _working(self, turn: int) -> "_Working":
        return _Working(self, turn)

    def _tell(self, step: str) -> None:
        if self._stop.is_set():
            raise StoppedError
        self.step = step

    def _aside(self, work: Callable[..., T], *given: Any) -> T:
        return self.helper.do(work, *given, tell=self._tell, stop=self._stop)

    def _kept_look(self, was: State, job: Job) -> Look:
        """Look at the piece anew while the job is written to disk."""
        writing = self.keeper.start(job) if self.keeper is not None else None
        try:
            new = self._looked(was, job)
        except BaseException:
            if writing is not None:
                writing.drop()
            raise
        if writing is not None and new.job == job:
            writing.finish()
        elif writing is not None:
            writing.drop()
            self._keep(new.job)
        return new

    def _looked(self, was: State, job: Job) -> Look:
        """Look at the piece anew, aside when that was slow before; other programs make nothing slow."""
        began = time.thread_time(), time.monotonic()
        if self._slow:
            done = self._aside(piece.looked, was.piece, job, was.look)
        else:
            done = piece.looked(was.piece, job, was.look, progress=self._tell)
        spent = time.monotonic() - began[1] if self._slow else time.thread_time() - began[0]
        self._slow = spent > self.patience
        return done

    def shelf(self) -> list[dict[str, Any]]:
        """List the drawings that can be opened, and say for each whether work on it is kept."""
        return [
            one | {"begun": bool(one["inside"]) or begun(self.folder, one["name"])}
            for one in drawings_in(self.folder)
        ]

    def _lay(self, there: Piece, first: Look, *, out: Path, keeper: Keeper) -> None:
        """Begin a history with a drawing."""
        keeper.keep(first.job)
        with self._shown:
            self._append(there, first, serial=None, past=())
            self.out, self.keeper = self.given or out, keeper

    def _push(self, there: Piece, new: Look, *, serial: int | None = None) -> None:
        self._keep(new.job)
        self._append(there, new, serial=serial)

    def _append(
        self,
        there: Piece,
        new: Look,
        *,
        serial: int | None,
        past: Sequence[State] | None = None,
    ) -> None:
        """Show a state; it follows those up to now, or `past`."""
        if serial is None:
            self._serial += 1
            self._slow = len(there.regions.regions) > MANY
        number = self._serial if serial is None else serial
        before = self.history[: self.now + 1] if past is None else past
        states = [*before, State(piece=there, serial=number, look=new)][-MOST_UNDO:]
        with self._shown:
            self.history, self.now, self.turn = states, len(states) - 1, self.turn + 1

    def _keep(self, job: Job) -> None:
        if self.keeper is not None:
            self.keeper.keep(job)


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
