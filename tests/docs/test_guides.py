"""Guides: each is shown with its figures; every number, message, caution, symbol and file in them is read back."""

import ast
import re
from typing import get_args

import msgspec
import pytest

from filigree.cli import STOP, main
from filigree.cli.stack import NEEDS
from filigree.guides import TOPICS, WEIGHTS, guide, ways, widths
from filigree.job import Job, Kind, limits_of, sections, with_overrides
from filigree.output import jobsheet, templates
from filigree.output.proof import _number
from filigree.output.words import ENGLISH
from filigree.plies import gauge, linings
from filigree.plies.drawn import Label
from tests.ground.test_docs import ROOT

PAGES = ROOT / "filigree" / "guides"
_CODE = re.compile(r"```.*?```|`[^`\n]*`|\{[a-z_.]+\}", re.DOTALL)
_NUMBER = re.compile(r"(?<![\w.])\d+(?:[.-]\d+)*")
WRITTEN = {  # every number that a page writes out, with where it comes from
    "drawing": {
        "3": "an option shown beside it",
        "7": "a field's number, an example",
        "12": "the same",
    },
    "knife-or-laser": {"5-6": sections.ASSUMED_FACE},
    "lining": {
        "3-5": linings.SUITS["body"],
        "0.5": linings.SUITS["light"],
        "0.8": linings.SUITS["light"],
    },
    "colours": {},
    "plies": {},
    "scanning": {
        "300": "handbook 12: scan 300 dpi grey",
        "600": "handbook 12: 600 for pencil",
        "72": "handbook 8: treat 72 and 96 as unknown",
        "96": "handbook 8: treat 72 and 96 as unknown",
    },
    "job-sheet": {
        "5-6": sections.ASSUMED_FACE,
        "50": f"{templates.SQUARE:g}",
        "100": "100 %: the words of a template",
    },
    "batch": {"1": f"exit {STOP}"},
    "files": {},
    "words": {},
}


def raw(topic: str) -> str:
    return (PAGES / f"{topic}.md").read_text(encoding="utf-8")


