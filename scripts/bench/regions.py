"""Time `divide` against bare union and polygonize, and against labelling a picture, in the same run.

    python scripts/bench/regions.py [--million] [--rounds N]

Prints the median ratio over alternating pairs, the exponent of growth and the peak memory of each size.
The references are `shapely.unary_union` + `polygonize` on the same lines, and `scipy.ndimage.label` of
the lines drawn at 0.05 mm a pixel (150 mm only).
"""

import argparse
import math
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely
from shapely import MultiPolygon

from filigree.drawing.model import Drawing
from filigree.geometry.curves import CurveTable
from filigree.regions.divide import divide

SIZE = 150.0  # mm
PIXEL = 0.05  # mm
CASES = [  # segments, fields along a side; gaps
    (5_000, 8, False),
    (20_000, 20, False),
    (100_000, 45, False),
    (150_000, 45, False),
    (300_000, 80, False),
    (100_000, 140, False),
    (20_000, 20, True),
    (100_000, 45, True),
]
MILLION = (1_000_000, 140, False)


def waves(segments: int, side: int, *, gaps: bool) -> list[np.ndarray]:
    """Draw a lattice of waves with about that many segments; with a gap in a third of the lines."""
    rng = np.random.default_rng(segments + side)
    steps = segments // (2 * (side + 1))
    t = np.linspace(0, SIZE, steps + 1)
    lines = []
    for k in range(side + 1):
        bend = 0.25 * SIZE / side * np.sin(2 * np.pi * t / SIZE * side / 3 + k) * (0 < k < side)
        for xy in (
            np.column_stack([t, k * SIZE / side + bend]),
            np.column_stack([k * SIZE / side + bend, t]),
        ):
            hole = math.ceil(0.6 / (SIZE / steps))
            if gaps and rng.random() < 1 / 3 and steps > 3 * hole:
                cut = int(rng.integers(hole, steps - 2 * hole))
                lines += [xy[: cut + 1], xy[cut + hole :]]
            else:
                lines.append(xy)
    return lines


def drawing(lines: list[np.ndarray]) -> Drawing:
    """Wrap lines in a drawing of strokes."""
    none = np.empty((0, 2))
    curves = CurveTable(
        cubics=np.empty((0, 4, 2)),
        starts=none,
        ends=none,
        curve=np.empty(0, dtype=np.int64),
        spans=none,
    )
    return Drawing(
        name="bench",
        width=SIZE,
        height=SIZE,
        scale_from="bench",
        lines=tuple(lines),
        curves=curves,
        solids=MultiPolygon(),
        fields=None,
        marks=(),
        skipped=(),
    )


def bare(lines: list[np.ndarray]) -> int:
    """Union and polygonize, nothing else."""
    drawn = shapely.multilinestrings([shapely.linestrings(xy) for xy in lines])
    noded = shapely.get_parts(shapely.unary_union(drawn))
    return len(shapely.get_parts(shapely.polygonize(noded)))


def picture(lines: list[np.ndarray]) -> int:
    """Draw the lines into a picture and label it."""
    from PIL import Image, ImageDraw
    from scipy import ndimage

    side = round(SIZE / PIXEL) + 1
    image = Image.new("1", (side, side))
    pen = ImageDraw.Draw(image)
    for xy in lines:
        pen.line([(x, y) for x, y in (xy / PIXEL).tolist()], fill=1)
    return int(ndimage.label(~np.asarray(image))[1])


def seconds(work: Callable[[], object]) -> float:
    """Processor time of one call: what else runs on the machine does not count."""
    begin = time.process_time()
    work()
    return time.process_time() - begin


def ratio(
    work: Callable[[], object], reference: Callable[[], object], rounds: int
) -> tuple[float, float]:
    """Median ratio over alternating pairs, and the median time of the work, s."""
    pairs = [(seconds(work), seconds(reference)) for _ in range(rounds)]
    return statistics.median(a / b for a, b in pairs), statistics.median(a for a, _ in pairs)


def own_peak() -> float:
    """Peak memory of this process, MiB; what the parent held before the start does not count."""
    status = Path("/proc/self/status")
    if status.exists():
        return int(status.read_text().split("VmHWM:")[1].split()[0]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def peak(segments: int, side: int) -> float:
    """Peak memory of one run in a process of its own, MiB."""
    code = f"import sys; sys.argv = ['regions.py', '--alone', '{segments}', '{side}']; "
    code += f"import runpy; runpy.run_path({__file__!r}, run_name='__main__')"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return float(run.stdout)


def main() -> None:
    """Run the cases."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--million", action="store_true", help="also a million segments, once")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--alone", type=int, nargs=2, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.alone:
        divide(drawing(waves(*options.alone, gaps=False)))
        print(own_peak())
        return
    print("segments  fields  gaps   time s  / bare  / picture  peak MiB")
    plain: list[tuple[int, float]] = []
    for segments, side, gaps in [*CASES, *([MILLION] if options.million else [])]:
        rounds = 1 if segments >= MILLION[0] else options.rounds
        lines = waves(segments, side, gaps=gaps)
        art = drawing(lines)
        fields = len(divide(art).regions)
        to_bare, took = ratio(lambda a=art: divide(a), lambda p=lines: bare(p), rounds)
        to_picture, _ = ratio(lambda a=art: divide(a), lambda p=lines: picture(p), min(rounds, 3))
        memory = peak(segments, side)
        print(
            f"{segments:>8}  {fields:>6}  {gaps!s:<5}  {took:>6.3f}  {to_bare:>6.2f}"
            f"  {to_picture:>9.2f}  {memory:>8.0f}",
            flush=True,
        )
        if not gaps and side != 140:
            plain.append((segments, took))
    x, y = np.log(np.array(plain)).T
    print(f"growth: segments to the power {np.polyfit(x, y, 1)[0]:.2f}")


if __name__ == "__main__":
    main()
