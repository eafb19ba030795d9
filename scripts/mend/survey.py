"""Survey of mending: generated drawings of every family at three thicknesses, and perforated plates.

    PYTHONPATH=. python scripts/mend/survey.py rows.jsonl --first 0 --seeds 10   # goes on where it was stopped
    PYTHONPATH=. python scripts/mend/survey.py rows.jsonl --table         # the tables of SURVEY.md

Each drawing has its true background cut. Counted: necks under the wanted width before; stops left, and bridges left
under the wanted width less 0.01 mm; how many of those stops and bridges no unmended place tells of; places left
unmended; openings filled; drawings in which mending took leather away or moved an edge farther than the wanted
width from a change; drawings that mending, mended afresh, changes again; drawings that, mended all over, are
mended again when the face as written is read as new art; area taken by widening over the bound of
`bound.py`, where nothing was left unmended; processor time of mending over that of one neck search. Every third seed
is cut by laser, the rest by knife; only a face that is cut by knife is read again. Of each drawing
that can be mended at two thicknesses: does the thicker lose less?
"""

import argparse
import dataclasses
import itertools
import math
import statistics
import sys
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import msgspec
import shapely
from shapely import MultiLineString

from filigree.checks import judge
from filigree.geometry.necks import find_necks
from filigree.geometry.types import XY
from filigree.job import CutLoss, Cutting, Face, Job, Limits, Way, limits_of, loss_of
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
from scripts.mend.reread import reread
from tests.make.families import FAMILIES, marked

