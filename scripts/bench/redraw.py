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
from filigree.drawing.scan.skeleton import chains_of
from filigree.job import Sheet
from filigree.regions.divide import divide
from tests.make.scan_art import FAMILIES, Art
from tests.make.scans import INK, PENCIL, Camera, Hand, photo, save, sheet

KINDS = {
    "ink 300": INK,
    "pencil 300": PENCIL,
    "pencil 600": replace(PENCIL, dpi=600.0),
    "skewed ink": INK,
    "photo": INK,
}
LEAST_WIDTH = 1.2  # mm: narrower fields are not counted
A4 = (210.0, 297.0)  # mm
LOCAL, UNDER = (
    35,
    15,
)  # pixels the local threshold looks over (3 mm), and grey levels under their mean
SAME = 0.8  # share of overlap of one field found


def one_threshold(grey: np.ndarray) -> np.ndarray:
    """Ink by one threshold over all, the cheapest there is."""
    from skimage.filters import threshold_otsu

    return grey < threshold_otsu(grey)


def local_threshold(grey: np.ndarray) -> np.ndarray:
    """Ink by a threshold that follows the light, weighted as the library does by itself."""
    from skimage.filters import threshold_local

    return grey < threshold_local(grey, block_size=LOCAL, offset=UNDER)


def plain_lines(path: Path, to_mm, threshold=one_threshold) -> list[np.ndarray]:
    """The plain road: threshold, thinning of the whole picture, pixel chains."""
    from skimage.morphology import skeletonize

    grey = np.asarray(Image.open(path).convert("L"))
    bones = skeletonize(threshold(grey))
    chains = chains_of(np.flatnonzero(bones), bones.shape)
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


def tiled(columns: int, rows: int, seed: int) -> Art:
    """An A4 sheet full of pieces of all families."""
    wide, high = (A4[0] - 10) / columns, (A4[1] - 10) / rows
    places = [(5 + x * wide, 5 + y * high) for y in range(rows) for x in range(columns)]
    return laid(places, (wide - 1, high - 1), seed)


def laid(places: list[tuple[float, float]], size: tuple[float, float], seed: int) -> Art:
    """Pieces of one size on an A4 sheet, the families by turns."""
    lines, widths = [], []
    for k, place in enumerate(places):
        piece = list(FAMILIES.values())[k % len(FAMILIES)](seed + k, size=size)
        lines += [line + np.array(place) for line in piece.lines]
        widths += piece.widths
    return Art(size=A4, lines=tuple(lines), widths=tuple(widths))


def sheets() -> dict[str, tuple[Art, Hand]]:
    """A4 sheets with little, usual and much ink."""
    five = [(10, 10), (120, 40), (30, 130), (130, 160), (60, 240)]
    return {
        "five pieces, ink": (laid(five, (44.0, 33.0), 1), INK),
        "one vine, ink": (FAMILIES["vine"](2, size=A4), INK),
        "one lattice, ink": (FAMILIES["lattice"](2, size=A4), INK),
        "one lattice, pencil": (FAMILIES["lattice"](2, size=A4), PENCIL),
        "eight pieces, ink": (tiled(2, 4, 10), INK),
        "eight pieces, pencil": (tiled(2, 4, 10), PENCIL),
        "28 pieces, ink": (tiled(4, 7, 20), INK),
    }


def speed(rounds: int) -> None:
    """Time A4 scans at 300 dpi on all roads, by turns: processor time, the least of some rounds."""
    print(
        "ratios: ours over the plain road with a local threshold, and with one threshold over all"
    )
    with tempfile.TemporaryDirectory() as name:
        for words, (art, hand) in sheets().items():
            path = Path(name) / "a4.png"
            save(sheet(art, hand, fine=2), path)  # finer is over 100 million pixels
            times = []
            for _ in range(rounds + 1):  # the first round pays for the imports
                clock = [time.process_time()]
                plain_lines(path, lambda p: p, local_threshold)
                clock.append(time.process_time())
                plain_lines(path, lambda p: p)
                clock.append(time.process_time())
                redraw_scan(path, sheet=Sheet())
                clock.append(time.process_time())
                times.append(np.diff(clock))
            local, one, ours = np.min(times[1:], axis=0)
            print(
                f"{words:<22} local {local:.2f} s, one {one:.2f} s, ours {ours:.2f} s: "
                f"{ours / local:.1f} and {ours / one:.1f} times",
                flush=True,
            )
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"most memory {most:.0f} MiB, drawing the sheets included")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=6)
    parser.add_argument("--kinds", default=",".join(KINDS))
    parser.add_argument("--speed", action="store_true")
    parser.add_argument("--rounds", type=int, default=4)
    asked = parser.parse_args()
    if asked.speed:
        speed(asked.rounds)
    else:
        table(asked.seeds, asked.kinds.split(","))
