"""The order of rooms: a room imports only rooms above it, so no import runs back up and none in a circle."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import filigree

PACKAGE = Path(filigree.__file__).parent
ROOMS = (  # from the ground up; a room may use itself and every room before it
    "errors",
    "units",
    "geometry",
    "job",
    "guides",
    "drawing",
    "regions",
    "pattern",
    "measure",
    "checks",
    "mend",
    "plies",
    "colour",
    "worked",
    "output",
    "pipeline",
    "batch",
    "page",
    "cli",
    "__main__",
)
MODULES = sorted(PACKAGE.rglob("*.py"))
IDS = [p.relative_to(PACKAGE).as_posix() for p in MODULES]
HEAVY = {"numpy", "scipy", "shapely", "skimage", "PIL", "msgspec", "fontTools", "reportlab"}


def imported(path: Path) -> set[str]:
    """Full names of the modules of this package that a file imports, wherever in it."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name} imports relative to itself"
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return {name for name in names if name.split(".")[0] == "filigree"}


def room_of(path: Path) -> str:
    inside = path.relative_to(PACKAGE)
    return inside.parts[0] if len(inside.parts) > 1 else inside.stem


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_a_room_imports_only_rooms_above_it(path):
    room = room_of(path)
    if room == "__init__":
        assert imported(path) == set()
        return
    assert room in ROOMS, f"put the new room {room} into the order, and into DEVELOPERS.md"
    above = {*ROOMS[: ROOMS.index(room) + 1], "__version__"}
    used = {name.split(".")[1] for name in imported(path)}
    assert used <= above, f"{room} may not import {sorted(used - above)}"


def test_no_module_imports_in_a_circle():
    files = {
        ".".join(["filigree", *p.relative_to(PACKAGE).with_suffix("").parts]).removesuffix(
            ".__init__"
        ): p
        for p in MODULES
    }
    graph = {}
    for name, path in files.items():
        whole = imported(path)
        graph[name] = {t for n in whole for t in (n, n.rpartition(".")[0]) if t in files} - {name}
        if path.name != "__init__.py":  # a part may be named through its own package
            graph[name] -= {name.rpartition(".")[0]}
    graph.pop("filigree")
    done: set[str] = set()

    def walk(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, " -> ".join((*trail, name))
        if name in done:
            return
        for inner in sorted(graph.get(name, ())):
            walk(inner, (*trail, name))
        done.add(name)

    for name in sorted(graph):
        walk(name, ())


@pytest.mark.parametrize("args", [[], ["--help"], ["--version"], ["make", "--help"], ["mak"]])
def test_the_command_line_starts_light(args):
    script = (
        "import sys; from filigree.cli import main\n"
        f"main({args!r}) if {args!r} else None\n"
        "print('loaded:', *sorted({m.split('.')[0] for m in sys.modules}))"
    )
    ended = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    loaded = set(ended.stdout.rpartition("loaded:")[2].split())
    assert "filigree" in loaded
    assert not loaded & HEAVY


def test_click_stays_in_the_command_line():
    for path in MODULES:
        if room_of(path) not in {"cli", "__main__"}:
            tree = ast.parse(path.read_text(encoding="utf-8"))
            names = {a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names}
            names |= {
                n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom) and n.module
            }
            assert not {n.split(".")[0] for n in names} & {"click", "svgpathtools"}, path.name
