"""How often the reader tells black leather from black ground, and what its `dark_sure` is worth.

`python -m scripts.learn.dark` draws every family in black and white three ways and writes `dark.md`.
"""

from collections import defaultdict
from pathlib import Path

from filigree.drawing.svg import read_svg
from filigree.job import Sheet
from tests.make.darks import family_darks
from tests.make.families import EVERY

SEEDS = range(7000, 7003)


def main() -> None:
    """Read all drawings and write the table."""
    ways: dict[str, list[bool]] = defaultdict(list)
    trust: dict[tuple[str, float], list[bool]] = defaultdict(list)
    for name, make in EVERY.items():
        for seed in SEEDS:
            for way, svg in family_darks(make(seed)).items():
                found = read_svg(svg, sheet=Sheet(), name=name)
                right = found.dark == ("leather" if way == "leather black" else "cut")
                ways[way].append(right)
                trust[found.dark, found.dark_sure].append(right)
    parts = [
        "# What black means",
        (
            f"{len(EVERY)} generated families, seeds {SEEDS[0]} to {SEEDS[-1]}, drawn in black and white; written by"
            " `python -m scripts.learn.dark`."
        ),
        _table("drawn as", ways),
        _table(
            "read as, sure",
            {f"{dark}, {sure:g}": trust[dark, sure] for dark, sure in sorted(trust)},
        ),
    ]
    text = "\n\n".join(parts) + "\n"
    Path(__file__).with_suffix(".md").write_text(text)
    print(text)


def _table(title: str, rows: dict[str, list[bool]]) -> str:
    lines = [f"| {title} | drawings | right, % |", "|---|---|---|"]
    lines += [f"| {n} | {len(r)} | {100 * sum(r) / len(r):.1f} |" for n, r in rows.items()]
    return "\n".join(lines)


if __name__ == "__main__":
    main()
