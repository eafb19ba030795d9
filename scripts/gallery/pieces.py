"""Every piece of the gallery by name, and the writing of their files."""

import importlib
from collections.abc import Sequence
from pathlib import Path

from scripts.gallery.sheet import Sheet

NAMES = ("bracer", "belt", "satchel", "book-cover", "mask")


def sheet(name: str) -> Sheet:
    """Draw one piece."""
    drawn = importlib.import_module(f"scripts.gallery.{name.replace('-', '_')}").sheet()
    if not isinstance(drawn, Sheet):
        raise TypeError(f"{name} draws no sheet")
    return drawn


def main(names: Sequence[str], folder: Path) -> int:
    """Write the drawings named (all without names) below `folder`."""
    for name in names or NAMES:
        place = folder / name
        place.mkdir(parents=True, exist_ok=True)
        (place / f"{name}.svg").write_text(sheet(name).svg(), encoding="utf-8", newline="\n")
        print(f"gallery/{name}/{name}.svg")
    return 0
