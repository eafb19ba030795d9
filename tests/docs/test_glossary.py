"""Words: one glossary; nothing that the tool names goes by a word the glossary avoids (handbook 11.2; prose may)."""

import ast
import json
import re
from collections.abc import Iterator

import click
import msgspec
import pytest

from filigree.cli import main
from filigree.cli.commands import COMMANDS, cli
from filigree.guides import TOPICS, guide
from filigree.guides.glossary import FOREIGN, GLOSSARY, avoided
from filigree.job import sections
from filigree.output.report import schema_text
from tests.ground.test_docs import ROOT

OTHERWISE = {  # a word that names something else here: where it may stand, and as what
    ("settings", "bar"): "the scale bars of a template, handbook 8",
    ("settings", "margin"): "a distance, as handbook 11.2 says",
    ("checks", "margin"): "the same distance, judged",
    ("page", "back"): "the way back, no ply",
    ("report", "tie"): "the act of tying a loose part with a bridge, handbook 2.2",
    ("files", "land"): "outline less openings, all the face that stays, and no bridge of it",
    ("files", "layer"): "the groups of a page's SVG, as handbook 11.2 says",
}
HANDBOOK = {  # handbook 11.2: the word to use, and a word to avoid
    "face": "front",
    "opening": "window",
    "bridge": "tie",
    "tongue": "finger",
    "island": "floater",
    "rim": "frame",
    "inlay": "insert",
    "backing": "liner",
    "stiffener": "core",
    "grain side": "right side",
    "flesh side": "wrong side",
    "nap": "pile",
    "background": "negative space",
    "swivel-knife line": "score",
    "bevel": "emboss",
    "cased": "wet",
    "skive": "shave",
    "crock": "bleed",
    "open time": "drying time",
    "kerf": "tool width",
    "char": "HAZ",
    "pitch": "SPI",
    "ply": "layer",
}
DRAWING = (  # a bridge of 1.5 mm to mend, a loose island, a pull along x
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    '<g fill="none" stroke="#000" stroke-width="0.4"><rect x="2" y="2" width="96" height="56"/>'
    '<rect id="open" x="20" y="15" width="29.25" height="30"/>'
    '<rect class="open" x="50.75" y="15" width="29.25" height="30"/></g></svg>'
)


def strings_in(node: object, *keys: str) -> Iterator[str]:
    """Every property name and enumerated text of a JSON Schema."""
    if isinstance(node, dict):
        for key, inner in node.items():
            if key == "properties":
                yield from inner
            elif key == "enum":
                yield from map(str, inner)
            yield from strings_in(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from strings_in(inner)


def commands() -> set[str]:
    names = {*COMMANDS, *TOPICS}
    for name in COMMANDS:
        for option in cli.get_command(click.Context(cli), name).params:
            names |= {*option.opts, option.make_metavar(click.Context(cli))}
            if isinstance(option.type, click.Choice):
                names |= set(option.type.choices)
    return names


def settings() -> set[str]:
    tables = [
        t for t in vars(sections).values() if isinstance(t, type) and issubclass(t, msgspec.Struct)
    ]
    schema = msgspec.json.schema_components(tables)[1]
    return set(strings_in(schema)) | {
        field.encode_name for table in tables for field in msgspec.structs.fields(table)
    }


def checks() -> set[str]:
    found = set()
    for path in (ROOT / "filigree" / "checks").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.keyword) and node.arg == "check":
                found |= {c.value for c in ast.walk(node.value) if isinstance(c, ast.Constant)}
    return found


def labels(html: str) -> set[str]:
    """Headings, buttons, labels, choices and what a screen reader says, of one page; whole sentences are prose."""
    inside = re.findall(
        r"<(h\d|button|label|option|summary|legend|th|title)\b[^>]*>(.*?)(?=<)", html, re.S
    )
    said = re.findall(r'\b(?:aria-label|placeholder)="([^"]*)"', html)
    texts = {text.strip() for _, text in inside} | set(said)
    return {text for text in texts if not text.endswith(".")}


