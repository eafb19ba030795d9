"""What the documents show is true: their Python runs, their commands run, what they print is what comes."""

import doctest
import re
import shlex
from pathlib import Path

import pytest

from filigree.cli import main

ROOT = Path(__file__).resolve().parents[2]
PAGES = [
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    *sorted((ROOT / "gallery").rglob("*.md")),
    *sorted((ROOT / "filigree").rglob("*.md")),
]
IDS = [p.relative_to(ROOT).as_posix() for p in PAGES]
_FENCE = re.compile(r"^```(\w*)[^\n]*\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_LINK = re.compile(r"(?:\]\(|src=\")(?!\w+:|#)([^)#\"]+)")
OURS = (["filigree"], ["scripts/run"])


def blocks(page: Path, language: str) -> list[str]:
    found = _FENCE.findall(page.read_text(encoding="utf-8"))
    return [body for kind, body in found if kind == language]


def sessions(page: Path) -> list[tuple[list[str], list[str]]]:
    """Each command of the console blocks as words, with the lines shown below it."""
    out: list[tuple[list[str], list[str]]] = []
    for block in blocks(page, "console"):
        for line in block.replace("\\\n", " ").splitlines():
            if line.startswith("$ "):
                out.append((shlex.split(line[2:]), []))
            elif line.strip():
                out[-1][1].append(line.strip())
    return out


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_python_of_a_page_runs(page, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "gallery").symlink_to(ROOT / "gallery")
    scope: dict[str, object] = {"__name__": "page"}
    for number, block in enumerate(blocks(page, "python"), start=1):
        name = f"{page.name}, block {number}"
        if ">>>" not in block:
            exec(compile(block, name, "exec"), scope)
            continue
        said: list[str] = []
        test = doctest.DocTestParser().get_doctest(block, scope, name, str(page), 0)
        failed = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS).run(
            test, out=said.append, clear_globs=False
        )
        assert failed.failed == 0, "".join(said)
        scope |= test.globs


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_commands_of_a_page_run(page, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "gallery").symlink_to(ROOT / "gallery")
    for words, shown in sessions(page):
        if words[:1] not in OURS:
            assert (ROOT / words[0]).is_file(), f"{page.name} names {words[0]}, which is not there"
            continue
        code = main(words[1:])
        said = capsys.readouterr()
        assert code in {0, 1}, f"{shlex.join(words)}: {said.err}"
        place = 0
        for line in shown:
            parts = [p.strip() for p in line.split("...")]
            for part in filter(None, parts):
                place = said.out.find(part, place)
                assert place >= 0, f"{shlex.join(words)} does not say {part!r}:\n{said.out}"


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_links_of_a_page_lead_somewhere(page):
    for link in _LINK.findall(page.read_text(encoding="utf-8")):
        assert (page.parent / link).exists(), f"{page.name} links to {link}"


def test_the_two_commands_of_the_readme_come_first():
    first = [shlex.join(words) for words, _ in sessions(ROOT / "README.md")][:2]
    assert first == ["scripts/run make gallery/bracer/bracer.svg", "scripts/test"]


def test_the_map_names_every_room():
    rooms = {
        p.stem if p.is_file() else p.name
        for p in (ROOT / "filigree").iterdir()
        if (p.suffix == ".py" or (p / "__init__.py").is_file()) and not p.name.startswith("__")
    }
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert sorted(room for room in rooms if not re.search(rf"`{room}(/|\.py)?`", page)) == []
