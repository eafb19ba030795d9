"""Swap: exchange two folders in one step where the system can, and hold a lock that dies with its run."""

import ctypes
import errno
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

PATIENCE = 60.0  # seconds to wait for another run that writes the same folder

_HERE = -100  # AT_FDCWD
_EXCHANGE = 2  # RENAME_EXCHANGE
_CANNOT = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP}
_NO_LOCKS = {errno.ENOSYS, errno.ENOLCK, errno.ENOTSUP}
_PAUSE = 0.05  # seconds


def exchange(fresh: Path, target: Path, *, aside: Path) -> Path:
    """Put `fresh` in the place of `target` and give back where the old one went.

    One step where the system exchanges names; else the old folder goes aside first, and what a kill
    between the two steps leaves is put right by the next run.
    """
    if _exchanged(fresh, target):
        return fresh
    target.rename(aside)
    try:
        fresh.rename(target)
    except OSError:
        aside.rename(target)
        raise
    return aside


@contextmanager
def undisturbed() -> Iterator[None]:
    """Hold back Ctrl-C until the block is done, so that it leaves nothing half done; waiting for a lock hears it.

    Processes started in the block never hear it. Blocking the signal is not enough for this one: a thread of
    a numerical library may take it, and the interpreter then tells the main thread all the same.
    """
    kept = signal.getsignal(signal.SIGINT)
    if kept is None or threading.current_thread() is not threading.main_thread():
        with _masked(signal.SIG_BLOCK):
            yield
        return
    holding = _Holding(kept)
    signal.signal(signal.SIGINT, holding)
    try:
        with _masked(signal.SIG_BLOCK):
            yield
    finally:
        signal.signal(signal.SIGINT, kept)
        if holding.came:
            signal.raise_signal(signal.SIGINT)


class _Holding:
    """Handler that remembers that Ctrl-C came; `kept` is the one it stands in for."""

    def __init__(self, kept: Any) -> None:
        self.kept = kept
        self.came = False

    def __call__(self, *_: object) -> None:
        self.came = True


@contextmanager
def _heard() -> Iterator[None]:
    """Hear Ctrl-C in a block that is otherwise undisturbed, and what came before it."""
    now = first = signal.getsignal(signal.SIGINT)
    came = False
    while isinstance(first, _Holding):
        first, came = first.kept, came or first.came
    if first is now:
        with _masked(signal.SIG_UNBLOCK):
            yield
        return
    signal.signal(signal.SIGINT, first)
    try:
        with _masked(signal.SIG_UNBLOCK):
            if came:
                signal.raise_signal(signal.SIGINT)
            yield
    finally:
        signal.signal(signal.SIGINT, now)


@contextmanager
def locked(lock: Path) -> Iterator[None]:
    """Hold a lock file; the system frees it when its run dies, and leaving removes it.

    Where the system has no such locks, two runs at a time are the maker's own care.

    Raises:
        TimeoutError: another run held it all the while.
    """
    try:
        import fcntl  # POSIX only
    except ImportError:
        yield
        return
    until = time.monotonic() + PATIENCE
    while (handle := _try_lock(lock, fcntl.flock, fcntl.LOCK_EX | fcntl.LOCK_NB)) is None:
        if time.monotonic() > until:
            raise TimeoutError(errno.ETIMEDOUT, "another run is writing it")
        with _heard():
            time.sleep(_PAUSE)
    try:
        yield
    finally:
        with suppress(OSError):
            lock.unlink()
        os.close(handle)


@contextmanager
def _masked(how: int) -> Iterator[None]:
    """Hold back or hear Ctrl-C for a while, where the system has such a thing."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(how, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _exchanged(one: Path, other: Path) -> bool:
    """True when the system exchanged the two names; False when it cannot do such a thing."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    done = rename(_HERE, os.fsencode(one), _HERE, os.fsencode(other), _EXCHANGE)
    if done == 0:
        return True
    number = ctypes.get_errno()
    if number in _CANNOT:
        return False
    raise OSError(number, os.strerror(number), str(other))


def _try_lock(lock: Path, flock: Callable[[int, int], None], how: int) -> int | None:
    """An open handle that holds the lock, or None when it is held or was just removed."""
    handle = os.open(lock, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        flock(handle, how)
    except BlockingIOError:
        os.close(handle)
        return None
    except OSError as error:
        if error.errno not in _NO_LOCKS:
            os.close(handle)
            raise
    with suppress(FileNotFoundError):
        if os.path.samestat(os.fstat(handle), lock.stat()):
            return handle
    os.close(handle)
    return None
