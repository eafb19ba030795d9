"""Manual page and completion: as fresh as the commands, and a shell can use them."""

import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import click
import pytest

from filigree.cli.commands import COMMANDS, cli
from filigree.guides import TOPICS
from scripts.shipped.__main__ import HERE, SHELLS
from scripts.shipped.manual import manual

ROOT = Path(__file__).resolve().parents[2]
BASH = shutil.which("bash")


def test_the_manual_page_is_fresh():
    assert (HERE / "filigree.1").read_text(encoding="utf-8") == manual(), (
        "run: python -m scripts.shipped"
    )


def test_the_manual_page_names_every_command_option_and_guide():
    page = manual().replace("\\-", "-")
    for name in COMMANDS:
        assert f".SS filigree {name} " in page
        for option in cli.get_command(click.Context(cli), name).params:
            for word in option.opts:
                assert word in page or isinstance(option, click.Argument)
    for topic in TOPICS:
        assert f".B {topic}\n" in page


@pytest.mark.parametrize(("typed", "offered"), [("fi-m ma", "make"), ("fi-m help wo", "words")])
def test_bash_completes_with_the_shipped_file(typed, offered, tmp_path):
    tool = tmp_path / "fi-m"
    tool.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m filigree "$@"\n', encoding="utf-8")
    tool.chmod(0o755)
    words = typed.split()
    script = (
        f"source '{HERE / 'bash' / 'filigree'}'; COMP_WORDS=({' '.join(words)}); "
        f"COMP_CWORD={len(words) - 1}; _filigree_completion '{tool}'; echo \"${{COMPREPLY[@]}}\""
    )
    ended = subprocess.run(
        [BASH, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
        env={"PYTHONPATH": str(ROOT), "PATH": "/usr/bin:/bin"},
    )
    assert ended.stdout.split() == [offered]


@pytest.mark.parametrize("shell", SHELLS)
def test_each_shell_asks_the_tool(shell):
    text = (HERE / SHELLS[shell]).read_text(encoding="utf-8")
    assert f"_FILIGREE_COMPLETE={shell}_complete" in text


def test_a_wheel_ships_them():
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    listed = {p for paths in settings["tool"]["setuptools"]["data-files"].values() for p in paths}
    here = {HERE / "filigree.1", *(HERE / name for name in SHELLS.values())}
    assert {ROOT / path for path in listed} == here