def page() -> set[str]:
    folder = ROOT / "filigree" / "page" / "static"
    names = labels((folder / "index.html").read_text(encoding="utf-8"))
    for path in folder.glob("*.js"):
        text = path.read_text(encoding="utf-8")
        names |= set(re.findall(r'"aria-label", [`"]([^`"]*)[`"]', text))
    return names


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Every file of a small piece that has all of them."""
    folder = tmp_path_factory.mktemp("words")
    (folder / "two.svg").write_text(DRAWING, encoding="utf-8")
    (folder / "job.toml").write_text(
        "[stitch]\npitch = 4\n[stiffener]\nthickness = '2 oz'\n", encoding="utf-8"
    )
    words = ["make", str(folder / "two.svg"), "--cut", "laser", "--load", "x", "--mend"]
    assert main([*words, "-o", str(folder / "two-cut")]) == 0
    return folder / "two-cut"


def files(made) -> set[str]:
    names = {p.stem for p in made.iterdir()}
    for path in [*made.glob("*.svg"), *made.glob("*.html")]:
        text = path.read_text(encoding="utf-8")
        names |= set(re.findall(r"\b(?:id|class)=[\"']([^\"']+)", text))
        names |= labels(text) if path.suffix == ".html" else set()
    return names


def avoided_in(names: set[str], place: str) -> set[tuple[str, str]]:
    """Names that hold an avoided word or phrase, with it."""
    found = set()
    for name in names:
        words = " ".join(re.findall(r"[a-z]+", name.lower()))
        for word in avoided():
            plain = " ".join(re.findall(r"[a-z]+", word))
            if f" {plain} " in f" {words} " and (place, word) not in OTHERWISE:
                found.add((name, word))
    return found


SOURCES = {
    "commands": commands,
    "settings": settings,
    "checks": checks,
    "report": lambda: set(strings_in(json.loads(schema_text()))),
    "page": page,
}
LEAST = {"commands": 60, "settings": 60, "checks": 12, "report": 100, "page": 25}


@pytest.mark.parametrize("place", SOURCES)
def test_no_avoided_word_names_anything(place):
    names = SOURCES[place]()
    assert len(names) >= LEAST[place]
    assert avoided_in(names, place) == set()


def test_no_avoided_word_names_a_file_a_group_or_a_heading(made):
    names = files(made)
    assert {"openings", "stitch-holes", "Order of work", "kerf-gauge", "mend"} <= names
    assert avoided_in(names, "files") == set()


@pytest.mark.parametrize(("place", "word"), OTHERWISE)
def test_what_may_be_said_otherwise_is_said(place, word, made):
    names = files(made) if place == "files" else SOURCES[place]()
    assert any(word in re.findall(r"[a-z]+", name.lower()) for name in names)


def test_an_avoided_word_would_be_found():
    assert avoided_in({"--tab-width", "top_layer", "kiss-cut", "side"}, "commands") == {
        ("--tab-width", "tab"),
        ("top_layer", "top layer"),
        ("top_layer", "layer"),
        ("kiss-cut", "kiss cut"),
    }


def test_the_glossary_holds_the_words_of_the_handbook():
    terms = {t.word: t for group in GLOSSARY.values() for t in group}
    for word, other in HANDBOOK.items():
        assert other in terms[word].avoid
    assert len(terms) == sum(map(len, GLOSSARY.values())), "one term a word"
    assert not {t.word for t in terms.values()} & set(avoided())
    assert {"weeding", "kiss cut", "nodes", "toolpath", "nesting"} <= set(FOREIGN)


def test_the_page_of_words_shows_every_term():
    said = guide("words")
    for group, terms in GLOSSARY.items():
        assert f"## {group}\n" in said
        for term in terms:
            assert f"| {term.word} | {term.means} |" in said


def test_plies_and_verdicts_of_the_report_are_terms_of_the_glossary():
    terms = {t.word for group in GLOSSARY.values() for t in group}
    schema = json.loads(schema_text())["$defs"]
    assert set(schema["FindingRow"]["properties"]["severity"]["enum"]) <= terms
    assert {"face", "inlay", "backing", "stiffener"} <= terms
    assert set(schema["RegionRow"]["properties"]["kind"]["enum"]) <= terms
