"""Elsewhere: pieces made in other processes, of this machine or of a cluster."""

import importlib
import multiprocessing
import os
import signal
import tempfile
import threading
from collections.abc import Callable, Collection, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import Any, Protocol

from filigree.batch.making import piece
from filigree.batch.model import Made, Task
from filigree.errors import FiligreeError
from filigree.output.swap import undisturbed

AHEAD = 4  # tasks handed out for each worker, so that a long list is never all in memory


class Waiting(Protocol):
    """A piece being made elsewhere."""

    def exception(self) -> BaseException | None:
        """Wait for it, and give what went wrong."""

    def result(self) -> Made:
        """Wait for it."""


class Hands(Protocol):
    """Processes that make pieces.

    Attributes:
        ahead: how many pieces may be on their way at once.
        lost: what a piece ends with whose process was killed.
    """

    ahead: int
    lost: tuple[type[BaseException], ...]

    def give(self, task: Task) -> Waiting:
        """Have a piece made."""

    def done_of(self, running: Collection[Waiting]) -> Collection[Waiting]:
        """Wait until at least one is done, and give those that are."""

    def renew(self) -> None:
        """Start afresh after a process was killed."""


@contextmanager
def on_this_machine(workers: int | None) -> Iterator[Hands]:
    """Give processes of this machine; leaving the block ends them, whatever they do.

    Raises:
        FiligreeError: there is nowhere to put temporary files.
    """
    try:
        scratch = tempfile.TemporaryDirectory(prefix="filigree-", ignore_cleanup_errors=True)
    except OSError as error:
        raise FiligreeError(
            f"no folder for temporary files ({(error.strerror or str(error)).lower()})",
            remedy="free some space, or set TMPDIR",
            where=tempfile.gettempprefix(),
        ) from error
    with scratch as place:
        here = _Here(max(workers or os.cpu_count() or 1, 1), place)
        try:
            yield here
        finally:
            here.end()


class _Here:
    """Processes of this machine, started when first needed."""

    lost: tuple[type[BaseException], ...] = (BrokenProcessPool,)

    def __init__(self, count: int, scratch: str) -> None:
        self.ahead = count * AHEAD
        self._count = count
        self._scratch = scratch
        self._others = {child.pid for child in multiprocessing.active_children()}
        self._pool = self._fresh()

    def give(self, task: Task) -> Waiting:
        """Have a piece made; a process started for it inherits that Ctrl-C is held back."""
        with undisturbed():
            try:
                return self._pool.submit(piece, task)
            except BrokenProcessPool as error:
                gone: Future[Made] = Future()
                gone.set_exception(error)
                return gone
            except OSError as error:
                raise FiligreeError(
                    f"no process can be started ({error.strerror})",
                    remedy="try fewer with --workers",
                    where="--workers",
                ) from error

    def done_of(self, running: Collection[Waiting]) -> Collection[Waiting]:
        """Wait until at least one is done, and give those that are."""
        ours = [waiting for waiting in running if isinstance(waiting, Future)]
        return wait(ours, return_when=FIRST_COMPLETED).done

    def renew(self) -> None:
        """End all and start afresh."""
        self.end()
        self._pool = self._fresh()

    def end(self) -> None:
        """End the processes at once."""
        with undisturbed():
            ours = [c for c in multiprocessing.active_children() if c.pid not in self._others]
            for child in ours:
                child.terminate()
            for child in ours:
                child.join()
            self._pool.shutdown(cancel_futures=True)

    def _fresh(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            self._count,
            mp_context=multiprocessing.get_context("spawn"),
            initializer=_begin,
            initargs=(self._scratch,),
        )


def _begin(scratch: str) -> None:
    """Begin a process: Ctrl-C is for the one that started it, and when that one ends, so does this."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    tempfile.tempdir = scratch
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


@contextmanager
def on_cluster(address: str) -> Iterator[Hands]:
    """Give the workers of a running scheduler.

    Raises:
        FiligreeError: the extra is not installed, or no scheduler answers.
    """
    try:
        module = importlib.import_module("distributed")
    except ImportError as error:
        raise FiligreeError(
            "the cluster extra is not installed",
            remedy="in the folder that filigree was installed from: pip install '.[cluster]'",
            where="--cluster",
        ) from error
    make_client: Callable[..., Any] = module.Client
    try:
        client = make_client(address, timeout=10)
    except (OSError, ValueError) as error:
        raise FiligreeError(
            f"no scheduler answers at {address}", remedy="check the address", where="--cluster"
        ) from error
    try:
        yield _There(client, module)
    finally:
        client.close()


class _There:
    """Workers of a cluster; the scheduler replaces those that are lost."""

    def __init__(self, client: Any, module: Any) -> None:
        self.lost: tuple[type[BaseException], ...] = (module.KilledWorker,)
        self.ahead = max(len(client.scheduler_info()["workers"]), 1) * AHEAD
        self._client = client
        self._wait = module.wait

    def give(self, task: Task) -> Waiting:
        """Have a piece made."""
        waiting: Waiting = self._client.submit(piece, task, pure=False)
        return waiting

    def done_of(self, running: Collection[Waiting]) -> Collection[Waiting]:
        """Wait until at least one is done, and give those that are."""
        done: Collection[Waiting] = self._wait(list(running), return_when="FIRST_COMPLETED").done
        return done

    def renew(self) -> None:
        """Nothing to do: the scheduler has workers left, or waits for one."""
