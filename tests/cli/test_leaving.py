"""How the process ends: bugs, interrupts, readers that leave, disks that are full."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from filigree.cli import printing
from filigree.cli.leaving import Leaving

HEAD = "import sys; from filigree import cli; from filigree.cli import commands\n"


def python(script: str, **options) -> subprocess.CompletedProcess:
    command = [sys.executable, "-c", HEAD + script]
    return subprocess.run(
        command, capture_output=True, text=True, check=False, timeout=60, **options
    )


def test_a_bug_keeps_its_traceback_and_gives_3():
    ended = python("commands.dispatch = lambda args: 1 / 0\ncli.run()")
    assert ended.returncode == 3
    assert "Traceback" in ended.stderr
    assert "ZeroDivisionError" in ended.stderr


@pytest.mark.parametrize(
    "raised", ["KeyboardInterrupt", "ImportError('half imported')", "SystemError('torn')"]
)
def test_an_interrupt_gives_130_however_it_surfaces(raised):
    ended = python(
        "import os, signal\n"
        "def dispatch(args):\n"
        "    try: os.kill(os.getpid(), signal.SIGINT)\n"
        f"    except KeyboardInterrupt: raise {raised} from None\n"
        "commands.dispatch = dispatch\ncli.run()"
    )
    assert (ended.returncode, ended.stdout, ended.stderr) == (130, "", "")


def test_an_interrupt_while_libraries_load_gives_130():
    command = [
        sys.executable,
        "-c",
        HEAD + "print('ready', flush=True)\nsys.argv[1:] = ['check', 'no.svg']\ncli.run()",
    ]
    for pause in (0.0, 0.03, 0.1, 0.2):
        process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        process.stdout.readline()
        time.sleep(0.05 + pause)
        with contextlib.suppress(ProcessLookupError):
            process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=60)
        assert process.returncode in {130, 2}  # 2: it had said already that no.svg is missing
        assert "Traceback" not in err


def test_a_reader_that_leaves_changes_no_verdict():
    script = (
        "import click; from filigree.cli import printing\n"
        "class Piece:\n"
        "    holds = False\n"
        "    as_text = lambda self: 'x' * 1_000_000\n"
        "commands.dispatch = lambda args: printing.answer(Piece(), as_json=False)\ncli.run()"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", HEAD + script], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    process.stdout.close()
    assert process.stderr.read() == b""
    process.stderr.close()
    assert process.wait(timeout=60) == 1


def into_a_full_disk(*args: str) -> subprocess.CompletedProcess:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        return subprocess.run(
            [sys.executable, *args],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            timeout=60,
        )


@pytest.mark.parametrize("args", [["--version"], ["make", "--help"]])
def test_a_full_disk_behind_standard_output_is_told(args):
    ended = into_a_full_disk("-m", "filigree", *args)
    assert ended.returncode == 2
    assert ended.stderr.count("\n") == 1
    assert os.strerror(28).lower() in ended.stderr.lower()


def test_a_full_disk_behind_an_answer_longer_than_any_buffer_is_told():
    """What is longer than a buffer is written past it, and nothing is left in it to be flushed."""
    script = "import sys\nfrom filigree.cli import commands, printing\n"
    script += "commands.cli.invoke = lambda *_: printing.say(b'x' * 1_000_000)\n"
    script += "sys.exit(commands.dispatch(['stack']))"
    ended = into_a_full_disk("-c", script)
    assert ended.returncode == 2
    assert ended.stderr.startswith("filigree: standard output: cannot be written")
    assert ended.stderr.count("\n") == 1


@pytest.mark.parametrize(
    ("as_json", "printed"), [(True, b'"\xe2\x86\x92"\n'), (False, b"\\u2192\n")]
)
def test_a_terminal_without_the_signs_gets_whole_json_and_readable_text(as_json, printed):
    script = (
        "from filigree.cli import printing\n"
        "class Piece:\n"
        "    holds = True\n"
        "    as_text = lambda self: '\\u2192'\n"
        "    as_json = lambda self: '\"\\u2192\"'\n"
        f"commands.dispatch = lambda args: printing.answer(Piece(), as_json={as_json})\ncli.run()"
    )
    ended = subprocess.run(
        [sys.executable, "-c", HEAD + script],
        env={**os.environ, "PYTHONIOENCODING": "latin-1"},
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert (ended.returncode, ended.stdout, ended.stderr) == (0, printed, b"")


def test_leaving_keeps_the_code_it_was_given():
    before = signal.getsignal(signal.SIGINT)
    try:
        with Leaving() as leaving:
            leaving.code = 1
        assert leaving.code == 1
    finally:
        signal.signal(signal.SIGINT, before)


def test_progress_is_for_a_terminal_only(monkeypatch, capsys):
    with printing.progress() as tell:
        assert tell is None
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with printing.progress() as tell:
        tell("reading")
    out, err = capsys.readouterr()
    assert "reading ..." in err
    assert err.endswith("\r\x1b[K")
    assert out == ""
