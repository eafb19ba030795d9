"""What each file is for: the table of README and of the guide names every file that a piece can have, and no other."""

import json
import re

import pytest

from filigree.cli import main
from filigree.guides import guide
from tests.ground.test_docs import ROOT

DRAWN = (  # two openings with a bridge of 1.4 mm between them, which wants mending
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80" fill="none" '
    'stroke="black" stroke-width="0.4"><path d="M5 5H115V75H5Z"/><path class="open" d="M20 20H59.3V60H20Z"/>'
    '<path class="open" d="M60.7 20H100V60H60.7Z"/></svg>'
)
ALWAYS = {
    "face.svg",
    "inlay-COLOUR.svg",
    "backing.svg",
    "plies.svg",
    "trim.svg",
    "report.json",
    "job.toml",
}
PAPERS = {
    *("proof.html", "proof.svg", "proof.png", "transfer.svg", "glue.svg"),
    *("templates.pdf", "sheet.pdf", "sheet.html"),
}
WAYS = [  # options, settings, and the files that are there besides those that always are
    pytest.param(["--files", "cuts"], "", set(), id="cuts"),
    pytest.param([], "", {*PAPERS, "load.svg"}, id="plain"),
    pytest.param(["--cut", "laser"], "", {*PAPERS, "load.svg", "kerf-gauge.svg"}, id="laser"),
    pytest.param(["--mend"], "", {*PAPERS, "load.svg", "mend.svg"}, id="mended"),
    pytest.param([], "[stiffener]\n", {*PAPERS, "load.svg", "stiffener.svg"}, id="stiffener"),
    pytest.param([], '[use]\nwork = "never"\n', PAPERS, id="no pull"),
]


def listed(page: str) -> set[str]:
    table = page.split("| file | for |")[1].split("\n\n")[0]
    return {
        name
        for row in re.findall(r"^\| (`.+?) \|", table, re.MULTILINE)
        for name in re.findall(r"`([^`]+)`", row)
    }


def test_readme_and_guide_have_the_same_table():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    page = guide("files")
    table = page.split("| file | for |")[1].split("\n\n")[0]
    assert table in readme


def test_every_listed_file_is_made_in_some_way():
    assert listed(guide("files")) == ALWAYS.union(*(way.values[2] for way in WAYS))


@pytest.mark.parametrize(("options", "settings", "more"), WAYS)
def test_files_of_a_piece_are_those_listed(options, settings, more, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "two.svg").write_text(DRAWN, encoding="utf-8")
    if settings:
        (tmp_path / "job.toml").write_text(settings, encoding="utf-8")
    assert main(["make", "two.svg", *options]) in {0, 1}
    made = {p.name for p in (tmp_path / "two-cut").iterdir() if not p.name.startswith(".")}
    named = {re.sub(r"^inlay-\w+\.", "inlay-COLOUR.", name) for name in made}
    assert named == ALWAYS | more
    report = json.loads((tmp_path / "two-cut" / "report.json").read_text(encoding="utf-8"))
    assert {ply["file"] for ply in report["plies"]} <= made