THICKNESSES = ("2-3 oz", "4-5 oz", "7-8 oz")
SHORT = 0.01  # mm that a mended bridge may fall short
NEAR = 0.5  # mm: an unmended place tells of a stop or a bridge this near
DUST = 1e-3  # mm2
COUNTS = (
    "necks",
    "stops",
    "thin",
    "untold",
    "unmended",
    "filled",
    "cut",
    "far",
    "again",
    "reread",
    "vanished",
)
LESS = 0.01  # mm2: thicker leather that loses this much less loses less


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
    way: Way = "knife"
    area: float = 0.0  # leather added, mm2
    reread: int = 0  # 1 where all was mended and the face as written needs mending again
    short: float = 0.0  # mm that it then falls short
    strange: int = 0  # 1 where the guess opens other fields of the face as written
    vanished: int = 0  # openings that are gone and not told of
    places: tuple[tuple[str, float, float, float], ...] = ()  # what was not told: kind, x, y, width


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A pattern to be mended, the first free number, lines that end free, and the bound where it is known."""

    pattern: Pattern
    free: int
    veins: MultiLineString | None = None
    bound: float | None = None


def drawn_pattern(family: str, seed: int) -> Piece:
    """Give a generated drawing with its true background cut."""
    drawing = marked(FAMILIES[family](seed)).drawing
    regions = divide(drawing)
    choices = choose(regions, drawing)
    pattern = pattern_of(regions, choices, drawing=drawing, inlay="red")
    if pattern is None:
        raise ValueError(f"{family} {seed} has no outline")
    return Piece(pattern=pattern, free=len(regions.regions) + 1, veins=regions.loose)


def survey(family: str, seed: int, thickness: str, piece: Piece) -> Row:
    """Mend one piece at one thickness and count what is left; the bound is worked out when it is not known."""
    way: Way = "laser" if seed % 3 == 2 and family not in PLATES else "knife"
    job = Job(face=Face(thickness=thickness), cut=Cutting(way=way))
    pattern, bound = piece.pattern, piece.bound
    limits, loss = limits_of(job), loss_of(job)
    wanted = limits.bridge.good
    if family in PLATES:  # circles may lose what they must
        limits = dataclasses.replace(limits, change=1.0)
    start = time.process_time()
    find_necks(pattern.land, under=wanted)
    once = time.process_time() - start
    start = time.process_time()
    done = mend(pattern, limits, loss=loss, first_free=piece.free, veins=piece.veins)
    cost = (time.process_time() - start) / max(once, 1e-6)
    free = max([piece.free, *(o.id + 1 for o in done.pattern.openings)])
    again = mend(done.pattern, limits, loss=loss, first_free=free, veins=piece.veins)
    written = None if done.unmended or way != "knife" else reread(done.pattern, job, limits, loss)
    face = finished(done.pattern, loss)
    found = judge(measure(face, wanted=wanted, asked=asked_of(job, limits)), limits)
    stops = [
        (f.at, 0.0 if f.check == "island" else f.measured) for f in found if f.severity == "stop"
    ]
    necks = necks_of(face, under=2 * wanted)
    thin = [(n.middle, n.width) for n in necks if n.width < wanted - SHORT]
    if bound is None and not done.unmended:
        cut = _without(pattern, done.filled)
        bound = lower_bound(cut, wanted=wanted + 2 * loss.char - loss.bevel)
    untold = [
        (at, width) for at, width in [*stops, *thin] if not _told(at, width, done, wanted, loss)
    ]
    taken = sum(sum(a for _, a in c.lost) for c in done.changes if c.how == "widen")
    return Row(
        family=family,
        seed=seed,
        thickness=thickness,
        necks=len(necks_of(pattern, under=wanted)),
        stops=len(stops),
        thin=len(thin),
        untold=len(untold),
        unmended=len(done.unmended),
        filled=len(done.filled),
        cut=int(pattern.land.difference(done.pattern.land).area > DUST),
        far=int(_moved_far(pattern, done, limits)),
        again=int(again.pattern is not done.pattern),
        ratio=taken / bound if bound and bound > 0.01 and not done.unmended else None,
        cost=cost,
        way=way,
        area=float(done.pattern.land.area - pattern.land.area),
        reread=int(written is not None and written.necks > 0),
        short=written.short if written is not None else 0.0,
        strange=int(written is not None and not written.alike),
        vanished=len(_vanished(pattern, done)),
        places=tuple(("untold", at[0], at[1], width or 0.0) for at, width in untold),
    )


def _told(at: XY, width: float | None, done: Mended, wanted: float, loss: CutLoss) -> bool:
    """Say whether an unmended place tells of a stop or a bridge: there, or as narrow farther along its strand.

    An unmended place has its width as drawn, a bridge its width once it is cut.
    """
    least, most = 2 * loss.char - loss.bevel - SHORT, 2 * loss.char + SHORT
    return any(
        math.dist(at, u.at) <= NEAR
        or (
            width is not None
            and (least <= u.width - width <= most or u.width == width == 0)
            and math.dist(at, u.at) <= 2 * wanted
        )
        for u in done.unmended
    )


def _vanished(pattern: Pattern, done: Mended) -> set[int]:
    """Give the openings that nothing is left of and that are not told as filled."""
    left = {o.id if o.drawn is None else o.drawn.id for o in done.pattern.openings}
    return {o.id for o in pattern.openings} - left - set(done.filled)


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
        "| family | rows | necks | stops | thin | not told | unmended | filled | cut | far | again | read again | vanished | less | / bound | worst | of | cost |",
        "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|",
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
    counts = (len(own), *(sum(getattr(r, f) for r in own) for f in COUNTS), _less(own))
    costs = statistics.median(r.cost for r in own)
    return f"| {name} | {' | '.join(map(str, counts))} | {middle} | {len(ratios)} | {costs:.1f} |"


def _less(own: Sequence[Row]) -> int:
    """Count pairs of thicknesses at which a drawing is mended all over and the thicker loses less."""
    clean = sorted(
        (r for r in own if not r.unmended and r.family not in PLATES),
        key=lambda r: (r.family, r.seed, THICKNESSES.index(r.thickness)),
    )
    drawings = itertools.groupby(clean, key=lambda r: (r.family, r.seed))
    return sum(
        thin.area > thick.area + LESS
        for _, rows in drawings
        for thin, thick in itertools.pairwise(rows)
    )


def worked(
    known: set[tuple[str, int, str]], seeds: range, families: Sequence[str]
) -> Iterable[Row]:
    """Work out the rows that are not known yet, seed after seed, so that every family has its share."""
    for seed in seeds:
        for family in families:
            left = [t for t in THICKNESSES if (family, seed, t) not in known]
            if not left:
                continue
            if family in PLATES:
                for thickness in left:
                    pattern, free, bound = drilled(family, seed, thickness)
                    plate = Piece(pattern=pattern, free=free, bound=bound)
                    yield survey(family, seed, thickness, plate)
            else:
                piece = drawn_pattern(family, seed)
                for thickness in left:
                    yield survey(family, seed, thickness, piece)


def main() -> None:
    """Add rows to a file, or print the table of what it holds."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("rows", type=Path)
    parser.add_argument("--first", type=int, default=0)
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
        seeds = range(asked.first, asked.first + asked.seeds)
        for row in worked(known, seeds, asked.families):
            out.write(msgspec.json.encode(row) + b"\n")
            out.flush()
            print(row.family, row.seed, row.thickness, file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
