"""DEVELOPERS.md is true: its map matches the imports, and each worked example, put into a copy, works."""

import json
import re
import shutil
import subprocess
import sys

import pytest

from scripts import rooms
from tests.ground.test_docs import ROOT, blocks
from tests.ground.test_imports import MODULES, ROOMS, imported, room_of

PAGE = ROOT / "DEVELOPERS.md"
# a face 100 x 60 mm with two square fields; 1.5 mm between them is under the stop of a 5-6 oz face (handbook 2.1)
POINTS = """x,y
0,0
100,0
100,60
0,60
0,0

20,15
49.25,15
49.25,45
20,45
20,15

50.75,15
80,15
80,45
50.75,45
50.75,15
"""


def patches() -> list[tuple[str, list[str]]]:
    """Each file of the page's diff blocks, with its lines."""
    out = []
    for block in blocks(PAGE, "diff"):
        for part in re.split(r"^--- ", block, flags=re.MULTILINE)[1:]:
            name, *lines = part.splitlines()
            out.append((name, lines))
    return out


def put(folder, name: str, lines: list[str]) -> None:
    """Change one file as a block says: runs of its lines are found once each, in order."""
    path = folder / name.removesuffix(" (new)")
    if name.endswith(" (new)"):
        assert not path.exists()
        assert all(line[:1] == "+" for line in lines)
        path.write_text("\n".join(line[1:] for line in lines) + "\n", encoding="utf-8")
        return
    text, fresh, at = path.read_text(encoding="utf-8").splitlines(), [], 0
    for line in lines:
        if line[:1] == "+":
            fresh.append(line[1:])
            continue
        place = text.index(line[1:], at)  # ValueError: the page shows a line that is gone
        fresh += text[at:place]
        if line[:1] == " ":
            fresh.append(line[1:])
        at = place + 1
    path.write_text("\n".join([*fresh, *text[at:]]) + "\n", encoding="utf-8")


@pytest.fixture(scope="module")
def changed(tmp_path_factory):
    """A copy of the package with every example in it, and a piece made with them from points."""
    folder = tmp_path_factory.mktemp("copy")
    skip = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "filigree", folder / "filigree", ignore=skip)
    for name, lines in patches():
        put(folder, name, lines)
    (folder / "two.csv").write_text(POINTS, encoding="utf-8")
    (folder / "job.toml").write_text(
        '[backing]\nleather = "goat lining"\n[choose]\nopen = [[35, 30], [65, 30]]\n',
        encoding="utf-8",
    )
    words = ["make", "two.csv", "--inlay", "heather", "-o", "two-cut"]
    ended = subprocess.run(
        [sys.executable, "-m", "filigree", *words],
        cwd=folder,
        env={"PYTHONPATH": str(folder), "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (ended.returncode, ended.stderr) == (1, "")
    return folder


def test_every_way_of_adding_has_its_example():
    heads = re.findall(r"^### (.+)$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert heads[:5] == ["A check", "An output", "An input", "A leather", "A colour"]
    assert len(blocks(PAGE, "diff")) == 5


def test_a_new_check_is_one_file_and_one_line(changed):
    files = [name for name, lines in patches() if "tears" in "\n".join([name, *lines])]
    assert files == ["filigree/checks/tears.py (new)", "filigree/checks/judge.py"]
    report = json.loads((changed / "two-cut" / "report.json").read_text(encoding="utf-8"))
    tears = [f for f in report["findings"] if f["check"] == "tear"]
    assert len(tears) == 2  # one an opening
    assert all(f["say"].startswith("Round this corner of opening") for f in tears)


def test_a_new_output_is_a_file_of_the_piece(changed):
    rows = (changed / "two-cut" / "bridges.csv").read_text(encoding="utf-8").splitlines()
    assert rows[0] == "width_mm,from,to"
    assert rows[1].startswith("1.5,")


def test_a_new_input_is_a_drawing_in_mm(changed):
    report = json.loads((changed / "two-cut" / "report.json").read_text(encoding="utf-8"))
    assert report["drawing"]["scale_from"] == "points in mm"
    assert report["drawing"]["width_mm"] == 100
    assert [o["area_mm2"] for o in report["openings"]] == pytest.approx(
        [877.5, 877.5]
    )  # 29.25 x 30


def test_a_new_leather_stands_on_the_sheet(changed):
    assert "goat lining" in (changed / "two-cut" / "sheet.html").read_text(encoding="utf-8")


def test_a_new_colour_is_an_inlay(changed):
    assert (changed / "two-cut" / "inlay-heather.svg").is_file()


def test_the_examples_are_written_as_the_project_writes(changed, tmp_path):
    files = [str(changed / n.removesuffix(" (new)")) for n, _ in patches()]
    for words in (["check", "--no-cache"], ["format", "--check", "--no-cache"]):
        ended = subprocess.run(
            [
                sys.executable,
                "-m",
                "ruff",
                *words,
                "--config",
                str(ROOT / "pyproject.toml"),
                *files,
            ],
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
        assert ended.returncode == 0, ended.stdout + ended.stderr


def test_the_map_is_fresh():
    assert rooms.MAP.read_text(encoding="utf-8") == rooms.drawn(), "run: python -m scripts.rooms"


def test_the_map_says_what_the_imports_say():
    """Every use is a way down the map, and every line of the map is a use; read another way than the map is drawn."""
    used: dict[str, set[str]] = {}
    for path in MODULES:
        names = {name.split(".")[1] for name in imported(path)} & set(ROOMS)
        used.setdefault(room_of(path), set()).update(names - {room_of(path)})
    shown = set(re.findall(r'<path id="(\w+)-(\w+)"', rooms.MAP.read_text(encoding="utf-8")))
    below = {room: {b for a, b in shown if a == room} for room in ROOMS}
    for room in ROOMS:  # from the ground up, so that those below are whole
        below[room] |= {deep for inner in below[room] for deep in below[inner]}
    assert all(b in used[a] for a, b in shown)
    for room in set(ROOMS) - {"__main__"}:
        assert used[room] <= below[room], room
        assert room in rooms.HOLDS