def texts_of(*folders: str) -> str:
    """Every text in the sources of some rooms, adjoining pieces joined, figures left out."""
    out = []
    for folder in folders:
        for path in sorted((ROOT / "filigree" / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.JoinedStr):
                    parts = (v.value if isinstance(v, ast.Constant) else "#" for v in node.values)
                    out.append("".join(map(str, parts)))
                elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                    out.append(node.value)
    return "\n".join(out)


@pytest.mark.parametrize("topic", TOPICS)
def test_a_guide_is_shown_with_its_figures(topic, capsys):
    assert main(["help", topic]) == 0
    said = capsys.readouterr().out
    assert said.startswith("# ")
    assert not re.search(r"[{}]", said)


def test_every_page_is_a_topic():
    assert {p.stem for p in PAGES.glob("*.md")} == set(TOPICS)


def test_without_a_topic_all_are_listed(capsys):
    assert main(["help"]) == 0
    head, *rows = capsys.readouterr().out.splitlines()
    assert "filigree help NAME" in head
    assert [line.split()[0] for line in rows] == list(TOPICS)


def test_an_unknown_topic_is_refused_with_the_known_ones(capsys):
    assert main(["help", "sewing"]) == 2
    assert "drawing" in capsys.readouterr().err


@pytest.mark.parametrize("topic", TOPICS)
def test_every_number_that_is_written_out_has_its_source(topic):
    written = set(_NUMBER.findall(_CODE.sub("", raw(topic))))
    assert written == set(WRITTEN[topic])


def test_numbers_that_the_code_holds_are_those_of_the_code():
    for topic, numbers in WRITTEN.items():
        for number, source in numbers.items():
            if "handbook" not in source and "example" not in source:
                assert number in source or source.startswith(("an option", "the same")), (
                    topic,
                    number,
                )


def test_widths_of_the_guide_meet_the_limits():
    rows = [line.strip("| ").split(" | ") for line in widths().splitlines()[2:]]
    assert [row[0] for row in rows] == list(WEIGHTS)
    for row in rows:
        for way, cell in (("knife", row[1]), ("laser", row[2])):
            bridge = limits_of(
                with_overrides(Job(), {"face.thickness": row[0], "cut.way": way})
            ).bridge
            good, stop = map(float, cell.split(" / "))
            assert bridge.good <= good + 1e-6 < bridge.good + 0.1
            assert bridge.stop <= stop + 1e-6 < bridge.stop + 0.1


def test_the_widths_of_a_5_6_oz_face_are_those_of_the_handbook():
    # handbook 2.1: t = 6/64 in = 2.38 mm; knife 1.5 t = 3.57 and t = 2.38, laser t and 0.7 t = 1.67
    assert "| 5-6 oz | 3.6 / 2.4 | 2.4 / 1.7 |" in guide("drawing")


def test_knife_and_laser_are_compared_as_the_handbook_says():
    # handbook 2.1 and 2.2, t = 2.38 mm; kerf and char handbook 2.6
    assert ways().splitlines()[2:] == [
        "| bridge, good | 3.6 | 2.4 |",
        "| bridge, stop under | 2.4 | 1.7 |",
        "| opening, width | 2.4 | 0.8 |",
        "| taken by the cut (kerf) | 0 | 0.2 |",
        "| charred on each side | 0 | 0.2 |",
    ]


@pytest.mark.parametrize("topic", TOPICS)
def test_cautions_are_said_in_the_words_of_the_job_sheet(topic):
    known = {text for key, text in ENGLISH.items() if key.startswith("caution.")}
    assert {line[2:] for line in raw(topic).splitlines() if line.startswith("> ")} <= known


def test_what_burns_cuts_and_hardens_has_its_cautions():
    for topic, numbers in {
        "knife-or-laser": (1, 2, 3, 4, 5, 6, 10, 11),
        "lining": (7, 8, 14, 15),
        "plies": (13, 16, 18, 21),
    }.items():
        for number in numbers:
            assert f"> {ENGLISH[f'caution.{number}']}\n" in raw(topic), (topic, number)


def test_messages_that_the_guide_explains_are_messages_of_the_checks():
    page = raw("drawing").split("## When something is told")[1]
    rows = re.findall(r"^\| (?!the check|-)([^|`]+?) \| ", page, re.MULTILINE)
    assert len(rows) == 8
    said = texts_of("checks")
    for row in rows:
        assert row in said, row


def test_needs_of_the_lining_guide_are_those_of_the_stack_command():
    assert tuple(re.findall(r"^\|[^|]+\| `([^`-][^`]*)` \|", raw("lining"), re.MULTILINE)) == NEEDS


@pytest.mark.parametrize("topic", TOPICS)
def test_settings_that_a_guide_names_are_settings(topic):
    tables = {field.encode_name: field.type for field in msgspec.structs.fields(Job)}
    for table, key in re.findall(r"`\[([a-z]+)\] ([a-z_]+)", raw(topic)):
        held = [
            t for t in (tables[table], *get_args(tables[table])) if hasattr(t, "__struct_fields__")
        ]
        assert key in held[0].__struct_fields__, f"[{table}] {key}"


def test_kinds_of_use_with_a_share_of_their_own_are_those_the_guide_names():
    shares = {
        kind: limits_of(with_overrides(Job(), {"use.kind": kind})).open_share
        for kind in get_args(Kind)
        if kind
    }
    assert {kind for kind, share in shares.items() if share == 0.30} == {"belt", "strap"}
    assert shares["bag"] == 0.40
    assert {kind for kind, share in shares.items() if share == 0.50} == {"costume", "mask", "wall"}


def groups_of_the_plies() -> set[str]:
    """Names of the groups of lines that any ply may hold, from the sources."""
    names = set()
    for path in (ROOT / "filigree" / "plies").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            if node.func.id == "Cut":
                values = [k.value for k in node.keywords if k.arg == "name"]
            elif node.func.id in {"hole_cut", "edge_cut"}:
                values = node.args[:1]
            else:
                continue
            for value in values:
                if isinstance(value, ast.Constant):
                    names.add(str(value.value))
                elif isinstance(value, ast.JoinedStr):
                    names.add(str(value.values[0].value))  # "punch-" before the size
    return names


def test_every_kind_of_line_is_explained_and_nothing_else():
    page = raw("job-sheet").split("## Lines of the cut files")[1].split("## On a template")[0]
    explained = {
        name
        for row in re.findall(r"^\| (`[^|]+?) \|", page, re.MULTILINE)
        for name in re.findall(r"`([a-z-]+)", row)
    }
    found = groups_of_the_plies()
    assert {"openings", "cement", "knife-lines", "punch-", "cuts", "patches", "blank"} <= found
    assert explained == found


DRAWN = (  # two openings, a strand of 1.4 mm between them (a stop), tight corners (cautions)
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80" fill="none" '
    'stroke="black" stroke-width="0.4"><path d="M5 5H115V75H5Z"/><path d="M20 20H59.3V60H20Z"/>'
    '<path d="M60.7 20H100V60H60.7Z"/><circle cx="40" cy="40" r="8"/></svg>'
)
PROOF = {  # tag, fill, stroke of everything in a proof: words of the guide that explain it
    ("path", "colour", "#000"): "filled field, white number",
    ("text", "#fff", "#000"): "filled field, white number",
    ("text", "#6b6257", ""): "grey number",
    ("circle", "#000", "#000"): "white number on a black disc",
    ("text", "#fff", ""): "white number on a black disc",
    ("circle", "#fff", "#000"): "black number in a ring",
    ("text", "#000", ""): "black number in a ring",
    ("path", "none", "#000"): "line with a bar at each end",
    ("path", "none", "#fff"): "line with a bar at each end",
    ("path", "none", "#40352a"): "thin brown line",
    ("text", "", ""): "",  # plain words
}


def test_everything_that_a_proof_draws_is_explained(tmp_path, capsys):
    (tmp_path / "two.svg").write_text(DRAWN, encoding="utf-8")
    assert main(["make", str(tmp_path / "two.svg"), "-o", str(tmp_path / "out")]) == 1
    proof = (tmp_path / "out" / "proof.svg").read_text(encoding="utf-8")
    found = set()
    for tag, attributes in re.findall(
        r"<(circle|ellipse|path|text|image|line|polygon)\b([^>]*)>", proof
    ):
        got = dict(re.findall(r'\b(fill|stroke)="([^"]*)"', attributes))
        fill = got.get("fill", "")
        if tag == "path" and re.fullmatch(r"#[0-9a-f]{6}", fill):
            fill = "colour"
        found.add((tag, fill, got.get("stroke", "")))
    assert found == set(PROOF)
    doubtful = Label(id=7, at=(0, 0), room=5, kind="motif", sure=0.5)
    assert _number(doubtful, cut=False).endswith(">7?</text>")
    page = guide("job-sheet").split("## On the proof")[1]
    assert [words for words in PROOF.values() if words not in page] == []
    assert "question mark behind a number" in page


def test_the_sheet_and_the_templates_are_as_explained():
    page = guide("job-sheet")
    assert f"{jobsheet.LETTERS[0]} to {jobsheet.LETTERS[-1]}" in page
    assert len(jobsheet.LETTERS) == jobsheet.NARROWEST == 5  # "the five narrowest places"
    assert gauge.CUTS == 9  # "nine cuts"
    assert f"bar of {templates.BAR:g} mm" in page
    assert ENGLISH["templates.mirrored"].startswith("MIRRORED: for the flesh side")
    assert ENGLISH["sheet.assumed"].strip() in page
