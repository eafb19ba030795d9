"""Every piece of the gallery by name: its drawing, its proof picture, its place in the gallery's page."""

import importlib
from collections.abc import Sequence
from pathlib import Path

from scripts.gallery import traced
from scripts.gallery.made import make, said
from scripts.gallery.sheet import Sheet

NAMES = (
    "bracer",
    "belt",
    "satchel",
    "book-cover",
    "mask",
    "interlace",
    "silhouette",
    "emblem",
    "vine",
    "quiver",
)
HEAD = """# Gallery

Props of the Withyhollow workshop, which outfits a touring company's play about a river court. Every drawing is our own,
drawn by a script in `scripts/gallery/`; `scripts/gallery/build` redraws them all, makes the pictures and this page.
"""


def sheet(name: str) -> Sheet:
    """Draw one piece."""
    drawn = importlib.import_module(f"scripts.gallery.{name.replace('-', '_')}").sheet()
    if not isinstance(drawn, Sheet):
        raise TypeError(f"{name} draws no sheet")
    return drawn


def main(names: Sequence[str], folder: Path) -> int:
    """Redraw the pieces named (all without names) below `folder`, their pictures and the page."""
    sections = []
    for name in names or NAMES:
        place = folder / name
        drawn = sheet(name)
        _write(place / f"{name}.svg", drawn.svg().encode())
        made = make(place / f"{name}.svg")
        _write(place / "proof.png", made.picture)
        sections.append(
            section(drawn, (place / "story.md").read_text(encoding="utf-8"), made.report)
        )
        print(f"gallery/{name}: {said(made.report)}")
    if not names:
        sections += traced.main(folder)
        _write(folder / "README.md", "\n".join([HEAD, *sections]).encode())
    return 0


def section(drawn: Sheet, story: str, report: dict) -> str:
    """One piece on the gallery's page."""
    return f"""## {drawn.title}

![Proof: {drawn.title}]({drawn.name}/proof.png)

{story.strip()}

```console
$ scripts/run make gallery/{drawn.name}/{drawn.name}.svg
```

{drawn.says} {said(report)}
"""


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
