"""Swap: Ctrl-C is held back while files are written, whichever thread takes the signal."""

import os
import signal
import threading
import time

import pytest

from filigree.output import swap


@pytest.fixture
def other_thread():
    """A thread that lets signals through, as those of numerical libraries do."""
    end = threading.Event()
    thread = threading.Thread(target=end.wait)
    thread.start()
    yield
    end.set()
    thread.join()


def interrupted():
    os.kill(os.getpid(), signal.SIGINT)
    time.sleep(0.1)


def held(reached):
    with swap.undisturbed():
        interrupted()
        with swap.undisturbed():
            interrupted()
        reached.append("end")


def waiting(reached, lock):
    with swap.locked(lock), swap.undisturbed(), swap.undisturbed():
        interrupted()
        reached.append("held")
        with swap.locked(lock):
            reached.append("locked")


def test_ctrl_c_waits_for_the_end_of_the_block(other_thread):
    reached = []
    with pytest.raises(KeyboardInterrupt):
        held(reached)
    assert reached == ["end"]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_waiting_for_a_lock_hears_ctrl_c_that_came_before(other_thread, tmp_path):
    reached = []
    with pytest.raises(KeyboardInterrupt):
        waiting(reached, tmp_path / "lock")
    assert reached == ["held"]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
