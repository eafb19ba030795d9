"""Long work in a process of its own: its steps are told, it ends at once when stopped, and leaves nothing."""

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from filigree.errors import FiligreeError
from filigree.job import Job
from filigree.page.aside import HELPER, BrokenError, Helper, StoppedError
from filigree.page.desk import Desk


def working(seconds, *, progress):
    """Work without ever looking up, as a long call of a library does."""
    progress("working")
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        sum(range(1000))
    return "done"


def refusing(*, progress):
    raise FiligreeError("too thin", remedy="take a thicker one", where="face")


def failing(*, progress):
    raise KeyError("a fault")


def dying(*, progress):
    os._exit(9)


def test_steps_and_result_come_back():
    steps = []
    assert HELPER.do(working, 0.01, tell=steps.append, stop=threading.Event()) == "done"
    assert steps == ["working"]


def test_the_same_process_does_the_next_work_and_a_stopped_one_is_replaced():
    HELPER.do(working, 0.0, tell=str, stop=threading.Event())
    first = HELPER.process.pid
    with pytest.raises(FiligreeError):
        HELPER.do(refusing, tell=str, stop=threading.Event())
    assert HELPER.process.pid == first
    stop = threading.Event()
    stop.set()
    with pytest.raises(StoppedError):
        HELPER.do(working, 5.0, tell=str, stop=stop)
    assert HELPER.process.pid != first
    assert HELPER.do(working, 0.0, tell=str, stop=threading.Event()) == "done"


def test_a_file_beside_the_drawings_is_no_module(tmp_path, monkeypatch):
    (tmp_path / "shapely.py").write_text("raise SystemExit('a file beside the drawings ran')")
    monkeypatch.chdir(tmp_path)
    helper = Helper()
    try:
        assert helper.do(working, 0.0, tell=str, stop=threading.Event()) == "done"
    finally:
        helper.end()


def test_it_is_stopped_in_under_a_second():
    stop = threading.Event()
    began = []

    def told(step):
        began.append(time.monotonic())
        threading.Timer(0.1, stop.set).start()

    with pytest.raises(StoppedError):
        HELPER.do(working, 60.0, tell=told, stop=stop)
    assert time.monotonic() - began[0] < 1.0


def test_what_goes_wrong_comes_back():
    with pytest.raises(FiligreeError, match="face: too thin; take a thicker one"):
        HELPER.do(refusing, tell=str, stop=threading.Event())
    with pytest.raises(FiligreeError, match="ended by the system"):
        HELPER.do(dying, tell=str, stop=threading.Event())
    with pytest.raises(BrokenError, match="terminal says where"):
        HELPER.do(failing, tell=str, stop=threading.Event())


@pytest.mark.parametrize("what", ["save", "mend", "drop", "scale"])
def test_a_stopped_step_leaves_the_desk_as_it_was(what, art, tmp_path, monkeypatch):
    desk = Desk(folder=tmp_path)
    desk.open(art, Job())
    before, turn = desk.look, desk.turn
    files = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}

    def stopping(self, step):
        desk.stop()
        self.step = step

    monkeypatch.setattr(Desk, "_tell", stopping)
    with pytest.raises(StoppedError):
        {
            "save": lambda: desk.save(turn),
            "mend": lambda: desk.mend(turn, [], accept=True),
            "drop": lambda: desk.drop(turn, "wren.svg", art.read_bytes()),
            "scale": lambda: desk.scale(turn, (0.0, 0.0), (10.0, 0.0), 20.0),
        }[what]()
    assert (desk.look, desk.turn, desk.step) == (before, turn, "")
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == files


def test_work_ends_when_the_server_is_killed(tmp_path):
    """Nothing goes on working, unseen, for a page that is gone."""
    told = tmp_path / "helper"
    code = (
        "import pathlib, sys, threading\n"
        "from filigree.page.aside import HELPER\n"
        "from tests.page.test_aside import working\n"
        "HELPER.start()\n"
        f"pathlib.Path({str(told)!r}).write_text(str(HELPER.process.pid))\n"
        "HELPER.do(working, 120.0, tell=print, stop=threading.Event())\n"
    )
    with subprocess.Popen(
        [sys.executable, "-u", "-c", code], stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout.readline()  # the first step: it is at work
        helper = int(told.read_text())
        server.kill()
    for _ in range(200):
        if not _alive(helper):
            return
        time.sleep(0.05)
    os.kill(helper, signal.SIGKILL)
    raise AssertionError("the helper went on without its server")


def _alive(pid):
    """Is this process there and not only waiting to be buried?"""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False
