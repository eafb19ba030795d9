"""Survey of mending: generated drawings of every family at three thicknesses, one row each.

    PYTHONPATH=. python scripts/mend/survey.py --seeds 2 > scripts/mend/SURVEY.md

Columns: drawings; necks under the wanted width before; stops left; bridges under the wanted width less 0.01 mm
left, and how many of those stops and bridges are reported as unmended; openings filled; area taken over the lower
bound (median, worst); seconds of mending over seconds of one neck search (median, CPU time). The bound: for each
neck the area of its openings within half of the missing width of the neck's middle line, each place counted once.
"""

import argparse
import math
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from filigree.checks import judge
from filigree.checks.finding import Finding
from filigree.job import Face, Job, Limits, limits_of, loss_of
from filigree.measure import measure
from filigree.measure.asked import asked_of
from filigree.measure.finished import finished
from filigree.measure.model import EDGE
from filigree.measure.necks import neck_lines, necks_of
from filigree.mend.mend import mend
from filigree.mend.model import Mended
from filigree.mend.patches import Wish, patches
from filigree.pattern import Pattern, pattern_of
from filigree.regions.background.choose import choose
from filigree.regions.divide import divide
from tests.make.families import FAMILIES, marked

THICKNESSES = ("2-3 oz", "4-5 oz", "7-8 oz")
SHORT = 0.01  # mm that a mended bridge may fall short
NEAR = 0.5  # mm: an unmended place tells of a stop or a bridge this near


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What mending came to on one drawing at one thickness."""

    necks: int
    stops: int
    thin: int
    untold: int
    unmended: int
    filled: int
    ratio: float | None  # area taken over the bound; None where nothing was to be taken
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


def survey(pattern: Pattern, first_free: int, thickness: str) -> Row:
    """Mend one pattern at one thickness and count what is left."""
    job = Job(face=Face(thickness=thickness))
    limits, loss = limits_of(job), loss_of(job)
    wanted = limits.bridge.good
    start = time.process_time()
    necks = necks_of(pattern, under=wanted)
    once = time.process_time() - start
    start = time.process_time()
    done = mend(pattern, limits, loss=loss, first_free=first_free)
    cost = (time.process_time() - start) / max(once, 1e-6)
    face = finished(done.pattern, loss)
    found = judge(measure(face, wanted=wanted, asked=asked_of(job, limits)), limits)
    stops = [f for f in found if f.severity == "stop"]
    thin = [n for n in necks_of(face, under=2 * wanted) if n.width < wanted - SHORT]
    untold = [f for f in stops if not _told(f, done)]
    untold_thin = [n for n in thin if all(math.dist(n.middle, u.at) > NEAR for u in done.unmended)]
    bound = lower_bound(pattern, limits)
    taken = sum(sum(a for _, a in c.lost) for c in done.changes if c.how == "widen")
    return Row(
        necks=len(necks),
        stops=len(stops),
        thin=len(thin),
        untold=len(untold) + len(untold_thin),
        unmended=len(done.unmended),
        filled=len(done.filled),
        ratio=taken / bound if bound > 0.01 and not done.unmended else None,
        cost=cost,
    )


def lower_bound(pattern: Pattern, limits: Limits) -> float:
    """Area that any mending must take, mm2, as the docstring of this script says."""
    wanted = limits.bridge.good
    found, rows, necks = neck_lines(pattern, under=wanted)
    wishes = [
        Wish(row=row, neck=neck, width=wanted, spared=EDGE if EDGE in neck.between else None)
        for row, neck in zip(rows, necks, strict=True)
        if neck.between != (EDGE, EDGE)
    ]
    # The strip of the missing width lies within half of the wanted width of the strand's middle line.
    shapes = [p.leather.shape for p in patches(found, wishes, about=wanted)]
    holes = shapely.union_all([o.shape for o in pattern.openings])
    return float(shapely.union_all(shapes).intersection(holes).area) if shapes else 0.0


def _told(finding: Finding, done: Mended) -> bool:
    """Say whether an unmended place tells of a stop."""
    return any(math.dist(finding.at, u.at) <= NEAR for u in done.unmended)


def table(rows: dict[str, Sequence[Row]]) -> str:
    """Write one line a family."""
    lines = [
        "| family | drawings | necks | stops | thin | not told | unmended | filled | / bound | worst | cost |",
        "|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    every = [row for own in rows.values() for row in own]
    for name, own in [*rows.items(), ("all", every)]:
        ratios = [r.ratio for r in own if r.ratio is not None]
        middle = f"{statistics.median(ratios):.2f} | {max(ratios):.2f}" if ratios else "- | -"
        costs = statistics.median(r.cost for r in own)
        counts = (
            len(own),
            *(
                sum(getattr(r, f) for r in own)
                for f in ("necks", "stops", "thin", "untold", "unmended", "filled")
            ),
        )
        lines.append(f"| {name} | {' | '.join(map(str, counts))} | {middle} | {costs:.1f} |")
    return "\n".join(lines)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--families", nargs="*", default=list(FAMILIES))
    asked = parser.parse_args()
    rows: dict[str, list[Row]] = {}
    for family in asked.families:
        for seed in range(asked.seeds):
            pattern, free = drawn_pattern(family, seed)
            rows.setdefault(family, []).extend(survey(pattern, free, t) for t in THICKNESSES)
        print(family, file=sys.stderr, flush=True)
    print(table(rows))


if __name__ == "__main__":
    main()
