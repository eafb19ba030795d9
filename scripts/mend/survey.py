"""Survey of mending: generated drawings of every family at three thicknesses, and perforated plates.

    PYTHONPATH=. python scripts/mend/survey.py rows.jsonl --seeds 10      # goes on where it was stopped
    PYTHONPATH=. python scripts/mend/survey.py rows.jsonl --table         # the tables of SURVEY.md

Each drawing has its true background cut. Counted: necks under the wanted width before; stops left, and bridges left
under the wanted width less 0.01 mm; how many of those stops and bridges no unmended place tells of; places left
unmended; openings filled; drawings in which mending took leather away or moved an edge farther than the wanted
width from a change; drawings that mending, mended afresh, changes again; area taken by widening over the bound of
`bound.py`, where nothing was left unmended; processor time of mending over that of one neck search.
"""

import argparse
import dataclasses
import math
import statistics
import sys
import time
from collections.abc import Iterable, Sequence
from pathlib import Path

import msgspec
import shapely

from filigree.checks import judge
from filigree.geometry.necks import find_necks
from filigree.geometry.types import XY
from filigree.job import Face, Job, Limits, limits_of, loss_of
from filigree.measure import measure
from filigree.measure.asked import asked_of
from filigree.measure.finished import finished
from filigree.measure.necks import necks_of
from filigree.mend.land import land_of
from filigree.mend.mend import mend
from filigree.mend.model import Mended
from filigree.pattern import Pattern, pattern_of
from filigree.regions.background.choose import choose
from filigree.regions.divide import divide
from scripts.mend.bound import lower_bound
from scripts.mend.plates import PLATES, drilled
from tests.make.families import FAMILIES, marked

THICKNESSES = ("2-3 oz", "4-5 oz", "7-8 oz")
SHORT = 0.01  # mm that a mended bridge may fall short
NEAR = 0.5  # mm: an unmended place tells of a stop or a bridge this near
DUST = 1e-3  # mm2
COUNTS = ("necks", "stops", "thin", "untold", "unmended", "filled", "cut", "far", "again")


class Row(msgspec.Struct, frozen=True):
    """What mending came to on one drawing at one thickness."""

    family: str
    seed: int
    thickness: str
    necks: int
    stops: int
    thin: int
    untold: int
    unmended: int
    filled: int
    cut: int  # 1 where leather was taken away
    far: int  # 1 where an edge moved far from any change
    again: int  # 1 where mending the mended piece afresh changes it
    ratio: float | None  # area taken over the bound; None where it says nothing
    cost: float  # of one neck search


def drawn_pattern(family: str, seed: int) -> tuple[Pattern, int]:
    """Give the pattern of a generated drawing, its true background cut, and the first free number."""
    drawing = marked(FAMILIES[family](seed)).drawing
    regions = divide(drawing)
    choices = choose(regions, drawing)
    pattern = pattern_of(regions, choices, drawing=drawing, inlay="red")
    if pattern is None:
        raise ValueError(f"{family} {seed} has no outline")
    return pattern, len(regions.regions) + 1


def survey(
    family: str, seed: int, thickness: str, pattern: Pattern, first_free: int, bound: float | None
) -> Row:
    """Mend one pattern at one thickness and count what is left; the bound is worked out when None."""
    job = Job(face=Face(thickness=thickness))
    limits, loss = limits_of(job), loss_of(job)
    wanted = limits.bridge.good
    if family in PLATES:  # circles may lose what they must
        limits = dataclasses.replace(limits, change=1.0)
    start = time.process_time()
    find_necks(pattern.land, under=wanted)
    once = time.process_time() - start
    start = time.process_time()
    done = mend(pattern, limits, loss=loss, first_free=first_free)
    cost = (time.process_time() - start) / max(once, 1e-6)
    free = max([first_free, *(o.id + 1 for o in done.pattern.openings)])
    again = mend(done.pattern, limits, loss=loss, first_free=free)
    face = finished(done.pattern, loss)
    found = judge(measure(face, wanted=wanted, asked=asked_of(job, limits)), limits)
    stops = [(f.at, f.measured) for f in found if f.severity == "stop"]
    necks = necks_of(face, under=2 * wanted)
    thin = [(n.middle, n.width) for n in necks if n.width < wanted - SHORT]
    if bound is None and not done.unmended:
        cut = _without(pattern, done.filled)
        bound = lower_bound(cut, wanted=wanted + 2 * loss.char - loss.bevel)
    taken = sum(sum(a for _, a in c.lost) for c in done.changes if c.how == "widen")
    return Row(
        family=family,
        seed=seed,
        thickness=thickness,
        necks=len(necks_of(pattern, under=wanted)),
        stops=len(stops),
        thin=len(thin),
        untold=sum(not _told(at, width, done, wanted) for at, width in [*stops, *thin]),
        unmended=len(done.unmended),
        filled=len(done.filled),
        cut=int(pattern.land.difference(done.pattern.land).area > DUST),
        far=int(_moved_far(pattern, done, limits)),
        again=int(again.pattern is not done.pattern),
        ratio=taken / bound if bound and bound > 0.01 and not done.unmended else None,
        cost=cost,
    )


