"""Wrong words on the command line: one line each, with the nearest name, and nothing written."""

import pytest

from filigree.cli import main

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">'
    '<path fill="none" stroke="#000" d="M2 2H58V58H2Z M20 20H40V40H20Z"/></svg>'
)
WRONG = [
    pytest.param(
        ["make", "vien.svg"], "vien.svg: no such file; did you mean 'vine.svg'?", id="file"
    ),
    pytest.param(["redraw", "vine.png"], "did you mean 'vine.svg'?", id="scan"),
    pytest.param(["make", "leaf.bmp"], "here are: moth.svg, vine.svg", id="file far off"),
    pytest.param(["page", "empty/vine.svg"], "name an SVG, or a scan or photo", id="none there"),
    pytest.param(["check", "no/vine.svg"], "no/vine.svg: there is no such folder", id="folder"),
    pytest.param(
        ["make", "."], "make all of them with filigree batch", id="a folder is no drawing"
    ),
    pytest.param(["make"], 'as in: filigree make vine.svg --face "5-6 oz"', id="no drawing"),
    pytest.param(["batch"], "as in: filigree batch riders", id="no folder"),
    pytest.param(["batch", "vine.svg"], "name a folder with drawings", id="drawing as folder"),
    pytest.param(["vine.svg"], "as in: filigree make vine.svg", id="no command"),
    pytest.param(["Check", "vine.svg"], "did you mean 'check'?", id="capital"),
    pytest.param(["check", "vine.svg", "--widht", "9"], "did you mean '--width'?", id="option"),
    pytest.param(["stack", "--neeed", "grip"], "did you mean '--need'?", id="option of stack"),
    pytest.param(["--hlep"], "did you mean '--help'?", id="help"),
    pytest.param(
        ["check", "vine.svg", "-x"], "no option '-x'; see 'filigree check --help'", id="x"
    ),
    pytest.param(["check", "vine.svg", "--face"], "see 'filigree check --help'", id="no value"),
    pytest.param(["check", "vine.svg", "--cut", "lazer"], "'laser'", id="choice"),
    pytest.param(["check", "vine.svg", "--inlay", "redd"], "did you mean 'red'", id="colour"),
    pytest.param(["check", "vine.svg", "--width", "9 km"], "unknown unit", id="unit"),
    pytest.param(["check", "vine.svg", "--width", "1e9"], "--width", id="figure"),
    pytest.param(
        ["check", "vine.svg", "--width", "90 m"], "is 90000 mm, outside 0 to 5000 mm", id="huge"
    ),
    pytest.param(
        ["check", "vine.svg", "--face", "99oz"], "'99oz' is 39.29 mm, outside 0.1", id="one figure"
    ),
    pytest.param(["check", "blank/none.png"], "none.png: the file is empty;", id="empty picture"),
    pytest.param(["check", "vine.svg", "--job", "."], "filigree: .: not a", id="folder as job"),
    pytest.param(["check", "vine.svg", "--inlay", "redd"], "--inlay: 'redd' is no", id="inlay"),
    pytest.param(
        ["check", "vine.svg", "--face-colour", "redd"], "--face-colour: 'redd' is no", id="face"
    ),
    *(
        pytest.param(
            [command, "vine.svg", "--job", f"{table}.toml"],
            f"[{table}] {key}: 'redd' is no",
            id=f"colour in {table} {key}",
        )
        for command, table, key in (
            ("check", "backing", "colour"),
            ("check", "stiffener", "colour"),
            ("colours", "colours", "faces"),
        )
    ),
    pytest.param(["make", "vine.svg", "-o", "vine.svg/out"], "another folder with -o", id="out"),
    pytest.param(["help", "drawin"], "did you mean 'drawing'?", id="guide"),
    pytest.param(["help", "nosuch"], "guides are drawing, ", id="no such guide"),
]


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("vine.svg", "moth.svg"):
        (tmp_path / name).write_text(DRAWING, encoding="utf-8")
    (tmp_path / "empty").mkdir()
    (tmp_path / "blank").mkdir()
    (tmp_path / "blank" / "none.png").touch()
    for table, said in (
        ("backing", 'colour = "redd"'),
        ("stiffener", 'colour = "redd"'),
        ("colours", 'faces = ["redd"]'),
    ):
        (tmp_path / f"{table}.toml").write_text(f"[{table}]\n{said}\n", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(("args", "says"), WRONG)
def test_what_is_wrong_is_told_with_what_is_right(args, says, folder, capsys):
    before = sorted(folder.rglob("*"))
    assert main(args) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("filigree: ")
    assert err.count("\n") == 1
    assert says in err
    assert sorted(folder.rglob("*")) == before


def test_help_of_a_command_is_its_help(capsys):
    assert main(["help", "make"]) == 0
    asked = capsys.readouterr().out
    assert main(["make", "--help"]) == 0
    assert asked.split() == capsys.readouterr().out.split()


def test_a_guide_goes_before_a_command_of_the_same_name(capsys):
    assert main(["help", "batch"]) == 0
    assert capsys.readouterr().out.startswith("# From one piece to five hundred")
