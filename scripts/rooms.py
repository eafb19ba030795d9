"""Draws the map of rooms of DEVELOPERS.md from the imports themselves: python -m scripts.rooms.

A line leads from a room down to each room that it uses, unless a longer way over other rooms says so already.
"""

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "filigree"
MAP = ROOT / "scripts" / "rooms.svg"
ASIDE = {
    "guides": 0,
    "batch": 2,
    "plies": 2,
    "geometry": 2,
    "colour": 3,
}  # columns; the others stand in 1
HOLDS = {  # a few words a room; the table below the map says more
    "errors": "the one error",
    "units": "oz, iron, in, mm",
    "geometry": "shapely, numpy",
    "job": "settings, limits",
    "guides": "pages of help",
    "drawing": "art to Drawing",
    "regions": "fields, background",
    "pattern": "openings, land",
    "measure": "no limits",
    "checks": "no geometry",
    "mend": "least change",
    "plies": "what is cut",
    "colour": "what reads",
    "worked": "all nouns of a piece",
    "output": "one file a format",
    "pipeline": "the road; public API",
    "batch": "many drawings",
    "page": "in the browser",
    "cli": "commands",
}
WIDE, HIGH, ACROSS, DOWN, EDGE = 128, 40, 150, 62, 12


def uses() -> dict[str, set[str]]:
    """For each room the rooms it imports."""
    found: dict[str, set[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        inside = path.relative_to(PACKAGE)
        room = inside.parts[0] if len(inside.parts) > 1 else inside.stem
        if not room.startswith("__"):
            found.setdefault(room, set()).update(_imported(path) - {room})
    return {room: names & set(found) for room, names in found.items()}


def steps(graph: dict[str, set[str]]) -> set[tuple[str, str]]:
    """Uses that no longer way says already, as (user, used)."""
    below = {room: _below(graph, room) for room in graph}
    return {
        (room, used)
        for room, names in graph.items()
        for used in names
        if not any(used in below[other] for other in names - {used})
    }


def drawn() -> str:
    """Draw the map as SVG, the ground at the bottom."""
    graph = uses()
    floors = {room: _floor(graph, room) for room in graph}
    top = max(floors.values())
    places = {
        room: (
            EDGE + WIDE / 2 + ASIDE.get(room, 1) * ACROSS,
            EDGE + HIGH / 2 + (top - floors[room]) * DOWN,
        )
        for room in graph
    }
    width, height = 3 * ACROSS + WIDE + 2 * EDGE, 2 * EDGE + HIGH + top * DOWN
    view = f'viewBox="0 0 {width} {height}" font-family="Verdana, sans-serif" text-anchor="middle"'
    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" {view}>',
        "<title>Rooms of the package: each uses those below it</title>",
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
    ]
    for user, used in sorted(steps(graph)):
        rows.append(
            f'<path id="{user}-{used}" d="{_way(places[user], places[used])}" fill="none" '
            'stroke="#6b6257" stroke-width="1.5"/>'
        )
    for room in sorted(places):
        x, y = places[room]
        rows.append(
            f'<rect id="{room}" x="{x - WIDE / 2:g}" y="{y - HIGH / 2:g}" width="{WIDE}" height="{HIGH}" '
            'rx="5" fill="#f4ead8" stroke="#6b6257"/>'
            f'<text x="{x:g}" y="{y - 3:g}" font-size="13" font-weight="bold">{room}</text>'
            f'<text x="{x:g}" y="{y + 12:g}" font-size="10">{HOLDS[room]}</text>'
        )
    return "\n".join((*rows, "</svg>\n"))


def _way(user: tuple[float, float], used: tuple[float, float]) -> str:
    """Lead a line from a room down to one that it uses, round the corner when that stands aside."""
    (x, y), (u, v) = user, used
    side = (WIDE / 2) if u > x else -(WIDE / 2)
    if x == u:
        return f"M{x:g},{y + HIGH / 2:g}V{v - HIGH / 2:g}"
    spine = EDGE + WIDE / 2 + ACROSS
    if x == spine:
        return f"M{x + side:g},{y:g}H{u:g}V{v - HIGH / 2:g}"
    return f"M{x:g},{y + HIGH / 2:g}V{v:g}H{u - side:g}"


def _imported(path: Path) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("filigree."):
            names.add(str(node.module).split(".")[1])
        elif isinstance(node, ast.ImportFrom) and node.module == "filigree":
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.Import):
            names |= {a.name.split(".")[1] for a in node.names if a.name.startswith("filigree.")}
    return names


def _below(graph: dict[str, set[str]], room: str) -> set[str]:
    found = set(graph[room])
    for used in graph[room]:
        found |= _below(graph, used)
    return found


def _floor(graph: dict[str, set[str]], room: str) -> int:
    return 1 + max((_floor(graph, used) for used in graph[room]), default=-1)


if __name__ == "__main__":
    MAP.write_text(drawn(), encoding="utf-8")
