"""Time whole runs of `filigree` against `import numpy, shapely, click`, and mending against its neck search.

    python scripts/bench/make.py [--rounds N] [--small]

Prints, from alternating pairs in fresh processes, the median ratio of wall and of processor time, and the peak
memory: `--help` against a bare interpreter, `make` of a small piece (5,000 segments, 60 openings) with cuts alone
and with everything, and of a large one (150,000 segments, 2,000 openings, 1 m x 0.5 m) with cuts alone. Then
mending of a plate whose bridges are too thin against the neck search on the same plate, in this process.
Ratios hold across machines, times do not.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

IMPORTS = [sys.executable, "-c", "import numpy, shapely, click"]
BARE = [sys.executable, "-c", "pass"]
FILIGREE = [sys.executable, "-m", "filigree"]
ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
SMALL = (10, 6, 80)  # columns, rows, segments a ring
LARGE = (63, 32, 74)


@dataclass(frozen=True, slots=True)
class Spent:
    """Wall and processor time of a process, s, and its peak memory, MiB."""

    wall: float
    processor: float
    peak: float


def plate(columns: int, rows: int, steps: int, *, width: float, height: float) -> str:
    """Wavy openings on a staggered grid, each a polygon of `steps` sides, within an outline."""
    rng = np.random.default_rng(columns)
    dx, dy = _pitch(columns, rows, width=width, height=height)
    angle = np.arange(steps) * 2 * np.pi / steps
    wavy = np.column_stack([np.cos(angle), np.sin(angle)]) * (1 + 0.08 * np.sin(5 * angle))[:, None]
    rings = []
    for middle in middles(columns, rows, steps, width=width, height=height):
        ring = wavy * rng.uniform(0.27, 0.36) * min(dx, dy) + middle
        rings.append("M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in ring.tolist()) + "Z")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}"><g fill="none" stroke="black" stroke-width="0.3">'
        f'<rect x="2" y="2" width="{width - 4}" height="{height - 4}"/>'
        + "".join(f'<path d="{ring}"/>' for ring in rings)
        + "</g></svg>"
    )


def middles(
    columns: int, rows: int, steps: int, *, width: float, height: float
) -> list[tuple[float, float]]:
    """Middle of each opening of a plate, mm; `steps` does not matter."""
    del steps
    dx, dy = _pitch(columns, rows, width=width, height=height)
    return [
        (12 + (column + 0.5 + 0.5 * (row % 2)) * dx, 12 + (row + 0.5) * dy)
        for row in range(rows)
        for column in range(columns)
    ]


def _pitch(columns: int, rows: int, *, width: float, height: float) -> tuple[float, float]:
    return (width - 24) / (columns + 0.5), (height - 24) / rows


def run(words: Sequence[str]) -> Spent:
    """Run a command to its end; 0 and 1 are good ends."""
    begin = time.perf_counter()
    process = subprocess.Popen(
        words, stdout=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - begin
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in {0, 1}:
        raise subprocess.CalledProcessError(process.returncode, words)
    return Spent(wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def compare(
    name: str, words: Sequence[str], base: Sequence[str], wanted: float, rounds: int
) -> None:
    """Print the ratios of two commands over alternating pairs."""
    run(words), run(base)  # files of the interpreter are warm
    pairs = [(run(words), run(base)) for _ in range(rounds)]
    wall = statistics.median(a.wall / b.wall for a, b in pairs)
    processor = statistics.median(a.processor / b.processor for a, b in pairs)
    ours = [a for a, _ in pairs]
    print(
        f"{name:<34} {wall:6.1f} x wall {processor:6.1f} x processor (wanted {wanted:g});"
        f" {statistics.median(a.wall for a in ours):7.2f} s wall,"
        f" {statistics.median(a.processor for a in ours):7.2f} s processor,"
        f" {max(a.peak for a in ours):5.0f} MiB",
        flush=True,
    )


def mending(art: Path, rounds: int) -> None:
    """Print the time of mending against that of its neck search, processor time."""
    from filigree import pipeline
    from filigree.geometry.necks import find_necks
    from filigree.job import limits_of, load_job, loss_of
    from filigree.mend.mend import mend

    job = load_job(art.parent / "job.toml")
    worked = pipeline.plan(art, job).worked
    limits = limits_of(job)
    if worked.pattern is None:
        raise ValueError("the plate has no outline")
    ratios, thin = [], 0
    for _ in range(rounds):
        begin = time.process_time()
        necks = find_necks(worked.pattern.land, under=limits.bridge.good)
        between = time.process_time()
        mend(
            worked.pattern,
            limits,
            loss=loss_of(job),
            first_free=len(worked.regions.regions) + 1,
            listed=(),
            veins=worked.regions.loose,
        )
        ratios.append((time.process_time() - between) / (between - begin))
        thin = len(necks.width)
    print(
        f"mending, {len(worked.pattern.openings)} openings, {thin} necks: "
        f"{statistics.median(ratios):.1f} x its neck search (wanted 5)",
        flush=True,
    )


def drawn(folder: Path, plan: tuple[int, int, int], *, width: float, height: float) -> Path:
    """Write a plate and, beside it, a job that opens its openings."""
    folder.mkdir()
    art = folder / "plate.svg"
    art.write_text(plate(*plan, width=width, height=height))
    spots = ", ".join(f"[{x:.3f}, {y:.3f}]" for x, y in middles(*plan, width=width, height=height))
    (folder / "job.toml").write_text(f"[choose]\nopen = [{spots}]\n")
    return art


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--small", action="store_true", help="leave out the large piece")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        small = drawn(folder / "small", SMALL, width=180, height=120)
        compare("--help / bare interpreter", [*FILIGREE, "--help"], BARE, 5, options.rounds)
        make = [*FILIGREE, "make", str(small), "-o", str(folder / "small-cut")]
        compare("small, cuts / import", [*make, "--files", "cuts"], IMPORTS, 8, options.rounds)
        compare("small, everything / import", make, IMPORTS, 20, options.rounds)
        if not options.small:
            large = drawn(folder / "large", LARGE, width=1000, height=500)
            make = [
                *FILIGREE,
                "make",
                str(large),
                "-o",
                str(folder / "large-cut"),
                "--files",
                "cuts",
            ]
            compare("large, cuts / import", make, IMPORTS, 40, min(options.rounds, 3))
        mending(drawn(folder / "thin", SMALL, width=124, height=84), min(options.rounds, 5))


if __name__ == "__main__":
    main()
