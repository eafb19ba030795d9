"""The drawing itself: is there an outline, is more than one piece on the sheet, which fields are guesses?"""

import math
from collections.abc import Sequence

from filigree.checks.finding import Finding
from filigree.drawing.model import Drawing
from filigree.geometry.types import XY
from filigree.job import Limits
from filigree.regions.astray import outside_lines, short_ends
from filigree.regions.lost import LostLine, lost_lines
from filigree.regions.model import Choice, RegionMap

WIDEST_GAP = 5  # mm, as `[limits] gap` takes it
MOST_ENDS = 6  # places of free ends that are told; more say nothing new


def judge_drawing(
    drawing: Drawing,
    regions: RegionMap,
    choices: Sequence[Choice],
    limits: Limits,
    *,
    on_edge: Sequence[int] = (),
    gaps: Sequence[tuple[XY, float]] = (),
) -> tuple[Finding, ...]:
    """Find what stands in the way before any leather is measured, stops first.

    Args:
        drawing: gives the page for a finding that has no place of its own.
        regions: fields and outlines.
        choices: one a region.
        limits: `sure`, under which a guess is put to the maker.
        on_edge: openings that reach along the outline.
        gaps: places where two free ends of lines face each other, with their distance, mm; told only where
            the outline is in doubt or nothing comes out, since a break in a line is the usual reason.
    """
    nothing = not any(c.kind == "background" for c in choices)
    broken = bool(on_edge) or regions.outline is None or nothing
    return (
        *_outline(drawing, regions, choices),
        *_edge(regions, on_edge),
        *(_gaps(gaps) if broken else ()),
        *(_short(regions, gaps) if nothing else ()),
        *_lost(regions, choices, gaps if broken else ()),
        *_outside(regions),
        *_others(regions),
        *_unsure(regions, choices, limits),
    )


def _outline(
    drawing: Drawing, regions: RegionMap, choices: Sequence[Choice]
) -> tuple[Finding, ...]:
    middle = (drawing.width / 2, drawing.height / 2)
    if regions.outline is None:
        say = "No outline encloses the fields: draw the edge of the piece, or give --rim 8 for an even rim."
        return (
            Finding(
                check="outline", severity="stop", at=middle, measured=0, wanted=1, say=say, unit=""
            ),
        )
    if any(c.kind == "background" for c in choices):
        return ()
    say = "Nothing comes out: mark a field with grey, or name it with --open and its number on the proof."
    return (
        Finding(
            check="openings", severity="caution", at=middle, measured=0, wanted=1, say=say, unit=""
        ),
    )


def _edge(regions: RegionMap, on_edge: Sequence[int]) -> tuple[Finding, ...]:
    if not on_edge:
        return ()
    at = {r.id: r.at for r in regions.regions}
    many = (
        f"Openings {', '.join(map(str, on_edge))} reach"
        if len(on_edge) > 1
        else f"Opening {on_edge[0]} reaches"
    )
    keep = ",".join(map(str, on_edge))
    say = (
        f"{many} the outermost line, which leaves no rim: draw the edge of the piece outside it, give --rim 8, "
        f"or say that it stays with --keep {keep}."
    )
    return (
        Finding(
            check="outline",
            severity="stop",
            at=at.get(on_edge[0], (0.0, 0.0)),
            measured=len(on_edge),
            wanted=0,
            say=say,
            unit="",
        ),
    )


def _gaps(gaps: Sequence[tuple[XY, float]]) -> tuple[Finding, ...]:
    return tuple(
        _gap(at, width, f"Two lines end free here, {width:.1f} mm apart: join them if they are")
        for at, width in gaps
    )


def _gap(at: XY, width: float, told: str) -> Finding:
    say = f"{told} meant to close a field{_or_closed(width)}."
    return Finding(check="gap", severity="caution", at=at, measured=width, wanted=0, say=say)


def _short(regions: RegionMap, gaps: Sequence[tuple[XY, float]]) -> tuple[Finding, ...]:
    told = {(round(x, 4), round(y, 4)) for (x, y), _ in gaps}
    return tuple(
        _gap(at, width, f"This line stops {width:.1f} mm short of another: draw it on if it is")
        for at, width in short_ends(regions)[:MOST_ENDS]
        if (round(at[0], 4), round(at[1], 4)) not in told
    )


def _lost(
    regions: RegionMap, choices: Sequence[Choice], gaps: Sequence[tuple[XY, float]]
) -> tuple[Finding, ...]:
    """Lines in openings that bound nothing; a gap that is told already is not told again."""
    told = {(round(x, 4), round(y, 4)) for (x, y), _ in gaps}
    openings = [c.region for c in choices if c.kind == "background"]
    return tuple(
        _gap(line.at, line.gap or 0.0, _goes_with(line))
        for line in lost_lines(regions, openings)
        if (round(line.at[0], 4), round(line.at[1], 4)) not in told
    )


def _goes_with(line: LostLine) -> str:
    where = f" {line.gap:.1f} mm short of the next" if line.gap is not None else ""
    return (
        f"A line of {line.length:.0f} mm in opening {line.opening} ends free{where}, so it is cut away with the "
        "opening: draw it on if it is"
    )


def _outside(regions: RegionMap) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            check="outline",
            severity="caution",
            at=at,
            measured=length,
            wanted=0,
            say=(
                f"A line of {length:.0f} mm outside the outline does not close, so it is left out: "
                "close it if it is the edge of the piece."
            ),
        )
        for at, length in outside_lines(regions)[:MOST_ENDS]
    )


def _or_closed(width: float) -> str:
    """The option that closes a gap, where there is one and it may be closed unasked."""
    return f", or give --gap {math.ceil(width)}" if 0 < width <= WIDEST_GAP else ""


def _others(regions: RegionMap) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            check="outline",
            severity="caution",
            at=(float(point.x), float(point.y)),
            measured=len(regions.outlines) + 1,
            wanted=1,
            say="This part lies outside the outline and is not cut: join it to the piece, or give --rim 8 round all parts.",
            unit="",
        )
        for point in (shape.representative_point() for shape in regions.outlines)
    )


def _unsure(regions: RegionMap, choices: Sequence[Choice], limits: Limits) -> tuple[Finding, ...]:
    at = {r.id: r.at for r in regions.regions}
    return tuple(
        Finding(
            check="guess",
            severity="caution",
            at=at[c.region],
            measured=c.sure,
            wanted=limits.sure,
            say=(
                f"Field {c.region} is guessed to {'come out' if c.kind == 'background' else 'stay'}: "
                f"settle it with --open {c.region} or --keep {c.region}."
            ),
            unit="",
        )
        for c in choices
        if c.how == "guessed" and c.kind != "rim" and c.sure < limits.sure
    )
