"""Turns: pieces handed out a few ahead; what goes wrong with one becomes its row, and the others go on."""

import traceback
from collections import deque
from collections.abc import Iterator, Sequence

from filigree.batch.elsewhere import Hands, Waiting
from filigree.batch.listing import Listed
from filigree.batch.model import Made
from filigree.errors import FiligreeError, one_line

_KILLED = FiligreeError(
    "its process ended before it was done, and again when it was tried alone",
    remedy="it may need more memory than there is: draw it with fewer points, or try fewer --workers",
)


def in_turn(hands: Hands, items: Sequence[Listed]) -> Iterator[Made]:
    """Hand out pieces in the order of the list, a few ahead, and give each when it is done.

    When a process is killed, one of those on their way was its reason: they are tried again one at a time,
    until one has lost its process alone. That one has failed.
    """
    left = deque(items)
    running: dict[Waiting, Listed] = {}
    alone = 0  # so many from here on are tried one at a time
    while left or running:
        while left and len(running) < (1 if alone else hands.ahead):
            item = left.popleft()
            try:
                running[hands.give(item.task())] = item
            except FiligreeError as error:
                alone = max(alone - 1, 0)
                yield _failed(item, error)
        if not running:
            continue
        done = hands.done_of(running)
        if any(isinstance(waiting.exception(), hands.lost) for waiting in done):
            done = list(running)  # all of them end with it
        lost = []
        for waiting in [w for w in running if w in done]:
            item = running.pop(waiting)
            if isinstance(waiting.exception(), hands.lost):
                lost.append(item)
            else:
                yield _outcome(item, waiting)
        if lost and alone:
            yield _failed(lost.pop(), _KILLED)
            alone = 0
            hands.renew()
        elif lost:
            left.extendleft(reversed(lost))
            alone = len(lost)
            hands.renew()
        else:
            alone = max(alone - 1, 0)


def _outcome(item: Listed, waiting: Waiting) -> Made:
    """Give a piece as it came back; a fault of ours is told with its traceback."""
    fault = waiting.exception()
    if fault is None:
        return waiting.result()
    say = one_line(f"{item.art}: a fault of filigree: {type(fault).__name__}: {fault}")
    trace = "".join(traceback.format_exception(fault))
    return Made(row=item.failed(say), files={}, fault=trace)


def _failed(item: Listed, error: FiligreeError) -> Made:
    where = error.where or item.art
    return Made(
        row=item.failed(str(FiligreeError(error.what, remedy=error.remedy, where=where))), files={}
    )
