"""Stopping: Ctrl-C ends a batch and its processes at once, keeps what is done, and the next run goes on."""

import contextlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.batch.art import RING

ROOT = Path(__file__).resolve().parents[2]
OPTIONS = ("--files", "cuts", "--workers", "2")
SOON = 8.0  # seconds; measured 0.2 to 0.9 on two cores with ten others at work
RUN = (
    "import filigree.batch.elsewhere as elsewhere; from tests.batch.odd import odd; elsewhere.piece = odd;"
    "from filigree.cli import run; run()"
)


@pytest.fixture
def started(drawings, tmp_path):
    """Starts a batch on two processes of its own group, as a terminal does; ends the group in any case."""
    groups = []
    (tmp_path / "scratch").mkdir()

    def start():
        process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                RUN,
                "batch",
                str(drawings),
                "-o",
                str(tmp_path / "cut"),
                *OPTIONS,
            ],
            env={
                **os.environ,
                "PYTHONPATH": str(ROOT),
                "ODD_BEGUN": str(tmp_path / "begun"),
                "TMPDIR": str(tmp_path / "scratch"),
            },
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        groups.append(process.pid)
        return process

    yield start
    for group in groups:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(group, signal.SIGKILL)


def stopped(process):
    """Ctrl-C; what was printed, and the seconds that it took."""
    since = time.monotonic()
    os.killpg(process.pid, signal.SIGINT)
    printed, told = process.communicate(timeout=60)
    return printed, told, time.monotonic() - since


def until(true):
    end = time.monotonic() + 60
    while not true():
        assert time.monotonic() < end
        time.sleep(0.02)


def group_is_empty(group):
    """True when no process of a group is left."""
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return True
    return False


def test_ctrl_c_keeps_what_is_done_and_ends_all_processes(started, drawings, tmp_path):
    (drawings / "zz-hour.svg").write_text(RING.format(x=20))
    begun, out = tmp_path / "begun", tmp_path / "cut"
    process = started()
    until(lambda: begun.exists() and len(list(out.glob("*/report.json"))) == 3)
    printed, told, seconds = stopped(process)
    assert process.returncode == 130
    assert printed == ""
    assert told == "filigree: stopped; 3 of 4 pieces are done; run it again to go on from there\n"
    assert seconds < SOON
    until(lambda: group_is_empty(process.pid))
    rows = json.loads((out / "batch.json").read_text())["pieces"]
    assert [row["folder"] for row in rows] == ["left-three", "one", "two"]
    assert sorted(p.name for p in out.iterdir()) == ["batch.json", "left-three", "one", "two"]
    assert list((tmp_path / "scratch").iterdir()) == []


def test_ctrl_c_while_the_processes_start_prints_no_traceback(started):
    process = started()
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    until(lambda: len(children.read_text().split()) >= 2)  # one of them keeps count of the rest
    _, told, seconds = stopped(process)
    assert process.returncode == 130
    assert told == "filigree: stopped; 0 of 3 pieces are done; run it again to go on from there\n"
    assert seconds < SOON
    until(lambda: group_is_empty(process.pid))


def test_a_killed_batch_leaves_no_process_behind(started, drawings, tmp_path):
    (drawings / "hour.svg").write_text(RING.format(x=20))
    begun = tmp_path / "begun"
    process = started()
    until(begun.exists)
    process.kill()
    process.communicate()
    until(lambda: group_is_empty(process.pid))
