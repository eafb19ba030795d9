"""The command line: help, usage, one-line errors, exit codes."""

import json
import os
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import click
import pytest
from PIL import Image, ImageDraw

from filigree import __version__
from filigree.cli import main
from filigree.cli.commands import COMMANDS, cli

VINE = (  # a 100 x 60 mm face with two round openings, 20 mm apart
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    '<g fill="none" stroke="#000" stroke-width="0.4"><rect x="2" y="2" width="96" height="56"/>'
    '<circle id="open" cx="35" cy="30" r="{r}"/><circle class="open" cx="65" cy="30" r="{r}"/></g></svg>'
)


def _scan():
    """A frame in ink, 60 x 40 mm at 100 dpi."""
    picture = Image.new("L", (240, 160), 255)
    ImageDraw.Draw(picture).rectangle((30, 30, 210, 130), outline=0, width=3)
    held = BytesIO()
    picture.save(held, "PNG")
    return held.getvalue()


SCAN = _scan()
BAD_OPTIONS = [
    pytest.param(["--face", "5-4 oz"], "--face", id="reversed"),
    pytest.param(["--face", "leather"], "--face", id="no thickness"),
    pytest.param(["--face", "5"], "'5 mm' or '5 oz'", id="no unit"),
    pytest.param(["--inlay", "4-5 furlongs"], "--inlay", id="unknown unit"),
    pytest.param(["--backing", "99 mm"], "--backing", id="too thick"),
    pytest.param(["--width", "0"], "--width", id="zero"),
    pytest.param(["--width", "nan"], "--width", id="nan"),
    pytest.param(["--height", "12 px"], "--height", id="px"),
    pytest.param(["--rim", "-3"], "--rim", id="negative"),
    pytest.param(["--width", "0.5"], "at least 1", id="a sheet under 1 mm"),
    pytest.param(["--open", "3,x"], "--open", id="no number"),
    pytest.param(["--keep", "0"], "--keep", id="no field 0"),
    pytest.param(["--open", "9" * 5000], "--open", id="endless number"),
    pytest.param(["--marks", "180"], "--marks", id="one side"),
    pytest.param(["--load", "up"], "--load", id="no direction"),
    pytest.param(["--load", "nan"], "--load", id="nan direction"),
    pytest.param(["--cut", "axe"], "knife", id="unknown cut"),
    pytest.param(["--job", "missing.toml"], "missing.toml", id="missing job"),
    pytest.param(["--wdth", "3"], "--width", id="misspelt option"),
]


@pytest.fixture
def vine(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "vine.svg"
    path.write_text(VINE.format(r=9), encoding="utf-8")
    return path


def refused(capsys, args: list[str]) -> str:
    """The one line on standard error of a command that ends with 2."""
    assert main(args) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("filigree: ")
    assert err.count("\n") == 1
    assert "Traceback" not in err
    return err


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_has_help_with_an_example_of_itself(name, capsys):
    assert main([name, "--help"]) == 0
    text = capsys.readouterr().out
    assert f"Example: filigree {name} " in text
    for option in cli.get_command(click.Context(cli), name).params:
        assert not isinstance(option, click.Option) or option.help, option.name


def test_the_help_lists_every_command_with_a_summary(capsys):
    assert main(["--help"]) == 0
    out = capsys.readouterr().out
    for name in COMMANDS:
        assert f"\n  {name} " in out


def test_every_command_file_is_listed():
    folder = Path(sys.modules["filigree.cli"].__file__).parent
    files = {
        p.stem for p in folder.glob("*.py") if "\ndef command(" in p.read_text(encoding="utf-8")
    }
    assert files == set(COMMANDS)


def test_the_version_comes_from_one_place(capsys):
    assert main(["--version"]) == 0
    assert __version__ in capsys.readouterr().out


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["mkae"], "did you mean 'make'?"),
        (["qqqq"], "known: make, check"),
        (["make"], "ART"),
        (["check", "a.svg", "b.svg"], "b.svg"),
        (["--nothing"], "--nothing"),
        (["check", "a.svg", "--face"], "--face"),
    ],
)
def test_wrong_usage_is_told_in_one_line(args, says, capsys):
    line = refused(capsys, args)
    assert says in line
    assert "--help" in line


def test_no_words_at_all_print_the_help(capsys):
    assert main([]) == 2
    assert "Commands:" in capsys.readouterr().err


@pytest.mark.parametrize(("options", "says"), BAD_OPTIONS)
@pytest.mark.parametrize("name", ["make", "check"])
def test_bad_options_are_refused_and_nothing_is_written(name, options, says, vine, capsys):
    assert says in refused(capsys, [name, str(vine), *options])
    assert list(vine.parent.iterdir()) == [vine]


@pytest.mark.parametrize(
    "art", ["missing.svg", ".", "-", "", "with\nnewline.svg", "a" * 400, "'quoted'.svg"]
)
def test_art_that_is_not_there(art, vine, capsys):
    refused(capsys, ["check", "--", art])
    assert list(vine.parent.iterdir()) == [vine]


def test_a_pipe_is_no_art(vine, capsys):
    os.mkfifo(vine.parent / "pipe.svg")
    refused(capsys, ["check", "pipe.svg"])


def test_settings_beside_the_drawing_are_used_and_options_win(vine, capsys):
    (vine.parent / "job.toml").write_text('[face]\nthickness = "8 oz"\n', encoding="utf-8")
    assert main(["check", str(vine), "--json"]) in {0, 1}
    assert json.loads(capsys.readouterr().out)["face"]["thickness"].startswith("8 oz")
    assert main(["check", str(vine), "--json", "--face", "3 oz"]) in {0, 1}
    assert json.loads(capsys.readouterr().out)["face"]["thickness"].startswith("3 oz")


