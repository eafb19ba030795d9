"""The two commands of the README: what they say when a machine is not ready, and that they work from anywhere."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from filigree import __version__

ROOT = Path(__file__).resolve().parents[2]
RUN = ROOT / "scripts" / "run"
SH = shutil.which("sh")


def run(venv: Path, *, path: str, cwd: Path = ROOT) -> subprocess.CompletedProcess:
    env = {"FILIGREE_VENV": str(venv), "PATH": path, "PYTHONPATH": str(ROOT)}
    command = [SH, str(RUN), "--version"]
    return subprocess.run(
        command, env=env, cwd=cwd, capture_output=True, text=True, check=False, timeout=60
    )


@pytest.fixture
def bare_path(tmp_path):
    """A search path with the small tools the scripts use and no Python."""
    folder = tmp_path / "bin"
    folder.mkdir()
    for tool in ("dirname", "cat", "rm", "cksum"):
        (folder / tool).symlink_to(shutil.which(tool))
    return str(folder)


def test_no_python_is_told_in_one_line(tmp_path, bare_path):
    ended = run(tmp_path / "venv", path=bare_path)
    assert ended.returncode == 2
    assert ended.stderr == (
        "filigree: Python 3.11 or newer is needed and was not found; install it and try again\n"
    )
    assert not (tmp_path / "venv").exists()


def test_an_old_python_is_no_python(tmp_path, bare_path):
    old = Path(bare_path) / "python3"
    old.write_text(f"#!{SH}\nexit 1\n", encoding="utf-8")
    old.chmod(0o755)
    assert "3.11 or newer" in run(tmp_path / "venv", path=bare_path).stderr


def test_a_folder_in_the_way_stays(tmp_path):
    (tmp_path / "venv").mkdir()
    (tmp_path / "venv" / "letter.txt").write_text("mine", encoding="utf-8")
    ended = run(tmp_path / "venv", path=os.environ["PATH"])
    assert ended.returncode == 2
    assert "is in the way" in ended.stderr
    assert (tmp_path / "venv" / "letter.txt").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("level", ["run", "test"])
def test_a_ready_environment_runs_at_once_from_any_folder(tmp_path, level):
    venv = tmp_path / "venv"
    (venv / "bin").mkdir(parents=True)
    python = venv / "bin" / "python"
    python.write_text(f'#!{SH}\nexec "{sys.executable}" "$@"\n', encoding="utf-8")
    python.chmod(0o755)
    settings = (ROOT / "pyproject.toml").read_bytes()
    summed = subprocess.run(
        ["cksum"], input=settings, capture_output=True, check=True
    ).stdout.decode()
    version = ".".join(map(str, sys.version_info[:3]))
    (venv / "filigree-stamp").write_text(
        f"{summed.strip()} Python {version} {level}\n", encoding="utf-8"
    )
    (
        tmp_path / "filigree"
    ).mkdir()  # a folder of that name where the maker stands, as beside a fresh clone
    (tmp_path / "filigree" / "__init__.py").write_text("raise RuntimeError", encoding="utf-8")
    ended = run(venv, path=os.environ["PATH"], cwd=tmp_path)
    assert (ended.returncode, ended.stderr) == (0, "")
    assert ended.stdout == f"filigree, version {__version__}\n"
