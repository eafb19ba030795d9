"""Centre lines of redrawn scans against a plain threshold-and-skeleton road, on the same pictures.

Run: python scripts/bench/redraw.py [--seeds 6] [--kinds photo] [--speed]

Each row is one kind of scan over all families and seeds: mean / 95th percentile of the symmetric distance to the
lines that were drawn, mm; stray and missing length, share over 0.5 mm off; fields found and invented. Odd seeds were
kept out of all tuning.
"""

import argparse
import resource
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from PIL import Image
from shapely import LineString, MultiLineString

sys.path.insert(0, str(Path(__file__).parents[2]))

from filigree.drawing.scan import redraw_scan
from filigree.drawing.scan.skeleton import thin
from filigree.job import Sheet
from filigree.regions.divide import divide
from tests.make import scans
from tests.make.scan_art import FAMILIES
from tests.make.scans import INK, PENCIL, Camera, photo, save, sheet

KINDS = {
    "ink 300": INK,
    "pencil 300": PENCIL,
    "pencil 600": replace(PENCIL, dpi=600.0),
    "skewed ink": INK,
    "photo": INK,
}
LEAST_WIDTH = 1.2  # mm: narrower fields are not counted
SAME = 0.8  # share of overlap of one field found


def plain_lines(path: Path, to_mm) -> list[np.ndarray]:
    """The plain road: one threshold over all, thinning, pixel chains."""
    from skimage.filters import threshold_otsu

    grey = np.asarray(Image.open(path).convert("L"))
    chains = thin(grey < threshold_otsu(grey))
    lines = [chains.points[a:b] for a, b in zip(chains.starts[:-1], chains.starts[1:], strict=True)]
    return [to_mm(line) for line in lines if len(line) > 5]


def off(found, truth) -> tuple[np.ndarray, np.ndarray]:
    """Distances of points 0.2 mm apart: from what was found, and from the truth."""

    def one_way(a, b):
        whole = MultiLineString([LineString(v) for v in b])
        shapely.prepare(whole)
        points = [
            shapely.line_interpolate_point(LineString(v), np.arange(0.1, LineString(v).length, 0.2))
            for v in a
        ]
        return shapely.distance(np.concatenate(points), whole)

    return one_way(found, truth), one_way(truth, found)


def fields_found(drawing, art, shift) -> tuple[int, int, int, int]:
    """True fields, those found, regions wide enough, and those of them that are true."""
    seen = [shapely.transform(r.shape, lambda p: p - shift) for r in divide(drawing).regions]
    true = [f for f in art.fields if not f.buffer(-LEAST_WIDTH / 2).is_empty]

    def alike(a, others):
        return any(a.intersection(b).area > SAME * a.union(b).area for b in others)

    wide = [s for s in seen if not s.buffer(-LEAST_WIDTH / 2).is_empty]
    return (
        len(true),
        sum(alike(f, seen) for f in true),
        len(wide),
        sum(alike(s, art.fields) for s in wide),
    )


def one(kind: str, family: str, seed: int, folder: Path):
    """Distances of our road and of the plain one, fields, and scale errors for one picture."""
    art, hand = FAMILIES[family](seed), replace(KINDS[kind], seed=seed)
    path = folder / "scan.png"
    shift, marks = np.zeros(2), None
    if kind == "photo":
        rng = np.random.default_rng(seed)
        camera = Camera(
            seed=seed,
            toward=rng.uniform(0, 360),
            turn=rng.uniform(-8, 8),
            bow=rng.uniform(-0.05, 0.04),
        )
        grey, offset, marks = photo(art, hand, camera)
        shift = np.array(offset)
        save(grey, path, dpi=None)
    else:
        skew = (1 + seed % 4) * (-1) ** seed if kind == "skewed ink" else 0
        save(sheet(art, replace(hand, skew=float(skew))), path, dpi=hand.dpi)
    redrawn = redraw_scan(path, sheet=Sheet(), marks=marks, straight=kind == "skewed ink")
    lines = [v - shift for v in redrawn.drawing.lines]
    plain = [v - shift for v in plain_lines(path, redrawn.frame.to_mm)]
    found, truth = np.vstack(lines), np.vstack(art.lines)
    scale = np.ptp(found, axis=0) / np.ptp(truth, axis=0) - 1
    return (
        off(lines, art.lines),
        off(plain, art.lines),
        fields_found(redrawn.drawing, art, shift),
        scale,
    )


def table(seeds: int, kinds: list[str]) -> None:
    """Print one row for each kind."""
    print(
        f"{'kind':<12} {'ours mean/95':>15} {'plain mean/95':>15} {'times':>5} {'stray':>6} {'missing':>7} {'recall':>7} {'precision':>9} {'scale':>7}"
    )
    with tempfile.TemporaryDirectory() as name:
        for kind in kinds:
            ours, plain, fields, scales = [], [], [], []
            for family in FAMILIES:
                for seed in range(1, seeds + 1):
                    a, b, f, s = one(kind, family, seed, Path(name))
                    ours.append(a)
                    plain.append(b)
                    fields.append(f)
                    scales.append(s)
            both, both_plain = (
                np.concatenate([np.concatenate(v) for v in rows]) for rows in (ours, plain)
            )
            both, both_plain = both[both < 0.5], both_plain[both_plain < 0.5]
            stray, missing = (
                float((np.concatenate([v[k] for v in ours]) >= 0.5).mean()) for k in (0, 1)
            )
            true, hit, seen, right = np.sum(fields, axis=0)
            print(
                f"{kind:<12} {both.mean():7.4f}/{np.percentile(both, 95):.4f} "
                f"{both_plain.mean():7.4f}/{np.percentile(both_plain, 95):.4f} "
                f"{both_plain.mean() / both.mean():5.1f} {stray:6.2%} {missing:7.2%} "
                f"{hit / true:7.3f} {right / max(seen, 1):9.3f} {np.abs(np.median(scales, axis=0)).max():7.3%}",
                flush=True,
            )


def speed() -> None:
    """Time A4 scans at 300 dpi on both roads, by turns: processor time, the least of three."""
    scans.FINE = 2  # an A4 sheet drawn finer is over 100 million pixels
    with tempfile.TemporaryDirectory() as name:
        for family, hand in (
            ("vine", "ink 300"),
            ("lattice", "ink 300"),
            ("lattice", "pencil 300"),
        ):
            path = Path(name) / "a4.png"
            save(sheet(FAMILIES[family](2, size=(210.0, 297.0)), KINDS[hand]), path)
            plain, ours = [], []
            for _ in range(4):  # the first run pays for the imports
                start = time.process_time()
                plain_lines(path, lambda p: p)
                middle = time.process_time()
                redraw_scan(path, sheet=Sheet())
                plain.append(middle - start)
                ours.append(time.process_time() - middle)
            a, b = min(plain[1:]), min(ours[1:])
            print(
                f"A4 at 300 dpi, {family}, {hand}: plain {a:.2f} s, ours {b:.2f} s, {b / a:.1f} times"
            )
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"most memory {most:.0f} MiB, drawing the sheets included")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=6)
    parser.add_argument("--kinds", default=",".join(KINDS))
    parser.add_argument("--speed", action="store_true")
    asked = parser.parse_args()
    if asked.speed:
        speed()
    else:
        table(asked.seeds, asked.kinds.split(","))
