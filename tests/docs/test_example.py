"""The example of the library runs, on the gallery and on a drawing of one's own, and pydoc shows the way in."""

import importlib
import pydoc
import re
import subprocess
import sys

import filigree
from tests.ground.test_docs import ROOT

EXAMPLE = ROOT / "scripts" / "example.py"


def run(folder, *words: str) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, str(EXAMPLE), *words],
        cwd=folder,
        env={"PYTHONPATH": str(ROOT), "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def test_the_example_walks_the_road(tmp_path):
    ended = run(tmp_path)
    assert (ended.returncode, ended.stderr) == (0, "")
    said = ended.stdout.splitlines()
    # t = 6/64 in = 2.38 mm: wanted 1.5 t, stop under t (handbook 2.1)
    assert said[0] == "bridges: wanted 3.57 mm, stop under 2.38 mm"
    assert any(re.fullmatch(r"5-6 oz: holds", line) for line in said)
    assert any(re.match(r"10-11 oz: Widen the bridge between", line) for line in said)
    assert said[-1] == "face.svg is the same either way: True"
    assert (tmp_path / "example-cut" / "inlay-navy.svg").is_file()


def test_the_example_takes_another_drawing(tmp_path):
    ended = run(tmp_path, str(ROOT / "gallery" / "vine" / "vine.svg"), "mine")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert "vine.svg: 132 x 232 mm" in ended.stdout
    assert (tmp_path / "mine" / "face.svg").is_file()


def test_each_part_of_the_example_says_what_it_does():
    parts = re.findall(r"^# %% (.+)$", EXAMPLE.read_text(encoding="utf-8"), re.MULTILINE)
    steps = ["A job", "Read", "Divide", "Choose", "Pattern", "Measure", "Build", "Write"]
    assert [re.match(r"[A-Z]\w*(?: job)?", part)[0] for part in parts] == steps


def test_pydoc_of_the_package_names_what_is_there():
    page = pydoc.plain(pydoc.render_doc(filigree))
    rows = re.findall(r"^ +(filigree\.\w+) +(`.+)$", page, re.MULTILINE)
    assert len(rows) == 11
    for module, says in rows:
        for name in re.findall(r"`([\w.]+)`", says):
            inner, _, attribute = f"{module}.{name}".rpartition(".")
            assert getattr(importlib.import_module(inner), attribute).__doc__, f"{module}: {name}"
