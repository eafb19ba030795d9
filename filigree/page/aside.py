"""Aside: long work done in a helper process, so that it ends at once when the maker stops it.

The work is a function of the package and its nouns go in and out by value; it touches no file, so nothing is
left half-done. The helper has the package loaded already; it is ended with the work it does and started anew.
"""

import atexit
import os
import pickle
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO, Final, TypeVar

from filigree.errors import FiligreeError

LISTEN = 0.05  # seconds between two looks at whether to stop
ALONE = 0.5  # seconds between two looks at whether the page's server still lives
FAULT = 1  # what Python ends with after a traceback
_START: Final = "from filigree.page.aside import serve; serve({server})"

Progress = Callable[[str], None]
T = TypeVar("T")


class StoppedError(Exception):
    """The maker has stopped a long step; nothing was changed."""


class BrokenError(Exception):
    """The work has met a fault of ours; the helper has told where on standard error."""


@dataclass(slots=True, eq=False)
class Helper:
    """A process that does one piece of long work at a time.

    Attributes:
        process: None before the first work, and after work was stopped.
        said: what the process sends: kind and value, or None at its end.
    """

    process: subprocess.Popen[bytes] | None = None
    said: "queue.SimpleQueue[tuple[str, Any] | None]" = field(default_factory=queue.SimpleQueue)
    _one: threading.Lock = field(default_factory=threading.Lock)

    def start(self) -> None:
        """Start the process, so that the first long step need not wait for it."""
        if self.process is not None and self.process.poll() is None:
            return
        self.end()
        self.said = queue.SimpleQueue()
        self.process = subprocess.Popen(
            # -P: no module lies in the folder of the drawings
            [sys.executable, "-P", "-c", _START.format(server=os.getpid())],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(_places())},
            start_new_session=True,  # Ctrl-C is for the process that started this one
        )
        threading.Thread(target=_listen, args=(self.process.stdout, self.said), daemon=True).start()

    def end(self) -> None:
        """End the process and whatever it does."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            for pipe in (self.process.stdin, self.process.stdout):
                if pipe is not None:
                    _close(pipe)
            self.process = None

    def do(self, work: Callable[..., T], *given: Any, tell: Progress, stop: threading.Event) -> T:
        """Do long work.

        Args:
            work: a function of the package; it is given `progress` as well.
            given: what it needs.
            tell: told each step as it begins.
            stop: set from another thread to end the work.

        Raises:
            StoppedError: it was stopped.
            FiligreeError: the work said so, or the system ended it.
            BrokenError: a fault of ours.
        """
        with self._one:
            self.start()
            try:
                self._send((work, given))
                kind, value = self._answer(tell, stop)
            except BaseException:
                self.end()
                self.start()
                raise
            if kind == "wrong":
                raise value
            result: T = value
            return result

    def _send(self, asked: object) -> None:
        pipe = self.process.stdin if self.process is not None else None
        if pipe is None:
            raise self._why_ended()
        try:
            pickle.dump(asked, pipe, protocol=pickle.HIGHEST_PROTOCOL)
            pipe.flush()
        except BrokenPipeError as error:
            raise self._why_ended() from error

    def _answer(self, tell: Progress, stop: threading.Event) -> tuple[str, Any]:
        """Wait for the answer, telling steps."""
        while True:
            if stop.is_set():
                raise StoppedError
            try:
                said = self.said.get(timeout=LISTEN)
            except queue.Empty:
                continue
            if said is None:
                raise self._why_ended()
            if said[0] != "step":
                return said
            tell(said[1])

    def _why_ended(self) -> Exception:
        """Tell a fault of ours, with which Python ends, from an end that the system made."""
        code = self.process.wait() if self.process is not None else 0
        if code == FAULT:
            return BrokenError("its terminal says where")
        return FiligreeError(
            "the work was ended by the system",
            remedy="close other programs, or make the drawing simpler: it may need more memory",
            where="page",
        )


HELPER: Final = Helper()
atexit.register(HELPER.end)


def serve(server: int) -> None:
    """Be the helper: do what comes on standard input until it closes or the process `server` dies."""
    import filigree.page.piece  # noqa: F401  loaded before any work comes

    threading.Thread(target=_leave_with, args=(server,), daemon=True).start()
    asked, out = sys.stdin.buffer, os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever a library prints is no answer
    while True:
        try:
            work, given = pickle.load(asked)
        except EOFError:
            return
        _say(out, _done(work, given, lambda step: _say(out, ("step", step))))


def _places() -> list[str]:
    """Give where modules are looked for: as here, but not in the current folder unless the package lies there."""
    here = str(Path(__file__).resolve().parents[2])
    places = [place for place in sys.path if place]
    return places if here in places else [*places, here]


def _leave_with(server: int) -> None:
    """End this process, whatever it does, once the server that started it has died."""
    while os.getppid() == server:
        time.sleep(ALONE)
    os._exit(0)


def _done(work: Callable[..., Any], given: tuple[Any, ...], progress: Progress) -> tuple[str, Any]:
    try:
        return "done", work(*given, progress=progress)
    except FiligreeError as error:
        return "wrong", error


def _say(out: BinaryIO, answer: tuple[str, Any]) -> None:
    pickle.dump(answer, out, protocol=pickle.HIGHEST_PROTOCOL)
    out.flush()


def _listen(pipe: BinaryIO, said: "queue.SimpleQueue[tuple[str, Any] | None]") -> None:
    """Pass on what the helper sends, from a thread of its own."""
    try:
        while True:
            said.put(pickle.load(pipe))
    except (
        EOFError,
        OSError,
        ValueError,
        pickle.UnpicklingError,
    ):  # it was ended, maybe in mid-word
        said.put(None)


def _close(pipe: Any) -> None:
    try:
        pipe.close()
    except BrokenPipeError:
        return
