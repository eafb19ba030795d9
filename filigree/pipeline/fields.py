"""Fields: what becomes of them, from a drawing as read to the pattern as drawn."""

from dataclasses import replace

from filigree.colour.reading import propose
from filigree.colour.spreading import colours_by_marks, spread_colours
from filigree.drawing.closing import closed_by_hand
from filigree.drawing.model import Drawing
from filigree.errors import FiligreeError
from filigree.geometry.repeats import once_each
from filigree.job import Job, limits_of, loss_of
from filigree.mend.crossing import bridged
from filigree.pattern import Pattern, pattern_of
from filigree.regions.background.choose import choose
from filigree.regions.background.look import Look
from filigree.regions.divide import divide
from filigree.regions.model import Choice, RegionMap
from filigree.regions.openends import open_ends
from filigree.regions.rim import with_rim, with_true_outline

LARGEST_SIDE = 5000.0  # mm: of a sheet, as `[sheet]` takes it


def divided(drawing: Drawing, job: Job) -> tuple[Drawing, RegionMap]:
    """Draw the lines that close gaps by hand, and find the fields and the outline.

    Returns:
        The drawing with those lines, and its fields; none when nothing is enclosed.
    """
    drawing = closed_by_hand(drawing, [(line.start, line.end) for line in job.close])
    regions = divide(
        replace(drawing, lines=once_each(drawing.lines)),
        gap=job.limits.gap,
        most_segments=job.reading.segments,
        most_faces=job.reading.regions,
    )
    if job.sheet.rim is not None and regions.regions:
        rimmed = with_rim(regions, width=job.sheet.rim, shape=job.sheet.rim_shape)
        _check_size(rimmed, job.sheet.rim)
        return drawing, rimmed
    return drawing, with_true_outline(regions)


def _check_size(regions: RegionMap, rim: float) -> None:
    """Refuse a rim that makes the piece larger than a sheet may be."""
    if regions.outline is None:
        return
    left, top, right, bottom = regions.outline.bounds
    side = max(right - left, bottom - top)
    if side > LARGEST_SIDE:
        raise FiligreeError(
            f"a rim of {rim:g} mm makes the piece {side:.0f} mm long; {LARGEST_SIDE:g} mm is the most",
            remedy="give a narrower rim",
            where="--rim",
        )


def mends(job: Job, *, mending: bool) -> bool:
    """Say whether a face is mended: when asked, and when the job lists mending, if only places left as drawn.

    Those are what mending has left alone; whatever else falls short is mended.
    """
    return mending or bool(job.mend)


def refuse_open(drawing: Drawing, regions: RegionMap) -> None:
    """Refuse a drawing in which nothing is enclosed.

    Raises:
        FiligreeError: such a drawing.
    """
    if not regions.regions and not drawing.lines and drawing.solids.is_empty:
        raise FiligreeError(
            f"no line or fill to be read{_skipped(drawing)}",
            remedy="draw lines that close" if drawing.skipped else "name the drawing that is meant",
            where=drawing.name,
        )
    if not regions.regions:
        found = open_ends(regions)
        near = ""
        if found:
            (x, y), width = found[0]
            near = f"; two ends are {width:.1f} mm apart at ({x:.1f}, {y:.1f})"
        raise FiligreeError(
            f"nothing is enclosed: no line of the drawing closes round a field{near}{_skipped(drawing)}",
            remedy="close the lines, or give --gap 3 to have gaps of up to 3 mm closed; 5 is the most",
            where=drawing.name,
        )


def _skipped(drawing: Drawing) -> str:
    """Say what of a drawing was left out, which may be all that was meant; "" when nothing was."""
    if not drawing.skipped:
        return ""
    first, *rest = drawing.skipped
    more = f", and {len(rest)} more" if rest else ""
    return f"; left out: {first.what} ({first.why}){more}"


def chosen_fields(
    job: Job, drawing: Drawing, regions: RegionMap, *, seen: Look | None = None
) -> tuple[Choice, ...]:
    """Say what becomes of each field, by the picks of the job, the marks of the drawing and the guess."""
    return choose(
        regions,
        drawing,
        picks_open=job.choose.open,
        picks_keep=job.choose.keep,
        sure=job.limits.sure,
        seen=seen,
    )


def drawn_pattern(
    job: Job, drawing: Drawing, regions: RegionMap, choices: tuple[Choice, ...]
) -> Pattern | None:
    """Cut the chosen fields out and give each opening its colour; None without an outline."""
    pattern = pattern_of(
        regions,
        choices,
        drawing=drawing,
        inlay=job.inlay.colour,
        colours=[(wish.at, wish.inlay) for wish in job.choose.colours],
    )
    if pattern is not None and job.bridge:
        pattern = bridged(
            pattern, job.bridge, width=bridge_width(job), first_free=first_free(regions, pattern)
        )
    if pattern is not None and job.choose.colours_by:
        pattern = colours_by_marks(
            pattern, drawing.marks, by=job.choose.colours_by, colours=job.colours.inlays
        )
    if pattern is not None and job.choose.spread > 1:
        wanted = limits_of(job).bridge.good
        pattern = spread_colours(pattern, palette_of(job), wanted=wanted)
    return pattern


def bridge_width(job: Job) -> float:
    """Give the width of a bridge drawn by hand that names none, mm: what is wanted once it is cut."""
    loss = loss_of(job)
    return limits_of(job).bridge.good + 2 * loss.char - loss.bevel


def first_free(regions: RegionMap, pattern: Pattern) -> int:
    """Give the lowest number that neither a field nor an opening has."""
    return max([len(regions.regions), *(o.id for o in pattern.openings)]) + 1


def palette_of(job: Job) -> tuple[str, ...]:
    """Give the inlay colours that openings are spread over: those listed, else the job's own and proposals."""
    listed = job.colours.inlays or (
        job.inlay.colour,
        *propose(job.face.colour, job.choose.spread),
    )
    return tuple(dict.fromkeys(listed))[: job.choose.spread]
