"""Time mending against the neck search on the same piece, in one run, processor time, in turn.

    PYTHONPATH=. python scripts/bench/mending.py [--rounds N] [--drawings N] [--each]

Two searches are held against it: the one that measuring makes (necks up to twice the wanted width, with names and
all), and the bare one of the widths that mending mends (necks up to the wanted width). Pieces: the plate of
`make.py` with 60 openings, the letters of the first seed at three thicknesses, every piece of the gallery, and so many
generated drawings, every family once before any comes again, each at the next of three thicknesses. `--each` prints
a line for every drawing.
"""

import argparse
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from shapely import MultiLineString

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from filigree import pipeline
from filigree.geometry.necks import find_necks
from filigree.job import CutLoss, Face, Job, Limits, limits_of, load_job, loss_of
from filigree.measure.necks import necks_of
from filigree.mend.mend import mend
from filigree.pattern import Pattern, pattern_of
from filigree.regions.background.choose import choose
from filigree.regions.divide import divide
from scripts.bench.make import SMALL, drawn
from tests.make.families import FAMILIES, marked

ROOT = Path(__file__).resolve().parents[2]
THICKNESSES = ("2-3 oz", "4-5 oz", "7-8 oz")

ART = (".svg", ".png", ".jpg")
Given = TypeVar("Given")


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """What mending is given."""

    name: str
    pattern: Pattern
    limits: Limits
    loss: CutLoss
    first_free: int
    veins: MultiLineString | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """Mending over either search, and what it did."""

    measured: float
    bare: float
    changes: int
    unmended: int


def cost(piece: Piece, rounds: int) -> Cost:
    """Time both searches and mending in turn, after one round that does not count."""
    wanted = piece.limits.bridge.good
    rows, done = [], None
    for _ in range(rounds + 1):
        bare = timed(lambda: find_necks(piece.pattern.land, under=wanted))[0]
        measured = timed(lambda: necks_of(piece.pattern, under=2 * wanted))[0]
        mending, done = timed(
            lambda: mend(
                piece.pattern,
                piece.limits,
                loss=piece.loss,
                first_free=piece.first_free,
                veins=piece.veins,
            )
        )
        rows.append((mending / measured, mending / bare))
    return Cost(
        measured=statistics.median(m for m, _ in rows[1:]),
        bare=statistics.median(b for _, b in rows[1:]),
        changes=len(done.changes),
        unmended=len(done.unmended),
    )


def timed(job: Callable[[], Given]) -> tuple[float, Given]:
    """Seconds of one call, and what it gave."""
    start = time.process_time()
    given = job()
    return time.process_time() - start, given


def from_file(name: str, art: Path) -> Piece | None:
    """Give a drawing with its job; None where there is no outline."""
    job = load_job(art.parent / "job.toml")
    drawing, regions = pipeline.divided(pipeline.read(art, job), job)
    job = pipeline.with_numbers(job, regions)
    choices = pipeline.chosen_fields(job, drawing, regions)
    pattern = pipeline.drawn_pattern(job, drawing, regions, choices)
    if pattern is None:
        return None
    return Piece(
        name=name,
        pattern=pattern,
        limits=limits_of(job),
        loss=loss_of(job),
        first_free=pipeline.first_free(regions, pattern),
        veins=regions.loose,
    )


def from_family(family: str, seed: int, thickness: str) -> Piece:
    """Give a generated drawing with its true background cut."""
    job = Job(face=Face(thickness=thickness))
    drawing = marked(FAMILIES[family](seed)).drawing
    regions = divide(drawing)
    pattern = pattern_of(regions, choose(regions, drawing), drawing=drawing, inlay="red")
    if pattern is None:
        raise ValueError(f"{family} {seed} has no outline")
    return Piece(
        name=f"{family} {seed}, {thickness}",
        pattern=pattern,
        limits=limits_of(job),
        loss=loss_of(job),
        first_free=len(regions.regions) + 1,
    )


def known() -> Iterator[Piece]:
    """The plate, the letters and the gallery."""
    with tempfile.TemporaryDirectory() as folder:
        plate = from_file(
            "plate, 60 openings", drawn(Path(folder) / "thin", SMALL, width=124, height=84)
        )
    pieces = [plate, *(from_family("letters", 0, t) for t in THICKNESSES)]
    for folder in sorted((ROOT / "gallery").iterdir()):
        art = [f for f in sorted(folder.glob("*")) if f.stem == folder.name and f.suffix in ART]
        if art and (folder / "job.toml").exists():
            pieces.append(from_file(f"gallery, {folder.name}", art[0]))
    yield from (p for p in pieces if p is not None)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--drawings", type=int, default=60)
    parser.add_argument("--each", action="store_true")
    options = parser.parse_args()
    print("mending over the search that measuring makes, and over the bare one (wanted 5):")
    for piece in known():
        report(piece.name, cost(piece, options.rounds))
    names = sorted(FAMILIES)
    costs = []
    for k in range(options.drawings):
        family, seed = names[k % len(names)], k // len(names)
        piece = from_family(family, seed, THICKNESSES[k % len(THICKNESSES)])
        costs.append(cost(piece, options.rounds))
        if options.each:
            report(piece.name, costs[-1])
    if costs:
        for name, ratios in (
            ("measuring's", sorted(c.measured for c in costs)),
            ("the bare", sorted(c.bare for c in costs)),
        ):
            print(
                f"{len(costs)} drawings over {name} search: median {statistics.median(ratios):.1f}, "
                f"90th percentile {ratios[len(ratios) * 9 // 10]:.1f}, worst {ratios[-1]:.1f}; "
                f"{sum(r <= 5 for r in ratios)} within 5"
            )


def report(name: str, spent: Cost) -> None:
    """Print one line."""
    print(
        f"{name}: {spent.measured:.1f} and {spent.bare:.1f}"
        f" ({spent.changes} changes, {spent.unmended} left)",
        flush=True,
    )


if __name__ == "__main__":
    main()
