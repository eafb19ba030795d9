"""Peak memory and processor time of whole runs of `make --files cuts`, up to a million segments.

    python scripts/bench/memory.py [--most SEGMENTS]

Prints a row a size, each made in a process of its own, and the exponents with which time and memory grow with the
segments. A million segments may take 2 GiB at most.
"""

import argparse
import tempfile
from pathlib import Path

import numpy as np
from make import FILIGREE, drawn, run  # the benchmark beside this one

PLANS = {  # segments: columns, rows, segments a ring; width and height, mm
    100_000: ((40, 20, 125), (640, 320)),
    300_000: ((69, 35, 124), (1104, 560)),
    1_000_000: ((125, 64, 124), (2000, 1000)),
}
MOST = 2048  # MiB


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=1_000_000)
    most = parser.parse_args().most
    rows = []
    with tempfile.TemporaryDirectory() as temporary:
        for segments, (plan, (width, height)) in PLANS.items():
            if segments > most:
                break
            art = drawn(Path(temporary) / str(segments), plan, width=width, height=height)
            spent = run([*FILIGREE, "make", str(art), "-o", f"{temporary}/cut", "--files", "cuts"])
            rows.append((segments, spent.processor, spent.peak))
            print(
                f"{segments:>9} segments, {plan[0] * plan[1]:>5} openings: {spent.wall:6.1f} s wall, "
                f"{spent.processor:6.1f} s processor, {spent.peak:5.0f} MiB (at most {MOST})",
                flush=True,
            )
    if len(rows) > 1:
        sizes, times, peaks = np.log(np.array(rows)).T
        print(
            f"growth: processor time n^{np.polyfit(sizes, times, 1)[0]:.2f}, "
            f"memory n^{np.polyfit(sizes, peaks, 1)[0]:.2f}"
        )


if __name__ == "__main__":
    main()
