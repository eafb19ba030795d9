"""Aside: long work done in a process of its own, so that it ends at once when the maker stops it.

The work is a function of the package and its nouns go in and out by value; it touches no file, so nothing is
left half-done. Processes come from a helper that has the package loaded already, where the system has such.
"""

import signal
import sys
import traceback
from collections.abc import Callable
from multiprocessing import Pipe, get_all_start_methods, get_context
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerProcess, SpawnProcess
from threading import Event
from typing import Any, Final, TypeVar

from filigree.errors import FiligreeError

LISTEN = 0.05  # seconds between two looks at whether to stop
_HELPER: Final = "forkserver" in get_all_start_methods()
_Process: Final = ForkServerProcess if _HELPER else SpawnProcess

Progress = Callable[[str], None]
T = TypeVar("T")


class StoppedError(Exception):
    """The maker has stopped a long step; nothing was changed."""


class BrokenError(Exception):
    """The work has met a fault of ours; the other process has told where."""


def ready() -> None:
    """Have the helper load the package, so that the first long step need not wait for it."""
    if _HELPER:
        from multiprocessing import forkserver

        get_context("forkserver").set_forkserver_preload(["filigree.page.piece"])
        forkserver.ensure_running()


def done_aside(work: Callable[..., T], *given: Any, tell: Progress, stop: Event) -> T:
    """Do long work in another process.

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
    here, there = Pipe()
    process = _Process(target=_work, args=(there, work, given), daemon=True)
    process.start()
    there.close()
    try:
        while True:
            if stop.is_set():
                raise StoppedError
            if not here.poll(LISTEN):
                continue
            kind, value = here.recv()
            if kind == "step":
                tell(value)
            elif kind == "wrong":
                raise value
            elif kind == "fault":
                raise BrokenError(value)
            else:
                result: T = value
                return result
    except (EOFError, ConnectionError) as error:
        raise FiligreeError(
            "the work was ended by the system",
            remedy="close other programs, or make the drawing simpler: it may need more memory",
            where="page",
        ) from error
    finally:
        here.close()
        process.kill()
        process.join()
        process.close()


def _work(pipe: Connection, work: Callable[..., Any], given: tuple[Any, ...]) -> None:
    """Do the work and send what comes of it; Ctrl-C is for the process that started this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        answer = ("done", work(*given, progress=lambda step: pipe.send(("step", step))))
    except FiligreeError as error:
        answer = ("wrong", error)
    except BaseException:
        traceback.print_exc(file=sys.stderr)
        pipe.send(("fault", traceback.format_exc(limit=0).strip()))
        raise
    pipe.send(answer)
