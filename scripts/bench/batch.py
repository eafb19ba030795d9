"""Time `filigree batch` on two cores against one, and watch its memory.

    python scripts/bench/batch.py [--pieces N] [--files cuts|all]

Makes N small drawings (six openings each, every one different), runs the same folder with one worker and with two, and
prints how much faster two are (wanted: 1.8), the time a piece takes, and the memory of the whole tree of processes after
a tenth of the pieces and at the end (wanted: no growth). On a machine that does other work the ratio falls short.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from make import plate  # the benchmark beside this one

ROOT = Path(__file__).resolve().parents[2]
PLAN = (3, 2, 40)  # columns, rows, segments a ring
EARLY = 0.1  # share of the pieces after which memory is first read


def drawings(folder: Path, pieces: int) -> None:
    """Write that many drawings, each of its own width."""
    folder.mkdir()
    for k in range(pieces):
        art = plate(*PLAN, width=70 + k / pieces, height=50)
        (folder / f"piece-{k:04d}.svg").write_text(art)


def memory(root: int) -> float:
    """Resident memory of a process and its children, MiB; shared pages count once for each (Linux)."""
    total, todo = 0, [root]
    while todo:
        process = todo.pop()
        try:
            todo += map(int, Path(f"/proc/{process}/task/{process}/children").read_text().split())
            total += int(Path(f"/proc/{process}/statm").read_text().split()[1])
        except (FileNotFoundError, ProcessLookupError):
            continue  # ended meanwhile
    return total * os.sysconf("SC_PAGE_SIZE") / 2**20


def run(
    folder: Path, out: Path, workers: int, files: str, pieces: int
) -> tuple[float, float, float]:
    """Wall time, s, and memory after a tenth of the pieces and at its most after that, MiB."""
    words = [sys.executable, "-m", "filigree", "batch", str(folder), "-o", str(out)]
    words += ["--workers", str(workers), "--files", files]
    begin = time.perf_counter()
    process = subprocess.Popen(
        words, stdout=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    early = late = 0.0
    while process.poll() is None:
        time.sleep(0.25)
        done = sum(1 for _ in out.glob("*/report.json")) if out.exists() else 0
        now = memory(process.pid)
        if done <= EARLY * pieces:
            early = max(early, now)
        else:
            late = max(late, now)
    if process.returncode not in {0, 1}:
        raise subprocess.CalledProcessError(process.returncode, words)
    return time.perf_counter() - begin, early, late


def main() -> None:
    """Print one row for one worker, one for two."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=200)
    parser.add_argument("--files", choices=("cuts", "all"), default="cuts")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "pieces"
        drawings(folder, options.pieces)
        walls = []
        for workers in (1, 2):
            out = Path(temporary) / f"out-{workers}"
            wall, early, late = run(folder, out, workers, options.files, options.pieces)
            walls.append(wall)
            print(
                f"{workers} worker{'s' * (workers > 1)}: {wall:7.1f} s, {1000 * wall / options.pieces:6.1f} ms a piece; "
                f"memory {early:5.0f} MiB in the first tenth, {late:5.0f} MiB after",
                flush=True,
            )
        print(f"two against one: {walls[0] / walls[1]:.2f} x (wanted 1.8)")


if __name__ == "__main__":
    main()
