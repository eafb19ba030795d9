"""Every kind of scan on every family, seeds in tuning and seeds kept out of it, as a table beside the plain road.

Run: python scripts/bench/redraw_sweep.py [--seeds 6] [--kinds photo,ink 300] [--write]

Even seeds may have been looked at when something was changed, odd seeds never. `scale` is the larger of the two axes'
errors, read by least squares from all lines found against the lines drawn; `extent` is how far the outermost points
of the lines lie apart, which the noise of the outermost line widens. Both are medians over the pictures. Distances are
symmetric, mm, without what is over 0.5 mm off: that is counted as stray or missing.
"""

import argparse
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from shapely import LineString, MultiLineString

sys.path.insert(0, str(Path(__file__).parents[2]))

from filigree.drawing.scan import redraw_scan
from filigree.job import Sheet
from scripts.bench.redraw import KINDS, fields_found, off, plain_lines
from tests.make.scan_art import FAMILIES
from tests.make.scans import Camera, photo, save, sheet

TABLE = Path(__file__).with_suffix(".md")
FAR = 0.5  # mm: farther points are stray or missing
SKEWS = (1.0, -2.0, 3.0, -4.0)  # degrees
PHOTOS = {"photo": 12.0, "photo flat": 3.0}  # degrees of tilt


def picture(kind: str, family: str, seed: int, path: Path):
    """Save one picture; its drawing, the offset of its truth and the marks' distances."""
    hand = replace(KINDS["ink 300" if kind in PHOTOS else kind], seed=seed)
    art = FAMILIES[family](seed)
    if kind in PHOTOS:
        rng = np.random.default_rng(seed)
        camera = Camera(
            seed=seed,
            tilt=PHOTOS[kind],
            toward=rng.uniform(0, 360),
            turn=rng.uniform(-8, 8),
            bow=rng.uniform(-0.05, 0.04),
            vignette=rng.uniform(0.1, 0.35),
            shadow=rng.uniform(0.1, 0.5),
        )
        grey, offset, marks = photo(art, hand, camera)
        save(grey, path, dpi=None)
        return art, np.array(offset), marks
    if kind == "skewed ink":
        hand = replace(hand, skew=SKEWS[seed % 4])
    save(sheet(art, hand), path, dpi=hand.dpi)
    return art, np.zeros(2), None


def axes_off(found, truth) -> np.ndarray:
    """Share by which the lines found are too long along x and y, by least squares across the lines, `(2,)`."""
    whole = MultiLineString([LineString(v) for v in truth])
    points = np.concatenate(
        [
            shapely.line_interpolate_point(line, np.arange(0.1, line.length, 0.2))
            for line in (LineString(v) for v in found)
        ]
    )
    pairs = shapely.get_coordinates(shapely.shortest_line(points, whole)).reshape(-1, 2, 2)
    away = pairs[:, 0] - pairs[:, 1]
    size = np.hypot(*away.T)
    keep = (size < FAR) & (size > 1e-7)
    across = away[keep] / size[keep, None]
    place = pairs[keep, 1] - np.vstack(truth).mean(0)
    solved = np.linalg.lstsq(np.hstack([across * place, across]), size[keep], rcond=None)[0]
    return solved[:2]


def one(kind: str, family: str, seed: int, folder: Path) -> dict:
    """What is measured on one picture."""
    path = folder / "scan.png"
    art, shift, marks = picture(kind, family, seed, path)
    redrawn = redraw_scan(path, sheet=Sheet(), marks=marks, straight=kind == "skewed ink")
    lines = [v - shift for v in redrawn.drawing.lines]
    plain = [v - shift for v in plain_lines(path, redrawn.frame.to_mm)]
    extent = np.ptp(np.vstack(lines), axis=0) / np.ptp(np.vstack(art.lines), axis=0) - 1
    return {
        "ours": off(lines, art.lines),
        "plain": off(plain, art.lines),
        "fields": fields_found(redrawn.drawing, art, shift),
        "scale": np.abs(axes_off(lines, art.lines)),
        "extent": np.abs(extent),
    }


def row(kind: str, seeds: list[int], folder: Path) -> str:
    """One row of the table."""
    seen = [one(kind, family, seed, folder) for family in FAMILIES for seed in seeds]
    cells = [kind, ", ".join(map(str, seeds))]
    for road in ("ours", "plain"):
        near = np.concatenate([v for s in seen for v in s[road]])
        near = near[near < FAR]
        cells.append(f"{near.mean():.4f} / {np.percentile(near, 95):.4f}")
    stray, missing = (
        float((np.concatenate([s["ours"][k] for s in seen]) >= FAR).mean()) for k in (0, 1)
    )
    cells += [f"{stray:.2%}", f"{missing:.2%}"]
    true, hit, regions, right = np.sum([s["fields"] for s in seen], axis=0)
    cells += [f"{hit / true:.3f}", f"{right / max(regions, 1):.3f}"]
    cells += [f"{np.median([s[k] for s in seen], axis=0).max():.3%}" for k in ("scale", "extent")]
    return "| " + " | ".join(cells) + " |"


HEAD = """# Redrawn scans and photos: four families, seeds in tuning and kept out

Even seeds may have been looked at when something was changed, odd seeds never. mean / 95th percentile of the symmetric
distance to the lines drawn, mm; the plain road is one threshold and a skeleton on the same pictures. `scale`: error of
the worse axis by least squares; `extent`: the same from the outermost points alone, which noise of the outermost
line widens. `python scripts/bench/redraw_sweep.py --write` writes this table.

| kind | seeds | ours mean / 95 % | plain mean / 95 % | stray | missing | recall | precision | scale | extent |
| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |
"""


def main() -> None:
    """Print the table; with --write keep it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=6)
    parser.add_argument("--kinds", default=",".join((*(k for k in KINDS if k != "photo"), *PHOTOS)))
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    every = range(1, asked.seeds + 1)
    halves = [[s for s in every if s % 2 == odd] for odd in (0, 1)]
    print(HEAD, end="")
    rows = []
    with tempfile.TemporaryDirectory() as name:
        for kind in asked.kinds.split(","):
            for seeds in halves:
                if seeds:
                    rows.append(row(kind, seeds, Path(name)))
                    print(rows[-1], flush=True)
    if asked.write:
        TABLE.write_text(HEAD + "\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
