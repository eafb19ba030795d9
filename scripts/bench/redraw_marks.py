"""Marked scans and photos: are the fields marked by hand chosen, and is nothing else?

Run: python scripts/bench/redraw_marks.py [--seeds 6] [--write]

Each row is one hand and one manner of marking over four families and all seeds: marked fields that are opened, bare
fields that stay, fields found and invented, stray and missing length (share over 0.5 mm off), and distance of centre
lines. Seeds 0 to 6 were looked at when something was changed, 7 and 8 when it stood. `--write` puts the table into redraw_marks.md.
"""

import argparse
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).parents[2]))

from filigree.drawing.scan import redraw_scan
from filigree.errors import FiligreeError
from filigree.job import Job, Sheet
from filigree.pipeline import chosen_fields, divided
from scripts.bench.redraw import KINDS, fields_found, off
from tests.make.scan_art import FAMILIES, Art
from tests.make.scan_marks import MANNERS, marked_fields
from tests.make.scans import Camera, photo, save, sheet

HANDS = ("ink 300", "pencil 300", "photo")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """What became of one picture, or of several together."""

    marked: int = 0
    opened: int = 0
    bare: int = 0
    kept: int = 0
    true: int = 0
    found: int = 0
    seen: int = 0
    right: int = 0
    refused: int = 0
    ours: tuple[np.ndarray, ...] = ()
    truth: tuple[np.ndarray, ...] = ()

    def __add__(self, other: "Tally") -> "Tally":
        return Tally(
            **{name: getattr(self, name) + getattr(other, name) for name in self.__slots__}
        )

    def row(self) -> list[str]:
        """Shares as printed."""
        if not self.ours:
            return ["nothing read"]
        ours, truth = np.concatenate(self.ours), np.concatenate(self.truth)
        both = np.concatenate([ours, truth])
        near = both[both < 0.5]
        return [
            f"{self.opened}/{self.marked}", f"{self.kept}/{self.bare}",
            f"{self.found / max(self.true, 1):.3f}", f"{self.right / max(self.seen, 1):.3f}",
            f"{(ours >= 0.5).mean():.2%}", f"{(truth >= 0.5).mean():.2%}",
            f"{near.mean():.4f}", f"{np.percentile(near, 95):.4f}", str(self.refused),
        ]  # fmt: skip


HEAD = ["hand", "marks", "opened", "kept", "recall", "precision", "stray", "missing", "mean mm", "95 % mm", "refused"]  # fmt: skip


def picture(art: Art, hand: str, manner: str, seed: int, path: Path):
    """Write one marked picture: marked fields, bare fields, offset of the truth, corner marks."""
    marks, chosen, bare = marked_fields(art, manner, seed)
    drawn = replace(KINDS[hand], seed=seed)
    # shading is as light against the lines with a pencil as with a pen
    marks = replace(marks, grey_dark=marks.grey_dark * drawn.ink / KINDS["ink 300"].ink)
    if hand != "photo":
        save(sheet(art, drawn, marks), path, dpi=drawn.dpi)
        return chosen, bare, np.zeros(2), None
    rng = np.random.default_rng(seed)
    camera = Camera(
        seed=seed, toward=rng.uniform(0, 360), turn=rng.uniform(-8, 8), bow=rng.uniform(-0.05, 0.04)
    )
    grey, offset, apart = photo(art, drawn, camera, marks)
    save(grey, path, dpi=None)
    return chosen, bare, np.array(offset), apart


def one(hand: str, manner: str, family: str, seed: int, path: Path) -> Tally:
    """Read one marked picture and weigh it against the truth."""
    art = FAMILIES[family](seed)
    chosen, bare, shift, apart = picture(art, hand, manner, seed, path)
    try:
        drawing = redraw_scan(path, sheet=Sheet(), marks=apart, straight=False).drawing
    except FiligreeError:
        return Tally(marked=len(chosen), bare=len(bare), refused=1)
    drawing, regions = divided(drawing, Job())
    kinds = {c.region: c.kind for c in chosen_fields(Job(), drawing, regions)}

    def is_open(field) -> bool:
        at = shapely.Point(np.array(shapely.maximum_inscribed_circle(field).coords[0]) + shift)
        return any(kinds[r.id] == "background" and r.shape.contains(at) for r in regions.regions)

    ours, truth = off([v - shift for v in drawing.lines], art.lines)
    true, found, seen, right = fields_found(drawing, art, shift)
    return Tally(
        marked=len(chosen), opened=sum(map(is_open, chosen)),
        bare=len(bare), kept=sum(not is_open(f) for f in bare),
        true=true, found=found, seen=seen, right=right, ours=(ours,), truth=(truth,),
    )  # fmt: skip


def rows(hands, manners, seeds, *, each: bool) -> Iterator[list[str]]:
    """One row for each hand and manner; with `each`, a line for each picture that is not all right."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "scan.png"
        for hand in hands:
            for manner in manners:
                whole = Tally()
                for family in FAMILIES:
                    for seed in seeds:
                        got = one(hand, manner, family, seed, path)
                        whole += got
                        if each and not good(got):
                            print("   ", family, seed, *got.row(), flush=True)
                yield [hand, manner, *whole.row()]


def good(got: Tally) -> bool:
    """True when every choice is right and hardly any line is stray or missing."""
    if not got.ours or got.opened < got.marked or got.kept < got.bare:
        return False
    return all((np.concatenate(v) >= 0.5).mean() < 0.01 for v in (got.ours, got.truth))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="1,2,3,4,5,6")
    parser.add_argument("--hands", default=",".join(HANDS))
    parser.add_argument("--manners", default=",".join(MANNERS))
    parser.add_argument("--each", action="store_true")
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    table = [HEAD, ["---"] * len(HEAD)]
    seeds = [int(v) for v in asked.seeds.split(",")]
    print("| " + " | ".join(HEAD) + " |")
    for row in rows(asked.hands.split(","), asked.manners.split(","), seeds, each=asked.each):
        table.append(row)
        print("| " + " | ".join(row) + " |", flush=True)
    if asked.write:
        text = "\n".join("| " + " | ".join(row) + " |" for row in table)
        words = (__doc__ or "").strip().split("\n\n")
        Path(__file__).with_suffix(".md").write_text(f"# {words[0]}\n\n{words[2]}\n\n{text}\n")
