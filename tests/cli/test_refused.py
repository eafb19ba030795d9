"""What the machine refuses: one line that names the place, whatever command meets it."""

import errno
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

import filigree
from filigree.cli import commands, main
from filigree.cli.job_options import share_of
from filigree.errors import FiligreeError

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
    '<path d="M1 1H59V39H1ZM20 15H30V25H20Z" fill="none" stroke="#000"/></svg>'
)

# everything is loaded first, then what root may do is given up, so that rights count for root too
PLAIN = """
import os, sys
from filigree import batch, cli, pipeline
from filigree.cli import batch as _, colours, make, mend, redraw
from filigree.page import desk
from filigree.cli import page
if os.geteuid() == 0:
    os.seteuid(65534)
"""
HERE = {**os.environ, "PYTHONPATH": str(Path(filigree.__file__).parents[1])}
COMMAND = "sys.exit(cli.main(sys.argv[1:]))"


@pytest.fixture(scope="module")
def bench() -> Iterator[Path]:
    """A folder that anybody may look into, with one drawing and folders of all kinds of rights."""
    with tempfile.TemporaryDirectory(prefix="rights-") as name:
        folder = Path(name)
        folder.chmod(0o755)
        (folder / "plain.svg").write_text(SVG)
        (folder / "closed.svg").write_text(SVG)
        (folder / "closed.svg").chmod(0o000)
        modes = {"dark": 0o000, "blind": 0o444, "mute": 0o111, "read": 0o555}
        for inner in modes:
            (folder / inner).mkdir()
            (folder / inner / "notes.txt").write_text("mine")
            (folder / inner / "drawing.svg").write_text(SVG)
            (folder / inner / "drawing.svg").chmod(0o644)
        for inner, mode in modes.items():
            (folder / inner).chmod(mode)
        yield folder
        for inner in modes:
            (folder / inner).chmod(0o755)


def run(folder: Path, *words: str) -> tuple[int, str]:
    ended = subprocess.run(
        [sys.executable, "-c", PLAIN + COMMAND, *words],
        cwd=folder,
        env=HERE,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert ended.stdout == ""
    return ended.returncode, ended.stderr


REFUSED = [  # words, what the line names
    (["make", "plain.svg", "-o", "dark"], "dark: cannot be written (permission denied)"),
    (["make", "plain.svg", "-o", "blind"], "blind: cannot be written (permission denied)"),
    (["make", "plain.svg", "-o", "mute"], "mute: cannot be written (permission denied)"),
    (["mend", "plain.svg", "-o", "blind"], "blind: cannot be written (permission denied)"),
    (["check", "closed.svg"], "closed.svg: cannot be read (permission denied)"),
    (["redraw", "closed.svg"], "closed.svg: cannot be read (permission denied)"),
    (["page", "dark", "--no-browser"], "dark: cannot be read (permission denied)"),
    (["batch", "dark"], "dark: cannot be read (permission denied)"),
    (["make", "plain.svg", "-o", "read/cut"], "cut: cannot be written (permission denied)"),
    (["make", "plain.svg", "-o", "plain.svg/x"], "plain.svg: this is a file"),
]


@pytest.mark.parametrize(("words", "named"), REFUSED)
def test_what_may_not_be_read_or_written_is_one_line(bench, words, named):
    code, err = run(bench, *words)
    assert code == 2
    assert err.count("\n") == 1
    assert named in err.replace("Permission", "permission")
    assert err.rstrip().split("; ")[-1] != err.rstrip(), "what to try"


def test_a_folder_that_hides_its_drawings_fails_piece_by_piece(bench):
    script = PLAIN + (
        "from pathlib import Path\nfrom filigree.batch.listing import pieces_of\n"
        "from filigree.batch.variations import variations_of\nfrom filigree.job import Job\n"
        "for p in pieces_of(Path('blind'), Path('out'), Job(), variations_of(None), 'all'):\n"
        "    print(p.trouble)\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", script],
        cwd=bench,
        env=HERE,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.stderr == ""
    assert ended.stdout.startswith("drawing.svg: cannot be read (permission denied)")


MACHINE = [  # what the system says, the line, or None for a fault of ours
    (OSError(errno.EMFILE, "Too many open files"), "the system refused (too many open files)"),
    (OSError(errno.ENOSPC, "No space left", "/tmp/x.npy"), "/tmp/x.npy: the system refused"),
    (MemoryError(), "it needs more memory than there is"),
    (OSError(errno.ENOENT, "No such file", "table.bin"), None),
    (OSError("odd"), None),
]


@pytest.mark.parametrize(("error", "line"), MACHINE)
def test_only_what_standard_output_refuses_is_laid_to_it(monkeypatch, capsys, error, line):
    def raising(*_: object) -> int:
        raise error

    monkeypatch.setattr(commands.cli, "invoke", raising)
    if line is None:
        with pytest.raises(type(error)):
            main(["stack"])
        return
    assert main(["stack"]) == 2
    err = capsys.readouterr().err
    assert err.startswith(f"filigree: {line}")
    assert "standard output" not in err
    assert err.count("\n") == 1


@pytest.mark.parametrize("text", ["30", "30%", "30 %", "30 percent", "30.0", "30,0%"])
def test_a_share_is_read_in_percent(text):
    assert share_of(text, where="--open-share", most=0.95) == pytest.approx(0.3)


@pytest.mark.parametrize("text", ["", "x", "130", "-3", "96%", "nan", "0.3"])
def test_what_is_no_share_is_told_with_how_to_write_it(text):
    with pytest.raises(FiligreeError) as told:
        share_of(text, where="--open-share", most=0.95)
    assert "30%" in told.value.remedy


def test_the_stack_takes_a_share_with_its_sign(capsys):
    assert main(["stack", "--open-share", "45%"]) == 0
    signed = capsys.readouterr().out
    assert main(["stack", "--open-share", "45"]) == 0
    assert capsys.readouterr().out == signed


def test_rights_are_given_up_for_real():
    """The runs above say nothing when root keeps its rights."""
    script = "import os\nif os.geteuid() == 0: os.seteuid(65534)\nprint(os.geteuid())"
    shown = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert int(shown.stdout) == (os.geteuid() or 65534)
