"""A newcomer's drawings with the usual mistakes are led to pieces that can be cut by what the messages say alone.

`Reader` does nothing but what it is told: it adds the options that a message gives, and types the command that a message names.
Limits: a 5-6 oz face by knife, as assumed, wants 3.57 mm and stops under 2.38 mm (handbook 2.1); a gap over 1 mm is not closed
unasked (handbook 12).
"""

import json
import re
import shlex
from dataclasses import dataclass, field

import pytest

from filigree.cli import main

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="{0}mm" height="{1}mm" viewBox="0 0 {0} {1}" '
    'fill="none" stroke="black" stroke-width="0.4">{2}</svg>'
)
LEAF = (  # an edge with a break of 2.5 mm; a strand of 1.4 mm
    '<path d="M20 15 H100 V65 H20 V17.5"/><path d="M32 27 H88 V53 H32 Z"/><path d="M59.3 27 V53 M60.7 27 V53"/>'
)
LADDER = (  # a border with a break of 2.2 mm; strands of 2 mm that stop 1.5 mm short of it; no edge outside
    '<path d="M10 12.2V90H150V10H10"/>'
    + "".join(
        f'<path d="M11.5 {y}C45 {y - 12} 60 {y + 12} 80 {y}S120 {y - 12} 148.5 {y}"/>'
        for y in (28, 30, 48, 50, 68, 70)
    )
)
PANES = "".join(  # eight panes 1.5 mm apart, no edge at all, one of them open by 2 mm
    f'<path d="M{20 + 21.5 * column} {20 + 31.5 * row}h20v30h-20{"v-28" if row + column == 0 else "z"}"/>'
    for row in range(2)
    for column in range(4)
)
BIRD = (  # dark shape in pixels without a scale; strands of 2 mm, no rim
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 500 340"><path d="M40 200C60 80 200 60 330 120C360 60 420 60 '
    '450 100L400 130C420 220 300 300 160 260C120 250 80 240 40 200Z"/><g fill="white"><circle cx="150" cy="180" r="40"/>'
    '<circle cx="235" cy="175" r="38"/><circle cx="312" cy="180" r="32"/><circle cx="420" cy="100" r="8"/></g></svg>'
)
OPEN_EDGE = (  # the edge is open, so the field inside would be taken for it
    '<path d="M10 10H110V70H10V40"/><path d="M30 25H90V55H30Z"/><path d="M40 33H80V47H40Z"/>'
)
DRAWINGS = [  # what the messages have to tell, in this order
    pytest.param(HEAD.format(120, 80, LEAF), ["--gap", "mend"], id="leaf"),
    pytest.param(HEAD.format(160, 100, LADDER), ["--gap", "--rim", "mend"], id="ladder"),
    pytest.param(HEAD.format(125, 102, PANES), ["--gap", "--rim", "mend"], id="panes"),
    pytest.param(BIRD, ["mend"], id="bird"),
]


@dataclass
class Reader:
    """Somebody who knows nothing but does what she reads."""

    art: str
    options: list[str] = field(default_factory=list)
    did: list[str] = field(default_factory=list)

    def follow(self, said: str) -> list[str] | None:
        """The command to type next, by what was said; None when nothing is advised."""
        advice = re.search(r"To have the missing leather added: filigree (.+)", said)
        gaps = [int(mm) for mm in re.findall(r"--gap (\d+)", said)]
        rim = re.search(r"--rim (\d+)", said)
        if gaps and "--gap" not in self.options:
            self.options += ["--gap", str(max(gaps))]
            self.did.append("--gap")
        elif rim and "--rim" not in self.options:
            self.options += ["--rim", rim[1]]
            self.did.append("--rim")
        elif advice:
            self.did.append("mend")
            return shlex.split(advice[1])
        else:
            return None
        return ["check", self.art, *self.options]


@pytest.mark.parametrize(("drawing", "told"), DRAWINGS)
def test_messages_lead_to_a_piece_that_meets_the_limits(
    drawing, told, tmp_path, monkeypatch, capsys
):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.svg").write_text(drawing, encoding="utf-8")
    reader, words, code = Reader("mine.svg"), ["check", "mine.svg"], 1
    for _ in range(6):
        code = main(words)
        said = capsys.readouterr()
        more = reader.follow(said.out + said.err)
        if words[0] == "mend" or more is None:
            break
        words = more
    assert reader.did == told
    assert code == 0
    report = json.loads((tmp_path / "mine-mended" / "report.json").read_text(encoding="utf-8"))
    assert report["holds"] is True
    assert report["openings"]
    assert min(b["width_mm"] for b in report["bridges"]) >= 2.38  # stop of a 5-6 oz face by knife
    assert (tmp_path / "mine-mended" / "face.svg").is_file()


def check(tmp_path, monkeypatch, capsys, body: str, *options: str) -> str:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.svg").write_text(HEAD.format(120, 80, body), encoding="utf-8")
    main(["check", "mine.svg", *options])
    said = capsys.readouterr()
    return said.out + said.err


def test_lines_that_enclose_nothing_are_refused_with_the_place_and_what_to_do(
    tmp_path, monkeypatch, capsys
):
    said = check(tmp_path, monkeypatch, capsys, '<path d="M20 15 H100 V65 H20 V17.5"/>')
    assert "two ends are 2.5 mm apart at (20.0, 16." in said
    assert "close the lines" in said
    assert "--gap 3" in said


def test_an_edge_that_does_not_close_is_named(tmp_path, monkeypatch, capsys):
    said = check(tmp_path, monkeypatch, capsys, OPEN_EDGE)
    # 100 + 60 + 100 + 30 mm
    assert "A line of 290 mm outside the outline does not close, so it is left out" in said


def test_lines_that_stop_short_are_named_when_nothing_comes_out(tmp_path, monkeypatch, capsys):
    said = check(
        tmp_path, monkeypatch, capsys, '<path d="M10 10H110V70H10Z"/><path d="M12.5 40H107.5"/>'
    )
    assert said.count("This line stops 2.5 mm short of another") == 2
    assert "or give --gap 3." in said
    assert "gap  " not in check(
        tmp_path, monkeypatch, capsys, '<path d="M10 10H110V70H10Z"/><path d="M10 40H110"/>'
    )


def test_what_cannot_be_mended_is_told_with_what_holds(tmp_path, monkeypatch, capsys):
    ring = '<path d="M60 10L90 40L60 70L30 40Z"/><path d="M60 12L88 40L60 68L32 40Z"/>'
    monkeypatch.chdir(tmp_path)
    (tmp_path / "ring.svg").write_text(HEAD.format(120, 80, ring), encoding="utf-8")
    main(["mend", "ring.svg", "--open", "2"])
    said = capsys.readouterr().out
    assert (
        "Not mended: 4 places, since the openings beside it would lose more than they may." in said
    )
    assert re.search(r"As drawn it holds at \d-\d oz, or \d+ % larger", said)
