"""Elsewhere: pieces made in other processes, of this machine or of a cluster."""

import importlib
import itertools
import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from typing import Any, Protocol

from filigree.batch.listing import Listed
from filigree.batch.making import piece
from filigree.batch.model import Made, Task
from filigree.errors import FiligreeError

AHEAD = 4  # tasks handed out for each worker, so that a long list is never all in memory


class Waiting(Protocol):
    """A piece being made elsewhere."""

    def result(self) -> Made:
        """Wait for it."""


@dataclass(frozen=True, slots=True)
class Submit:
    """A way to have pieces made elsewhere, and how many may be on their way at once."""

    call: Callable[[Task], Waiting]
    ahead: int


@contextmanager
def on_this_machine(workers: int | None) -> Iterator[Submit]:
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
def on_cluster(address: str) -> Iterator[Submit]:
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


def in_turn(submit: Submit, items: Sequence[Listed]) -> Iterator[Made]:
    """Hand out pieces, a few ahead, and give each in the order of the list when it is done."""
    left = iter(items)
    running = deque(submit.call(item.task()) for item in itertools.islice(left, submit.ahead))
    while running:
        yield running.popleft().result()
        running.extend(submit.call(item.task()) for item in itertools.islice(left, 1))
