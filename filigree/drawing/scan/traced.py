"""Traced: what a picture shows, still in pixels: strokes, solids' edges, marks made by hand."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import shapely
from shapely import LineString, Point, Polygon

from filigree.drawing.fills import only_areas
from filigree.drawing.handmarks import find_hand_marks
from filigree.drawing.model import Mark
from filigree.drawing.scan.broad import LEAST_SOLID, bounded, find_broad, find_solids, solid_edges
from filigree.drawing.scan.dots import part_dots
from filigree.drawing.scan.doubled import part_doubled
from filigree.drawing.scan.erased import Hatching, erase
from filigree.drawing.scan.faint import part_faint
from filigree.drawing.scan.gaps import Closing, close_gaps, mend_breaks
from filigree.drawing.scan.hatching import Hatched, find_hatching
from filigree.drawing.scan.ink import HOLE, Ink, Mask, find_ink, without_holes
from filigree.drawing.scan.junctions import with_vertex
from filigree.drawing.scan.light import Grey32
from filigree.drawing.scan.settled import part_remnants, settle
from filigree.drawing.scan.skeleton import thin
from filigree.drawing.scan.strokes import Stroke, strokes
from filigree.errors import FiligreeError
from filigree.geometry.types import XY, BoolArray, FloatArray

REACH = 0.95  # mm, farthest that a line's edge is looked for from its middle
READ = 1.0  # mm of line that its way on is read from
FIRM, SOFT = 0.25, 0.6  # mm over which a middle is evened out: ink, pencil
FIRM_INK = 0.6  # darkness of the usual stroke from which it is ink
NOISE = 0.35  # share of a sheet that ink covers at most, solids apart
CRUMBS = 4.0  # mean length of strokes, in widths, under which there are only crumbs
ROUNDS = 3  # times the lines are traced anew without the hatching found
PAIR = 2  # strokes of an X
DOT = 0.3  # mm, length of the stand-in line of a dot


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Traced:
    """What a picture shows, pixels.

    Attributes:
        strokes: drawn lines and the edges of solids.
        solids: edges of wide black areas, closed.
        marks: wishes drawn into fields.
        mark_lines: the strokes that make them.
        closings: gaps closed.
        lone: number of dots that are part of no mark.
        faint: number of strokes left out as far lighter than the rest.
        doubled: middles of strokes left out as a line's second, slipped stroke.
        firm: True for ink, False for pencil.
    """

    strokes: tuple[Stroke, ...]
    solids: tuple[Stroke, ...]
    marks: tuple[Mark, ...]
    mark_lines: tuple[FloatArray, ...]
    closings: tuple[Closing, ...]
    lone: int
    faint: int
    doubled: tuple[XY, ...]
    firm: bool

    def moved(self, by: FloatArray) -> "Traced":
        """The same, in a larger picture."""
        x, y = (float(v) for v in by)
        return replace(
            self,
            strokes=tuple(_shifted(s, by) for s in self.strokes),
            solids=tuple(_shifted(s, by) for s in self.solids),
            marks=tuple(
                replace(m, shape=shapely.transform(m.shape, lambda p: p + by)) for m in self.marks
            ),
            mark_lines=tuple(line + by for line in self.mark_lines),
            closings=tuple(replace(c, at=(c.at[0] + x, c.at[1] + y)) for c in self.closings),
            doubled=tuple((u + x, v + y) for u, v in self.doubled),
        )


def _shifted(stroke: Stroke, by: FloatArray) -> Stroke:
    return replace(stroke, points=stroke.points + by, fixed=stroke.fixed + by)


def trace(dark: Grey32, per_mm: float, *, gap: float, line: float, name: str) -> Traced:
    """Trace what is drawn.

    Args:
        dark: darkness against the paper; it is used up.
        per_mm: pixels to a mm.
        gap: widest gap to close, mm.
        line: ink narrower than this is a line, mm.
        name: file name for messages.

    Raises:
        FiligreeError: no line is seen, or only noise.
    """
    broad = find_broad(dark, per_mm)
    if broad.under is not None:
        np.subtract(dark, broad.under, out=dark)
    ink = find_ink(dark, per_mm)
    if ink is None:
        raise nothing(name)
    mask = without_holes(ink.mask, HOLE * per_mm**2)
    solid = find_solids(mask, line * per_mm, LEAST_SOLID * per_mm**2) if broad.black else None
    rings: list[Stroke] = []
    if solid is not None:
        rings = [_ring(r) for r in solid_edges(solid, ink.calm, 0.5 * _full(ink, solid), per_mm)]
        mask &= ~solid
    dots = part_dots(mask, per_mm)
    firm = ink.usual >= FIRM_INK
    seen = partial(_seen, dots.mask, ink, rings, per_mm, gap=gap, firm=firm, name=name)
    now = seen()
    found: list[_Hatched] = []
    mark_lines: list[FloatArray] = []
    for _ in range(ROUNDS):
        if not now.hatched:
            break
        for h in now.hatched:
            erase(dots.mask, ink.calm, h.place, now.width)
            found.append(h)
            mark_lines += h.place.strokes
        now = seen()
    drawn, edges, breaks, faint = now.drawn, now.edges, now.breaks, now.faint
    drawn, marks, more, lone = _without_marks(drawn, dots.at, per_mm)
    mark_lines += more
    drawn, doubled = part_doubled(drawn, per_mm)
    shaded = bounded(broad.shaded, [s.points for s in (*drawn, *edges)], per_mm)
    marks += [Mark(shape=a, says="open", how="shaded") for a in shaded]
    joined, closings = close_gaps([*drawn, *edges], gap * per_mm, read=READ * per_mm)
    stippled = [m.shape for m in marks if m.how == "stippled"]
    joined, left = part_remnants(joined, [*(h.place.field for h in found), *stippled], per_mm)
    mark_lines += left
    whole = [s.points for s in joined]
    marks += settle([h.mark for h in found], [h.place.strokes for h in found], whole)
    return Traced(
        strokes=tuple(joined),
        solids=tuple(edges),
        marks=tuple(marks),
        mark_lines=tuple(mark_lines),
        closings=(*_on(breaks, drawn), *closings),
        lone=lone,
        faint=faint,
        doubled=doubled,
        firm=firm,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Hatched:
    """One hatched field: its mark, and where to erase it, pixels."""

    mark: Mark
    place: Hatching


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """Strokes of one look at the ink.

    Attributes:
        drawn: strokes.
        edges: edges of solids, with the ends of strokes on them.
        breaks: breaks mended in the strokes.
        faint: number of strokes left out as faint.
        width: usual width of the strokes.
        hatched: hatched fields.
    """

    drawn: list[Stroke]
    edges: list[Stroke]
    breaks: list[Closing]
    faint: int
    width: float
    hatched: list[_Hatched]


def nothing(name: str) -> FiligreeError:
    """What is said of an empty sheet."""
    return FiligreeError(
        "no drawn line is seen on it", remedy="scan darker, or trace the lines again", where=name
    )


def _full(ink: Ink, solid: Mask) -> float:
    """Darkness inside the solids."""
    return float(np.median(ink.calm[solid]))


def _ring(points: FloatArray) -> Stroke:
    return Stroke(points=points, width=0.0, free=(False, False), fixed=np.zeros((0, 2)))


def _strokes(mask: Mask, ink: Ink, per_mm: float, *, firm: bool, name: str) -> list[Stroke]:
    """Thin and follow the lines; refuse what is only noise."""
    share = float(mask.mean())
    chains = thin(mask)
    if not len(chains.points):
        return []
    usual = float(mask.sum()) / len(chains.points)
    drawn = strokes(
        chains,
        ink.calm,
        usual=usual,
        reach=min(REACH * per_mm, 1.5 * usual + 1),
        soft=(FIRM if firm else SOFT) * per_mm,
        read=READ * per_mm,
    )
    length = sum(float(np.hypot(*np.diff(s.points, axis=0).T).sum()) for s in drawn)
    if share > NOISE or (len(drawn) > 400 and length / len(drawn) < CRUMBS * usual):
        raise FiligreeError(
            "only speckles are seen, no drawing",
            remedy="scan it again with an even light",
            where=name,
        )
    return drawn


def _ended_at(drawn: list[Stroke], rings: list[Stroke]) -> tuple[list[Stroke], list[Stroke]]:
    """Free ends that run into a solid end on its edge."""
    if not rings or not drawn:
        return drawn, rings
    areas = [Polygon(r.points) for r in rings]
    tree = shapely.STRtree(areas)
    out, edges = list(drawn), list(rings)
    for k, stroke in enumerate(drawn):
        for side in (0, 1):
            if not stroke.free[side]:
                continue
            points = out[k].points if side else out[k].points[::-1]
            whole = LineString(points)
            for n in tree.query(whole, predicate="intersects").tolist():
                crossing = whole.intersection(areas[n].exterior)
                if crossing.is_empty:
                    continue
                cut = max(
                    (whole.project(shapely.Point(c)) for c in shapely.get_coordinates(crossing)),
                    default=0.0,
                )
                if whole.length - cut > 4 * stroke.width or cut < stroke.width:
                    continue
                goal = np.array(whole.interpolate(cut).coords[0])
                walked = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
                points = np.vstack([points[walked < cut - 1e-9], goal])
                edges[n] = replace(
                    edges[n],
                    points=with_vertex(edges[n].points, goal),
                    fixed=np.vstack([edges[n].fixed, goal]),
                )
                free = (out[k].free[0], False) if side else (False, out[k].free[1])
                out[k] = replace(
                    out[k],
                    points=points if side else points[::-1],
                    free=free,
                    fixed=np.vstack([out[k].fixed, goal]),
                )
                break
    return out, edges


def _on(closings: list[Closing], drawn: list[Stroke]) -> list[Closing]:
    """Closings on the lines that are left once marks are taken out."""
    if not closings or not drawn:
        return []
    tree = shapely.STRtree([LineString(s.points) for s in drawn])
    at, _ = tree.query([Point(c.at) for c in closings], predicate="dwithin", distance=2.0)
    return [closings[k] for k in np.unique(at)]


def _closed(
    lines: Sequence[FloatArray],
    free: BoolArray,
    *,
    rings: list[Stroke],
    per_mm: float,
    gap: float,
    width: float,
) -> list[FloatArray]:
    """Lines, mm, and the edges of solids with their gaps closed."""
    none = np.zeros((0, 2))
    strokes_ = [
        Stroke(
            points=line * per_mm,
            width=width,
            free=(bool(a), bool(b)),
            fixed=none,
            lead=(width / 2 * a, width / 2 * b),
        )
        for line, (a, b) in zip(lines, free.tolist(), strict=True)
    ]
    joined, _ = close_gaps([*strokes_, *rings], gap * per_mm, read=READ * per_mm)
    return [s.points / per_mm for s in joined]


def _seen(
    mask: Mask, ink: Ink, rings: list[Stroke], per_mm: float, *, gap: float, firm: bool, name: str
) -> _Seen:
    """Follow the lines and part them from hatching."""
    drawn = _strokes(mask, ink, per_mm, firm=firm, name=name)
    drawn, faint = part_faint(drawn, ink)
    drawn, edges = _ended_at(drawn, rings)
    drawn, breaks = mend_breaks(drawn, gap * per_mm, read=READ * per_mm)
    width = float(np.median([s.width for s in drawn])) if drawn else 1.0
    closed = partial(_closed, rings=edges, per_mm=per_mm, gap=gap, width=width)
    hatched = find_hatching([s.points / per_mm for s in drawn], closed, gap)
    return _Seen(
        drawn=drawn,
        edges=edges,
        breaks=breaks,
        faint=faint,
        width=width,
        hatched=[_in_pixels(h, per_mm) for h in hatched],
    )


def _in_pixels(hatched: Hatched, per_mm: float) -> _Hatched:
    both = np.array([only_areas(hatched.area), hatched.field], object)
    area, field = shapely.transform(both, lambda p: p * per_mm)
    place = Hatching(
        field=field,
        strokes=[line * per_mm for line in hatched.strokes],
        others=[line * per_mm for line in hatched.others],
        loose=hatched.loose,
    )
    how = "X" if hatched.loose and len(hatched.strokes) == PAIR else "hatched"
    return _Hatched(mark=Mark(shape=area, says="open", how=how), place=place)


def _without_marks(
    drawn: list[Stroke], dots: FloatArray, per_mm: float
) -> tuple[list[Stroke], list[Mark], list[FloatArray], int]:
    """Part the strokes from stipple and X; also how many dots belong to none."""
    lines = [s.points / per_mm for s in drawn]
    half = np.array([DOT / 2, 0])
    stand_ins = [np.array([at / per_mm - half, at / per_mm + half]) for at in dots]
    rest, by_hand = find_hand_marks((*lines, *stand_ins), ("X", "stippled", "loose"))
    left = {id(line) for line in rest}
    kept = [s for s, line in zip(drawn, lines, strict=True) if id(line) in left]
    gone = [line * per_mm for line in (*lines, *stand_ins) if id(line) not in left]
    lone = sum(id(line) in left for line in stand_ins)
    marks = [replace(m, shape=shapely.transform(m.shape, lambda p: p * per_mm)) for m in by_hand]
    return kept, marks, gone if marks else [], lone
