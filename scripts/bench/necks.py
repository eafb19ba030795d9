"""Time the neck search against plain ring-to-ring distances, and all measures as they grow.

    python scripts/bench/necks.py [--rounds N] [--large]

Prints, for perforated plates of growing size: the median ratio of the neck search to the distances of all
pairs of rings near enough to matter (both in the same run, in turn), milliseconds an opening, the time of
all measures but the load, of each measure alone, and the exponent of growth. `--large` adds the 2,000
openings of a 1 m x 0.5 m piece. Ratios hold across machines, times do not.
"""

import argparse
import math
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely
from shapely import Polygon

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from filigree.checks import judge
from filigree.geometry.curves import CurveTable
from filigree.geometry.necks import find_necks
from filigree.job import Job, limits_of
from filigree.measure import measure
from filigree.measure.islands import islands
from filigree.measure.margins import margins
from filigree.measure.necks import necks_of
from filigree.measure.openings import face_tips, opening_sizes
from filigree.measure.section import weakest
from filigree.measure.share import open_share
from filigree.measure.strands import strands
from filigree.pattern import Opening, Pattern

WANTED = 3.6  # mm
SIZES = [(10, 6), (20, 15), (32, 30)]
LARGE = (63, 32)


def plate(columns: int, rows: int) -> Pattern:
    """Round holes of growing and shrinking size on a staggered grid, flattened to 0.005 mm."""
    rng = np.random.default_rng(columns)
    x, y = np.meshgrid(np.arange(columns) * 15.0, np.arange(rows) * 13.0)
    x += (np.arange(rows)[:, None] % 2) * 7.5
    radius = rng.uniform(4, 5.5, x.size)
    angle = np.arange(76) * 2 * math.pi / 76
    round_ = np.c_[np.cos(angle), np.sin(angle)]
    wavy = 1 + 0.08 * np.sin(5 * angle)
    rings = (
        np.c_[x.ravel(), y.ravel()][:, None] + (radius[:, None] * wavy)[..., None] * round_[None]
    )
    shapes = shapely.polygons(rings)
    left, top, right, bottom = shapely.total_bounds(shapes)
    outline = shapely.box(left - 9, top - 9, right + 9, bottom + 9)
    openings = tuple(
        Opening(
            id=k,
            regions=(k,),
            shape=s,
            at=(s.centroid.x, s.centroid.y),
            area_mm2=s.area,
            inlay="red",
        )
        for k, s in enumerate(shapes.tolist(), 1)
    )
    none = np.zeros((0, 2))
    curves = CurveTable(
        cubics=np.zeros((0, 4, 2)), starts=none, ends=none, curve=np.zeros(0, np.int64), spans=none
    )
    land = Polygon(outline.exterior, [s.exterior for s in shapes.tolist()])
    return Pattern(
        width=right, height=bottom, outline=outline, openings=openings, land=land, curves=curves
    )


def ring_pairs(pattern: Pattern) -> int:
    """The plain way: the distance of every pair of rings near enough."""
    rings = np.array([o.shape.exterior for o in pattern.openings] + [pattern.outline.exterior])
    one, two = shapely.STRtree(rings).query(rings, predicate="dwithin", distance=2 * WANTED)
    once = one < two
    apart = shapely.distance(rings[one[once]], rings[two[once]])
    return len(apart)


def timed(job: Callable[[], object]) -> float:
    """Seconds of one call."""
    start = time.process_time()
    job()
    return time.process_time() - start


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--large", action="store_true")
    options = parser.parse_args()
    limits = limits_of(Job())
    before: tuple[int, float, float] | None = None
    for size in [*SIZES, *([LARGE] if options.large else [])]:
        face = plate(*size)
        count = len(face.openings)
        pairs = [
            (
                timed(lambda face=face: find_necks(face.land, under=2 * WANTED)),
                timed(lambda face=face: ring_pairs(face)),
            )
            for _ in range(options.rounds)
        ]
        search = statistics.median(p[0] for p in pairs)
        ratio = statistics.median(p[0] / p[1] for p in pairs)
        whole = statistics.median(
            timed(lambda face=face: measure(face, wanted=WANTED)) for _ in range(options.rounds)
        )
        measures = measure(face, wanted=WANTED)
        judged = min(timed(lambda measures=measures: judge(measures, limits)) for _ in range(5))
        growth = ""
        if before is not None:
            scale = math.log(count / before[0])
            growth = f", growth n^{math.log(search / before[1]) / scale:.2f} and n^{math.log(whole / before[2]) / scale:.2f}"
        print(
            f"{count} openings: necks {search:.3f} s, {ratio:.2f} x ring pairs, {1000 * search / count:.2f} ms an opening; "
            f"all measures {whole:.3f} s; judged in {1000 * judged:.2f} ms{growth}"
        )
        before = (count, search, whole)
        each = {
            "necks": lambda face=face: necks_of(face, under=2 * WANTED),
            "islands": lambda face=face: islands(face),
            "openings": lambda face=face: opening_sizes(face, under=WANTED),
            "points": lambda face=face: face_tips(face),
            "margins": lambda face=face: margins(face, under=20),
            "share": lambda face=face: open_share(face, window=12),
            "section": lambda face=face: weakest(face, pull="long"),
            "strands": lambda face=face: strands(face, wanted=WANTED),
        }
        print("   " + ", ".join(f"{name} {timed(job):.3f}" for name, job in each.items()))


if __name__ == "__main__":
    main()