def test_a_misspelt_setting_beside_the_drawing_is_told(vine, capsys):
    (vine.parent / "job.toml").write_text("[limits]\nbrigde = 3\n", encoding="utf-8")
    assert "job.toml: [limits] unknown key 'brigde'; did you mean 'bridge'?" in refused(
        capsys, ["check", str(vine)]
    )


@pytest.mark.parametrize(("radius", "code"), [(9, 0), (14.5, 1)])  # bridges of 12 and of 1 mm
def test_the_verdict_is_the_exit_code(radius, code, vine, capsys):
    vine.write_text(VINE.format(r=radius), encoding="utf-8")
    assert main(["check", str(vine), "--face", "2 mm", "--json"]) == code
    out, err = capsys.readouterr()
    assert json.loads(out)["holds"] is (code == 0)
    assert err == ""
    assert main(["check", str(vine), "--face", "2 mm"]) == code
    first = capsys.readouterr().out.splitlines()[0].lower()
    assert ("meets the limits" in first) is (code == 0)
    assert list(vine.parent.iterdir()) == [vine]


def test_make_writes_its_folder_and_says_where(vine, capsys):
    assert main(["make", str(vine), "--face", "5-6 oz"]) == 0
    assert "The files are in vine-cut; look at vine-cut/proof.html." in capsys.readouterr().out
    assert {"face.svg", "backing.svg", "proof.html", "report.json", "job.toml"} <= {
        p.name for p in (vine.parent / "vine-cut").iterdir()
    }


def test_make_mends_when_asked(vine, capsys):
    vine.write_text(VINE.format(r=14.5), encoding="utf-8")
    assert main(["make", str(vine), "--face", "2 mm", "--mend", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["holds"] is True
    assert "[[mend]]" in (vine.parent / "vine-cut" / "job.toml").read_text(encoding="utf-8")


def test_json_alone_on_standard_output(vine, capsys):
    assert main(["make", str(vine), "--files", "cuts", "--json", "-o", "out"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["format"] == "filigree-report"
    assert err == ""


@pytest.mark.parametrize("name", ["-dash", "two\nlines", "q'uo\"te", "a b", "r\u00e9ed"])
def test_odd_names_are_only_names(name, vine, capsys):
    vine.rename(vine.parent / f"{name}.svg")
    assert main(["make", "--files", "cuts", "--", f"{name}.svg"]) == 0
    last = capsys.readouterr().out.splitlines()[-1]
    assert last == f"The files are in {' '.join(name.split())}-cut."
    assert (vine.parent / f"{name}-cut" / "face.svg").is_file()


def test_two_folders_hold_the_same_bytes(vine, capsys):
    for name in ("one", "another one"):
        assert main(["make", str(vine), "-o", name]) == 0
    one, other = (
        {p.name: p.read_bytes() for p in Path(n).iterdir()} for n in ("one", "another one")
    )
    assert one == other


def test_a_folder_of_somebody_else_is_refused(vine, capsys):
    (vine.parent / "vine-cut").mkdir()
    (vine.parent / "vine-cut" / "letter.txt").write_text("mine", encoding="utf-8")
    assert "not written by filigree" in refused(capsys, ["make", str(vine)])
    assert [p.name for p in (vine.parent / "vine-cut").iterdir()] == ["letter.txt"]


@pytest.mark.parametrize(("typed", "offered"), [("ma", "make"), ("ch", "check")])
def test_tab_completion_offers_commands(typed, offered):
    env = {
        **os.environ,
        "_FILIGREE_COMPLETE": "bash_complete",
        "COMP_WORDS": f"filigree {typed}",
        "COMP_CWORD": "1",
    }
    ended = subprocess.run(
        [sys.executable, "-m", "filigree"],
        env=env,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert ended.stdout.split() == [f"plain,{offered}"]
    assert ended.returncode == 0


def test_help_starts_quickly():
    """Aim: 5 times a bare interpreter, of which click alone takes 4; checked with room for noise."""

    def seconds(*words: str) -> float:
        process = subprocess.Popen([sys.executable, *words], stdout=subprocess.DEVNULL)
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        assert process.returncode == 0
        return used.ru_utime + used.ru_stime

    pairs = [(seconds("-c", "pass"), seconds("-m", "filigree", "--help")) for _ in range(7)]
    bare, helped = (min(column) for column in zip(*pairs, strict=True))
    assert helped < 6.5 * bare


def test_redraw_spares_files_that_it_did_not_write(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("scan.png").write_bytes(SCAN)
    Path("mine.svg").write_text("<svg/>")
    Path("other.png").write_bytes(b"mine too")
    Path("sheet.pdf").write_bytes(b"%PDF-1.4 mine")
    for asked, kept in (
        (["redraw", "scan.png", "--width", "60", "-o", "mine.svg"], "mine.svg"),
        (["redraw", "scan.png", "--width", "60", "-o", "other.svg"], "other.png"),
        (["redraw", "--marks-sheet", "A4", "-o", "sheet.pdf"], "sheet.pdf"),
    ):
        held = {path: path.read_bytes() for path in Path().iterdir()}
        assert main(asked) == 2
        assert f"'{kept}' is there and was not written by this command" in capsys.readouterr().err
        assert {path: path.read_bytes() for path in Path().iterdir()} == held


def test_redraw_replaces_what_it_wrote_before(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("scan.png").write_bytes(SCAN)
    for width in ("60", "70"):
        assert main(["redraw", "scan.png", "--width", width, "-o", "lines.svg"]) == 0
        assert f'width="{width}mm"' in Path("lines.svg").read_text()
    for paper in ("A4", "A3"):
        for name in ("sheet.pdf", "sheet.svg"):
            assert main(["redraw", "--marks-sheet", paper, "-o", name]) == 0
