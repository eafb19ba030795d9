"""README: every number in it has its source, and it stays short."""

import re
import tomllib

from filigree.cli import BAD_INPUT, HOLDS, INTERRUPTED, STOP
from filigree.output import templates
from tests.docs.test_guides import _CODE, _NUMBER
from tests.ground.test_docs import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NUMBERS = {
    SETTINGS["requires-python"].removeprefix(">="): "the oldest Python",
    f"{templates.BAR:g}": "mm, the bar of a template, and 100 % of a printer",
    **{str(code): "an exit" for code in (HOLDS, STOP, BAD_INPUT, INTERRUPTED)},
}


def test_every_number_has_its_source():
    prose = re.sub(
        r"^\*\*\d\. ", "**", _CODE.sub("", README), flags=re.MULTILINE
    )  # the steps of the walk
    prose = re.sub(r"<img [^>]*>", "", prose)
    assert set(_NUMBER.findall(prose)) == set(NUMBERS)


def test_the_first_screen_says_what_it_is_shows_it_and_runs_it():
    lines = README.splitlines()
    picture = next(k for k, line in enumerate(lines) if line.startswith("!["))
    command = next(k for k, line in enumerate(lines) if line.startswith("$ "))
    assert picture < 12
    assert command < 22
    assert len(lines) < 190


def test_guides_it_names_are_there():
    from filigree.guides import TOPICS

    named = re.findall(r"filigree help ([a-z-]+)", README)
    assert named
    assert set(named) <= set(TOPICS)


def test_python_versions_of_the_package_are_those_it_is_tried_on():
    tried = {c.rsplit(" ", 1)[1] for c in SETTINGS["classifiers"] if "Python :: 3" in c}
    assert tried == set(
        re.findall(r"python(3\.\d+)", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))
    )
