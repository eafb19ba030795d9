"""Family: parallel strokes of one field weighed together: is this how a hand hatches?

Veins stand with one end on a line; rungs reach from line to line, wide apart for their length. Hatching is even and
covers its field. Limits are common practice, no source.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.drawing.scan.beside import Lines, beside
from filigree.geometry.types import BoolArray, FloatArray, IntArray

SPREAD = np.radians(16)  # about the usual direction of one set of strokes
FEW, SECOND = 3, 2  # strokes of the first set and of one across it
EVEN = 0.6  # share of the steps between strokes that are about the usual one
STEP = (0.4, 2.2)  # times the usual step
COVERED = 0.4  # share of its field that a set covers
COVERED_BY_FEW = 0.5
ENOUGH = 5  # strokes: fewer must cover more
VEINS = 0.5  # share of strokes with one end on a line from which they are veins
ONE_RIB = 0.75  # share of them that stand on one line
NEARLY, SHORT = 0.6, 0.2  # mm, and share of a stroke, short of a line that still reach it
CROSSING = 0.5  # share of the second set that crosses strokes of the first
RUNGS = 0.5  # share with both ends on a line from which they could be rungs
FORM, FEW_FORM = 1.3, 2.5  # length over step, at least, of strokes from line to line; of three
WIDE, WIDE_FORM = 3.2, 2.0  # mm between strokes from which they must be longer for it
LADDER = 1.3  # mm between the rungs of a ladder or braid border; closer strokes are hatching
LADDER_ROW = 2.5  # times that a row of rungs is longer than a rung
LADDER_SPREAD = 0.15  # deviation of the rungs' lengths over their mean
SLANT = 0.3  # of the row against the rungs
REACH = 0.62  # steps to each side that a stroke covers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Family:
    """One set of parallel strokes: indices, the area it covers, mm between strokes."""

    members: IntArray
    area: shapely.Geometry
    step: float


def families(
    lines: Lines, members: IntArray, field: shapely.Polygon, onto: IntArray
) -> list[Family]:
    """The sets of hatching strokes in one field, the main one first; empty when it is not hatched.

    Args:
        lines: all lines.
        members: those that lie in the field.
        field: the field.
        onto: for each member the drawn line its start and its end lie on, -1 for none, `(n, 2)`.
    """
    main = _main_way(lines, members, np.ones(len(members), bool))
    other = ~main
    if other.any():
        other &= _main_way(lines, members, other)
    crossing = _across(lines, members[main], members[other])
    own = _family(lines, members[main], field, onto[main], crossed=crossing)
    if own is None:
        return []
    if not crossing:
        return [own]
    return [
        own,
        Family(
            members=members[other], area=covered(lines, members[other], own.step), step=own.step
        ),
    ]


def in_two_ways(lines: Lines, members: IntArray) -> IntArray:
    """Members about the direction that most length runs in, and about the second one."""
    main = _main_way(lines, members, np.ones(len(members), bool))
    other = ~main
    if other.any():
        other &= _main_way(lines, members, other)
    return members[main | other]


def _across(lines: Lines, main: IntArray, other: IntArray) -> bool:
    """True when the second set crosses the first, as a hand hatches over its own hatching."""
    if len(other) < SECOND or len(main) < SECOND:
        return False
    at, _ = shapely.STRtree(lines.shapes[main]).query(lines.shapes[other], predicate="intersects")
    return float(np.mean(np.bincount(at, minlength=len(other)) >= SECOND)) >= CROSSING


def _main_way(lines: Lines, members: IntArray, left: BoolArray) -> BoolArray:
    """Members about the direction that most length runs in."""
    turn, weight = lines.turn[members], np.where(left, lines.length[members], 0)
    off = np.abs((turn[:, None] - turn + np.pi / 2) % np.pi - np.pi / 2)
    near = off < SPREAD
    best = int(np.argmax(near @ weight * left))
    doubled = 2 * turn[near[best]]
    own = weight[near[best]]
    middle = np.arctan2((own * np.sin(doubled)).sum(), (own * np.cos(doubled)).sum()) / 2
    return np.asarray(left & (np.abs((turn - middle + np.pi / 2) % np.pi - np.pi / 2) < SPREAD))


def _family(
    lines: Lines, members: IntArray, field: shapely.Polygon, onto: IntArray, *, crossed: bool
) -> Family | None:
    """The main set, when it is hatching."""
    if len(members) < (SECOND if crossed else FEW):
        return None
    pairs = beside(lines, members)
    if not len(pairs.first):
        return None
    nearest = np.full(len(lines.length), np.inf)
    np.minimum.at(nearest, pairs.first, pairs.across)
    known = nearest[members][np.isfinite(nearest[members])]
    step = float(np.median(known))
    even = float(np.mean((known > STEP[0] * step) & (known < STEP[1] * step)))
    if even < EVEN or len(known) < 0.6 * len(members):
        return None
    if not crossed and (
        _are_veins(lines, members, field, onto) or _are_rungs(lines, members, onto, step)
    ):
        return None
    area = covered(lines, members, step)
    share = float(shapely.area(shapely.intersection(area, field))) / max(field.area, 1e-9)
    few = len(members) < ENOUGH and not crossed
    return (
        None
        if share < (COVERED_BY_FEW if few else COVERED)
        else Family(members=members, area=area, step=step)
    )


def _are_veins(lines: Lines, members: IntArray, field: shapely.Polygon, onto: IntArray) -> bool:
    """True when most stand with one end on one and the same line and stop well short of any other."""
    one = (onto >= 0).sum(1) == 1
    if one.mean() < VEINS:
        return False
    hosts = onto[one].max(1)
    if np.unique(hosts, return_counts=True)[1].max() < ONE_RIB * len(hosts):
        return False
    tips = np.where((onto[one, :1] >= 0), lines.ends[members[one]], lines.starts[members[one]])
    short = shapely.distance(shapely.points(tips), field.exterior)
    return float(np.median(short)) > max(NEARLY, SHORT * float(np.median(lines.length[members])))


def _are_rungs(lines: Lines, members: IntArray, onto: IntArray, step: float) -> bool:
    """True when most reach from line to line and are short or few, or make a long row of equal ones."""
    if float(np.mean((onto >= 0).all(1))) < RUNGS:
        return False
    length = lines.length[members]
    form = float(np.median(length)) / step
    least = FEW_FORM if len(members) <= FEW else WIDE_FORM if step > WIDE else FORM
    if form < least:
        return True
    middle = (lines.starts + lines.ends)[members] / 2
    way = _mean_way(lines, members)
    across = np.array([-way[1], way[0]])
    row = float(np.ptp(middle @ across)) + step
    slant = float(np.ptp(middle @ way)) / max(row, 1e-9)
    alike = float(length.std()) < LADDER_SPREAD * float(length.mean())
    return step >= LADDER and alike and row >= LADDER_ROW * float(length.mean()) and slant < SLANT


def _mean_way(lines: Lines, members: IntArray) -> FloatArray:
    """Unit direction that the strokes share."""
    turn, weight = 2 * lines.turn[members], lines.length[members]
    middle = np.arctan2((weight * np.sin(turn)).sum(), (weight * np.cos(turn)).sum()) / 2
    return np.array([np.cos(middle), np.sin(middle)])


def covered(lines: Lines, members: IntArray, step: float) -> shapely.Geometry:
    """Area that strokes `step` mm apart cover."""
    return shapely.union_all(
        shapely.buffer(lines.shapes[members], REACH * step, cap_style="square")
    )
