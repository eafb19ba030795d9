"""Hatching read from a scan: even parallel strokes that fill one field, a second set across them too.

Everything drawn is taken apart into straight runs; runs with others of their kind beside them and a closed side on
either hand may be strokes. They cut their field into cells: cells that strokes fill are one field again, and the
strokes of each field are weighed together. Limits are common practice, no source.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from filigree.drawing.scan.beside import Lines, beside, lines_of
from filigree.drawing.scan.cells import Cells, cells_of, side_by_side
from filigree.drawing.scan.family import families, in_two_ways
from filigree.drawing.scan.flanks import flanks
from filigree.drawing.scan.floating import floating
from filigree.drawing.scan.grown import Found, grow
from filigree.drawing.scan.links import links_of
from filigree.drawing.scan.runs import Runs, runs_of
from filigree.geometry.types import BoolArray, FloatArray, IntArray

FEW = 3  # strokes of a hatched place, at least
SECOND = 2  # strokes that one of the second set crosses, and strokes of it, at least
CLOSED, CLOSED_FREE = (
    0.8,
    0.3,
)  # share of either side of a stroke that meets a line; with a free end
ALONE = 1.3  # distances of the strokes within which it does
LONGER = 1.7  # times its longest neighbour that a stroke with a free end is long
BOTH = 0.7  # share of either side of a line between two corners that sees the next stroke
CLOSE = (
    1.7,
    1.5,
)  # distances of the strokes, or mm more than one distance, that such a line is off
LIES_IN = 0.7  # share of a stroke that lies in its field
CRUMB = 0.9  # share of a remnant that lies among the strokes
ALIKE = np.radians(25)  # direction of a remnant against the strokes
PARALLEL = np.radians(10)  # the same of one that stands apart
PARALLEL_TO = np.radians(16)  # direction of what may be a stroke against those of its field
ON_RIM = 0.05  # mm from the outline of the field that a line on it is off
SHORT = 1.6  # distances of the strokes: shorter remnants may lie any way
BOW = (0.4, 0.05)  # mm, and share of its chord, that a stroke may bow
WAVE = (0.25, 0.015)  # the same of what lies on the chord's other side
FILLED = 0.65  # share of a field that its strokes cover when it is bounded rightly
MUCH = 4.0  # times the drawn length of a field beside it from which hatching is not parted from it
PASSES = 4  # times that strokes are told from their fields and fields from their strokes
HELD = 0.5  # share of strokes with both ends on lines from which a field is told by its cells alone

Closed = Callable[[Sequence[FloatArray], BoolArray], Sequence[FloatArray]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hatched:
    """One hatched field, mm: its outline, the area the strokes cover, the strokes, the other lines in it.

    Strokes that touch nothing else are `loose`; their own hull stands for the field. Two of them are an X.
    """

    field: shapely.Polygon
    area: shapely.Geometry
    strokes: list[FloatArray]
    others: list[FloatArray]
    loose: bool = False


def find_hatching(polylines: list[FloatArray], closed: Closed, gap: float) -> list[Hatched]:
    """Find hatched fields among polylines, mm.

    Args:
        polylines: all lines of the drawing.
        closed: closes the gaps of some lines, given whether their ends are free, `(n, 2)`.
        gap: widest gap, mm.
    """
    if len(polylines) < FEW:
        return []
    runs = runs_of(polylines)
    lines = lines_of(runs.lines)
    fit = lines.straight & _like_strokes(runs.lines) & ~runs.bent.all(1)
    step = _strokes(lines, runs, fit)
    maybe = np.isfinite(step)
    loose = floating(lines, lines.straight & _like_strokes(runs.lines))
    taken = [k for _, own in loose for k in own.tolist()]
    fit[taken] = maybe[taken] = False
    out = [_alone(lines, area, own) for area, own in loose]
    if maybe.sum() < FEW:
        return out
    found: list[Found] = []
    cells = Cells(fields=[])
    soft = maybe.copy()
    fit &= ~runs.corner.any(1)
    for _ in range(PASSES):
        walls = closed([runs.lines[k] for k in np.flatnonzero(~soft)], runs.free[~soft])
        cells = cells_of([*walls, *runs.rest, *links_of(runs, soft, gap)], lines, soft, step)
        seen = [_seen(lines, runs, field, cells, soft) for field in cells.fields]
        found = [s.found for s in seen if s is not None and s.found is not None]
        soft, step, same = _agreed(
            lines, maybe, fit, (soft, step), [s for s in seen if s is not None]
        )
        if same:
            break
    found = _apart(lines, grow(lines, found, cells.fields, np.flatnonzero(soft)))
    return [*out, *(_laid_out(lines, runs, h) for h in found)]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Field:
    """One field: its outline, what may be strokes in it, their one or two directions, what is found."""

    field: shapely.Polygon
    members: IntArray
    alike: IntArray
    found: Found | None


def _agreed(
    lines: Lines,
    maybe: BoolArray,
    fit: BoolArray,
    now: tuple[BoolArray, FloatArray],
    seen: list[_Field],
) -> tuple[BoolArray, FloatArray, bool]:
    """What may be strokes once fields are known, mm between them, and whether nothing has changed.

    What lies in a field agrees with its strokes' directions; so does what parts two hatched fields.
    """
    out, step = maybe.copy(), now[1].copy()
    for s in seen:
        out[np.setdiff1d(s.members, s.alike)] = False
    some = np.flatnonzero(fit | maybe)
    mid = shapely.line_interpolate_point(lines.shapes, 0.5, normalized=True)
    sides = np.zeros(len(maybe), np.int64)
    for s in seen:
        if s.found is None:
            continue
        near = some[shapely.STRtree(lines.shapes[some]).query(s.field, predicate="intersects")]
        near = near[shapely.distance(mid[near], s.field) < ON_RIM]
        ways = [lines.turn[s.found.main], lines.turn[np.setdiff1d(s.found.members, s.found.main)]]
        off = np.min([_off(lines.turn[near], w) for w in ways if len(w)], axis=0)
        out[near[(off > PARALLEL_TO)]] = False
        more = near[(off <= PARALLEL_TO) & fit[near]]
        sides[more] += 1 + (shapely.distance(mid[more], s.field.boundary) > ON_RIM)
        step[more] = np.where(np.isfinite(step[more]), step[more], s.found.step)
    out |= sides > 1
    return out, step, bool((out == now[0]).all())


def _off(turn: FloatArray, ways: FloatArray) -> FloatArray:
    """Angle of each direction to the usual one of some others, radians."""
    middle = np.arctan2(np.sin(2 * ways).sum(), np.cos(2 * ways).sum()) / 2
    return np.asarray(np.abs((turn - middle + np.pi / 2) % np.pi - np.pi / 2))


def _strokes(lines: Lines, runs: Runs, fit: BoolArray) -> FloatArray:
    """Distance to the next run beside each run that may be a stroke, mm; infinite for the others.

    Args:
        lines: all runs.
        runs: the same.
        fit: those that are straight.
    """
    side = runs.corner.all(1) & (runs.crossed == 0)
    step = np.full(len(lines.length), np.inf)
    of = np.flatnonzero(fit)
    if len(of) < FEW:
        return step
    seen = flanks(lines, of, fit & ~side)
    sides = seen.closed(np.maximum(CLOSE[0] * seen.step, seen.step + CLOSE[1]))
    longest = np.zeros(len(lines.length))
    np.maximum.at(longest, seen.first, lines.length[seen.second])
    hung = runs.free[of].any(1) & (lines.length[of] <= LONGER * longest[of])
    least = np.where(hung, CLOSED_FREE, CLOSED)
    good = np.isfinite(seen.step) & (sides.min(1) >= least)
    # a side between two corners is drawn, unless strokes run on either hand
    near = seen.across <= ALONE * np.minimum(seen.step, lines.length[of] / 2)[:, None, None]
    good &= ~side[of] | (near.mean(2).min(1) >= BOTH)
    step[of[good]] = seen.step[good]
    return step


def _like_strokes(polylines: list[FloatArray]) -> BoolArray:
    """Lines that bow one way and little, as a wrist turns; a wave does not."""
    out = np.ones(len(polylines), bool)
    for k, line in enumerate(polylines):
        chord = line[-1] - line[0]
        size = max(float(np.hypot(*chord)), 1e-9)
        off = (line - line[0]) @ np.array([-chord[1], chord[0]]) / size
        one, other = max(off.max(), 0.0), max(-off.min(), 0.0)
        out[k] = max(one, other) <= max(BOW[0], BOW[1] * size) and min(one, other) <= max(
            WAVE[0], WAVE[1] * size
        )
    return out


def _seen(
    lines: Lines, runs: Runs, field: shapely.Polygon, cells: Cells, maybe: BoolArray
) -> _Field | None:
    """What may be strokes in one field, and its hatching if they are; None when they are too few."""
    members = cells.inside(lines, field, np.flatnonzero(maybe), LIES_IN)
    if len(members) < FEW:
        return None
    good = families(lines, members, field, runs.onto[members])
    found = None
    if good:
        main = good[0].members
        found = Found(
            field=field,
            members=np.sort(np.concatenate([f.members for f in good])),
            main=main,
            area=shapely.intersection(shapely.union_all([f.area for f in good]), field),
            step=good[0].step,
            held=float(np.mean((runs.onto[main] >= 0).all(1))),
        )
    return _Field(field=field, members=members, alike=in_two_ways(lines, members), found=found)


def _apart(lines: Lines, found: list[Found]) -> list[Found]:
    """Hatched fields never share a line, as leather must lie between two openings.

    Where two do, they are drawing (barbs of a feather, basket work); one whose strokes hang free is hatching still.
    A field that its strokes do not fill was bounded wrongly, at a break, and so was one of few strokes beside one of
    many; the other stays.
    """
    pairs = side_by_side([h.field for h in found])
    drawn = [float(lines.length[h.members].sum()) for h in found]
    drop: set[int] = set()
    for i, j in pairs:
        one, other = (float(shapely.area(found[k].area)) / found[k].field.area for k in (i, j))
        if max(drawn[i], drawn[j]) > MUCH * min(drawn[i], drawn[j]):
            worse: tuple[int, ...] = (i,) if drawn[i] < drawn[j] else (j,)
        else:
            worse = (i, j) if min(one, other) >= FILLED else (i,) if one < other else (j,)
        drop |= {k for k in worse if found[k].held >= HELD}
    return [h for k, h in enumerate(found) if k not in drop]


def _alone(lines: Lines, area: shapely.Polygon, own: IntArray) -> Hatched:
    """Strokes that touch nothing else."""
    strokes = [shapely.get_coordinates(lines.shapes[k]) for k in own]
    return Hatched(field=area, area=area, strokes=strokes, others=[], loose=True)


def _laid_out(lines: Lines, runs: Runs, found: Found) -> Hatched:
    """Strokes, remnants and second sets of one field apart from what else lies in it."""
    near = shapely.STRtree(lines.shapes).query(found.field, predicate="intersects")
    inside = shapely.length(shapely.intersection(lines.shapes[near], found.field))
    near = np.setdiff1d(near[inside >= CRUMB * lines.length[near]], found.members)
    middle = shapely.line_interpolate_point(lines.shapes[near], 0.5, normalized=True)
    near = near[shapely.distance(middle, found.field.boundary) > ON_RIM]
    gone = np.union1d(found.members, _second(lines, found, near))
    gone = np.union1d(gone, _crumbs(lines, runs, found, np.setdiff1d(near, gone)))
    left = np.setdiff1d(near, gone)
    return Hatched(
        field=found.field,
        area=found.area,
        strokes=[shapely.get_coordinates(lines.shapes[k]) for k in gone],
        others=[shapely.get_coordinates(lines.shapes[k]) for k in left],
    )


def _second(lines: Lines, found: Found, near: IntArray) -> IntArray:
    """Straight lines in the field that run side by side across the strokes; a vein does so alone."""
    near = near[lines.straight[near]]
    if len(near) < SECOND:
        return near[:0]
    at, _ = shapely.STRtree(lines.shapes[found.members]).query(
        lines.shapes[near], predicate="intersects"
    )
    near = near[np.bincount(at, minlength=len(near)) >= SECOND]
    pairs = beside(lines, np.union1d(near, found.members))
    return near[np.isin(near, pairs.first)]


def _crumbs(lines: Lines, runs: Runs, found: Found, near: IntArray) -> IntArray:
    """Remnants among the strokes: they run the same way, or are very short; strokes that stand alone.

    Pieces that strokes cut a curve into are none.
    """
    if not len(near):
        return near
    inside = shapely.length(shapely.intersection(lines.shapes[near], found.area))
    covered = inside >= CRUMB * lines.length[near]
    ways = lines.turn[found.members]
    off = np.abs((lines.turn[near, None] - ways + np.pi / 2) % np.pi - np.pi / 2).min(1)
    longest = float(lines.length[found.members].max())
    alike = (off < ALIKE) & lines.straight[near] & (lines.length[near] <= 1.2 * longest)
    far = (off < PARALLEL) & lines.straight[near]
    whole = np.bincount(runs.walk, lines.length)[runs.walk[near]]
    curved = runs.bent[near].any(1) & (whole > SHORT * found.step)
    alike, far = alike & ~curved, far & ~curved
    short = whole <= SHORT * found.step
    return np.asarray(near[covered & (alike | short) | far])