def _told(at: XY, width: float | None, done: Mended, wanted: float) -> bool:
    """Say whether an unmended place tells of a stop or a bridge: there, or as narrow farther along its strand."""
    return any(
        math.dist(at, u.at) <= NEAR
        or (
            width is not None
            and abs(u.width - width) <= SHORT
            and math.dist(at, u.at) <= 2 * wanted
        )
        for u in done.unmended
    )


def _without(pattern: Pattern, filled: Sequence[int]) -> Pattern:
    """Leave openings out that are filled."""
    left = tuple(o for o in pattern.openings if o.id not in filled)
    land = land_of(pattern.outline, [o.shape for o in left])
    return dataclasses.replace(pattern, openings=left, land=land)


def _moved_far(pattern: Pattern, done: Mended, limits: Limits) -> bool:
    """Say whether an edge moved farther than the wanted width from every change."""
    near = shapely.union_all([c.added for c in done.changes]).buffer(limits.bridge.good)
    now = shapely.union_all([o.shape for o in done.pattern.openings])
    before = shapely.union_all([o.shape for o in pattern.openings])
    return bool(before.symmetric_difference(now).difference(near).area > DUST)


def tables(rows: Sequence[Row]) -> str:
    """Write one line a family, then one for all drawings and one for all plates."""
    lines = [
        "| family | drawings | necks | stops | thin | not told | unmended | filled | cut | far | again | / bound | worst | of | cost |",
        "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    names = dict.fromkeys(r.family for r in rows)
    groups = [(name, [r for r in rows if r.family == name]) for name in names]
    drawn = [r for r in rows if r.family not in PLATES]
    made = [r for r in rows if r.family in PLATES]
    lines += [_line(name, own) for name, own in groups if name not in PLATES]
    lines += [_line("**all drawings**", drawn)] if drawn else []
    lines += [_line(name, own) for name, own in groups if name in PLATES]
    lines += [_line("**all plates**", made)] if made else []
    return "\n".join(lines)


def _line(name: str, own: Sequence[Row]) -> str:
    ratios = [r.ratio for r in own if r.ratio is not None]
    middle = f"{statistics.median(ratios):.2f} | {max(ratios):.2f}" if ratios else "- | -"
    counts = (len(own), *(sum(getattr(r, f) for r in own) for f in COUNTS))
    costs = statistics.median(r.cost for r in own)
    return f"| {name} | {' | '.join(map(str, counts))} | {middle} | {len(ratios)} | {costs:.1f} |"


def worked(known: set[tuple[str, int, str]], seeds: int, families: Sequence[str]) -> Iterable[Row]:
    """Work out the rows that are not known yet, seed after seed, so that every family has its share."""
    for seed in range(seeds):
        for family in families:
            left = [t for t in THICKNESSES if (family, seed, t) not in known]
            if not left:
                continue
            if family in PLATES:
                for thickness in left:
                    pattern, free, bound = drilled(family, seed, thickness)
                    yield survey(family, seed, thickness, pattern, free, bound)
            else:
                pattern, free = drawn_pattern(family, seed)
                for thickness in left:
                    yield survey(family, seed, thickness, pattern, free, None)


def main() -> None:
    """Add rows to a file, or print the table of what it holds."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("rows", type=Path)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--families", nargs="*", default=[*FAMILIES, *PLATES])
    parser.add_argument("--table", action="store_true")
    asked = parser.parse_args()
    text = asked.rows.read_bytes().splitlines() if asked.rows.exists() else []
    rows = [msgspec.json.decode(line, type=Row) for line in text]
    if asked.table:
        print(tables(rows))
        return
    known = {(r.family, r.seed, r.thickness) for r in rows}
    with asked.rows.open("ab") as out:
        for row in worked(known, asked.seeds, asked.families):
            out.write(msgspec.json.encode(row) + b"\n")
            out.flush()
            print(row.family, row.seed, row.thickness, file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
