"""What a command needs beyond the plain installation is named, with how to get it as README.md says."""

import sys
from pathlib import Path

import pytest

from filigree.cli import main

README = Path(__file__).resolve().parents[2] / "README.md"
ART = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"/>'


@pytest.mark.parametrize(
    ("missing", "extra", "words"),
    [
        ("uvicorn", "page", ["page", "art.svg", "--no-browser"]),
        ("distributed", "cluster", ["batch", ".", "-o", "out", "--cluster", "tcp://127.0.0.1:9"]),
    ],
)
def test_a_missing_extra_is_named(tmp_path, monkeypatch, capsys, missing, extra, words):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "art.svg").write_text(ART)
    monkeypatch.setitem(sys.modules, missing, None)  # as when it is not installed
    assert main(words) == 2
    assert f"pip install '.[{extra}]'" in capsys.readouterr().err
    assert "pip install '.[page]'" in README.read_text(encoding="utf-8")
