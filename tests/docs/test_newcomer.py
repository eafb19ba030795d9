"""A newcomer's drawing with three mistakes is led to a piece that can be cut by what the messages say alone.

The border has a break of 2.5 mm, over the 1 mm that is closed; the strand in the middle is 1.4 mm wide, under the stop of a
5-6 oz face by knife (2.38 mm, handbook 2.1); and there is no edge outside the border.
"""

import json
import re

import pytest

from filigree.cli import main

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80" '
    'fill="none" stroke="black" stroke-width="0.4">'
)
FIELD = '<path d="M32 27 H88 V53 H32 Z"/>'
STRAND = '<path d="M59.3 27 V53 M60.7 27 V53"/>'
OPEN_BORDER = '<path d="M20 15 H100 V65 H20 V17.5"/>'


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "leaf.svg").write_text(
        HEAD + OPEN_BORDER + FIELD + STRAND + "</svg>", encoding="utf-8"
    )
    return tmp_path


def test_messages_lead_to_a_piece_that_meets_the_limits(folder, capsys):
    assert main(["check", "leaf.svg"]) == 1
    first = capsys.readouterr().out
    assert "leaves no rim: draw the edge of the piece outside it" in first
    advised = re.search(r"--rim \d+", first)
    assert advised is not None
    rim = advised[0].split()

    assert main(["check", "leaf.svg", *rim]) == 1
    second = capsys.readouterr().out
    assert re.search(r"Widen the bridge between openings \d+ and \d+ from 1\.40 to 3\.6 mm", second)

    assert main(["mend", "leaf.svg", *rim, "-o", "leaf-cut"]) == 0
    assert "leaf-cut" in capsys.readouterr().out
    report = json.loads((folder / "leaf-cut" / "report.json").read_text(encoding="utf-8"))
    assert report["holds"] is True
    assert len(report["openings"]) == 2
    assert min(b["width_mm"] for b in report["bridges"]) >= 2.38  # handbook 2.1, stop by knife
    assert (folder / "leaf-cut" / "face.svg").is_file()


def test_lines_that_enclose_nothing_are_refused_with_what_to_do(folder, capsys):
    (folder / "open.svg").write_text(HEAD + OPEN_BORDER + "</svg>", encoding="utf-8")
    assert main(["check", "open.svg"]) == 2
    said = capsys.readouterr().err
    assert "close the lines" in said
    assert "gap" in said
