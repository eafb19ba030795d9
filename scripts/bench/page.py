"""The page: from a click to its new findings, and from a change of thickness.

    python scripts/bench/page.py

For each piece of the gallery: openings, fields, least and middle processor time of a click, least and middle
time on the clock with the state kept on disk, and the size of the answer. Times are ms, without the browser.
"""

import math
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import msgspec

from filigree.job import load_job
from filigree.page import edits
from filigree.page.desk import Desk

GALLERY = Path(__file__).resolve().parents[2] / "gallery"
ROUNDS = 8


def main() -> int:
    """Time every drawing of the gallery; 0."""
    print(
        "piece         openings fields  click: cpu        clock       thickness: cpu        bytes"
    )
    with tempfile.TemporaryDirectory() as between:
        for art in sorted(GALLERY.glob("*/*.svg")):
            copy = Path(between) / art.name
            shutil.copyfile(art, copy)
            desk = Desk(folder=Path(between), patience=math.inf)
            desk.open(copy, load_job(art.with_name("job.toml")))
            if desk.look.drawn is not None and desk.look.drawn.openings:
                print(row(desk, art.stem), flush=True)
    return 0


def row(desk: Desk, name: str) -> str:
    """Time one piece."""
    openings = desk.look.drawn.openings
    fields = [o.regions[0] for o in openings]
    clicks = [(fields[k // 2 % len(fields)], ("keep", "open")[k % 2]) for k in range(2 * ROUNDS)]
    weights = [("6-7 oz", "4-5 oz")[k % 2] for k in range(ROUNDS)]
    cpu, clock = timed(
        desk,
        [
            lambda job, on, f=field, k=kind: edits.picked(job, on.piece.regions, [f], k)
            for field, kind in clicks
        ],
    )
    judged, _ = timed(
        desk, [lambda job, _, w=w: edits.with_settings(job, {"face.thickness": w}) for w in weights]
    )
    size = len(msgspec.json.encode(desk.told()))
    return (
        f"{name:<13} {len(openings):>8} {len(desk.piece.regions.regions):>6}  {least(cpu)}   "
        f"{least(clock)}   {least(judged)}   {size:>9}"
    )


def timed(desk: Desk, changes: list[Callable]) -> tuple[list[float], list[float]]:
    """Make changes; processor time and clock time of each, s."""
    cpu, clock = [], []
    for change in changes:
        began, wall = time.process_time(), time.perf_counter()
        desk.change(desk.turn, change)
        msgspec.json.encode(desk.told())
        cpu.append(time.process_time() - began)
        clock.append(time.perf_counter() - wall)
    return cpu, clock


def least(times: list[float]) -> str:
    """Least and middle, ms."""
    return f"{1000 * min(times):>5.0f} / {1000 * statistics.median(times):<5.0f}"


if __name__ == "__main__":
    sys.exit(main())
