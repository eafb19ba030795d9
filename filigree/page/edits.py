"""Edits: what the maker does on the page, each a job in and a job out."""

from collections.abc import Mapping, Sequence
from typing import Any, Literal

import msgspec
from shapely import Point

from filigree.colour.palette import hex_of
from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import (
    Bridge,
    Choose,
    Close,
    InlayAt,
    Job,
    Mend,
    Scan,
    Sheet,
    Use,
    limits_of,
    with_overrides,
)
from filigree.mend.crossing import enters
from filigree.pattern import Pattern
from filigree.regions.model import Choice, Region, RegionMap
from filigree.regions.picks import with_numbers
from filigree.units import is_nothing, parse_length

SETTINGS = frozenset(
    {"face.thickness", "cut.way", "face.colour", "inlay.colour", "backing.colour", "use.kind"}
)
LENGTHS = {"sheet.rim": None, "limits.gap": Job().limits.gap}  # and what no figure stands for
PLACES = 4  # decimals of mm that a place keeps

Kind = Literal["open", "keep", "guess"]


def picked(job: Job, regions: RegionMap, fields: Sequence[int], kind: Kind) -> Job:
    """Open fields, keep them, or leave them to the drawing and the guess again.

    Raises:
        FiligreeError: a number that no field has.
    """
    if kind == "guess":
        shapes = [_field(regions, n).shape for n in fields]

        def others(points: Sequence[XY]) -> tuple[XY, ...]:
            return tuple(p for p in points if not any(s.intersects(Point(p)) for s in shapes))

        choose = msgspec.structs.replace(
            job.choose, open=others(job.choose.open), keep=others(job.choose.keep)
        )
        return msgspec.structs.replace(job, choose=choose)
    opened, kept = (tuple(fields), ()) if kind == "open" else ((), tuple(fields))
    choose = msgspec.structs.replace(job.choose, open_numbers=opened, keep_numbers=kept)
    return with_numbers(msgspec.structs.replace(job, choose=choose), regions)


def with_settings(job: Job, settings: Mapping[str, Any]) -> Job:
    """Change thickness, way of cutting and the like.

    Raises:
        FiligreeError: a value that `job.toml` would not take either, or a setting that is not for the page.
    """
    strange = sorted(set(settings) - SETTINGS - set(LENGTHS))
    if strange:
        raise FiligreeError(
            f"{strange[0][:40]!r} cannot be set here", remedy="set it in job.toml", where="page"
        )
    values = {
        key: _length(key, value) if key in LENGTHS else value for key, value in settings.items()
    }
    changed = with_overrides(job, values, where="page")
    limits_of(changed)
    plies = (("face", changed.face), ("inlay", changed.inlay), ("backing", changed.backing))
    for name, ply in plies:
        hex_of(ply.colour, where=f"[{name}] colour")
    return changed


def divides_anew(before: Job, job: Job) -> bool:
    """Say whether a change is one to the lines or the edge, so that the fields have to be found anew."""
    return (before.close, before.sheet.rim) != (job.close, job.sheet.rim)


def reads_anew(before: Job, job: Job) -> bool:
    """Say whether a change is one to how the art is read."""
    return before.limits.gap != job.limits.gap


def coloured(job: Job, fields: Sequence[Region], colour: str) -> Job:
    """Put one colour behind the openings that hold these fields.

    Raises:
        FiligreeError: no colour of the palette and no `#rrggbb`.
    """
    hex_of(colour)
    kept = [
        wish
        for wish in job.choose.colours
        if not any(field.shape.intersects(Point(wish.at)) for field in fields)
    ]
    new = [InlayAt(at=_rounded(field.at), inlay=colour) for field in fields]
    choose = msgspec.structs.replace(job.choose, colours=(*kept, *new))
    return msgspec.structs.replace(job, choose=choose)


def one_colour(job: Job, colour: str) -> Job:
    """Put one colour behind every opening that the drawing itself does not colour."""
    choose = msgspec.structs.replace(job.choose, colours=(), spread=0)
    return with_settings(msgspec.structs.replace(job, choose=choose), {"inlay.colour": colour})


def what_shows(job: Job, regions: RegionMap, choices: Sequence[Choice]) -> Job:
    """Leave out colours and bridges asked for where no opening is any more."""
    if not job.choose.colours and not job.bridge:
        return job
    cut = {c.region for c in choices if c.kind == "background"}
    shapes = [r.shape for r in regions.regions if r.id in cut]
    kept = tuple(w for w in job.choose.colours if any(s.intersects(Point(w.at)) for s in shapes))
    choose = msgspec.structs.replace(job.choose, colours=kept)
    bridges = tuple(b for b in job.bridge if any(enters(b, shape) for shape in shapes))
    return msgspec.structs.replace(job, choose=choose, bridge=bridges)


def left_as_drawn(job: Job, left: Sequence[tuple[str, XY]]) -> Job:
    """Name the places that mending leaves alone; what was mended before is dropped."""
    entries = tuple(Mend(how=how, at=_rounded(at), as_drawn=True) for how, at in left)
    return msgspec.structs.replace(job, mend=entries)


def scaled(job: Job, *, width: float, start: XY, end: XY, length: float) -> Job:
    """Give the drawing the size at which two of its points lie `length` mm apart.

    Args:
        job: the job; its picks, zones, holes and bends move along, its mending is dropped.
        width: width of the drawing's page as it is, mm.
        start: one point, mm.
        end: the other.
        length: their distance in truth, mm.

    Raises:
        FiligreeError: the points lie on each other, or the size is out of range.
    """
    apart = ((start[0] - end[0]) ** 2 + (start[1] - end[1]) ** 2) ** 0.5
    if apart < 1e-3 or not 0 < length < 1e5:
        raise FiligreeError(
            "two points on one spot give no scale",
            remedy="take points far apart, and their distance in mm",
            where="scale",
        )
    by = length / apart

    def moved(at: XY) -> XY:
        return _rounded((at[0] * by, at[1] * by))

    choose = msgspec.structs.replace(
        job.choose,
        open=tuple(moved(p) for p in job.choose.open),
        keep=tuple(moved(p) for p in job.choose.keep),
        colours=tuple(msgspec.structs.replace(w, at=moved(w.at)) for w in job.choose.colours),
    )
    sheet = msgspec.structs.replace(
        job.sheet, width=None, height=None, art_width=None, art_height=None
    )
    bare = msgspec.structs.replace(
        job,
        choose=choose,
        sheet=sheet,
        close=tuple(Close(start=moved(c.start), end=moved(c.end)) for c in job.close),
        bridge=tuple(
            msgspec.structs.replace(b, start=moved(b.start), end=moved(b.end)) for b in job.bridge
        ),
        use=_use_scaled(job.use, by),
        mend=(),
    )
    return with_overrides(bare, {"sheet.width": round(width * by, PLACES)}, where="scale")


def _use_scaled(use: Use, by: float) -> Use:
    """Move what stands at a place of the drawing along with it; hardware keeps its size."""

    def moved(at: XY) -> XY:
        return _rounded((at[0] * by, at[1] * by))

    zones = []
    for zone in use.zones:
        left, top, right, bottom = zone.box
        box = (*moved((left, top)), *moved((right, bottom)))
        zones.append(msgspec.structs.replace(zone, box=box))
    return msgspec.structs.replace(
        use,
        zones=tuple(zones),
        holes=tuple(msgspec.structs.replace(h, at=moved(h.at)) for h in use.holes),
        bends=tuple(
            msgspec.structs.replace(b, start=moved(b.start), end=moved(b.end)) for b in use.bends
        ),
    )


def for_new_drawing(job: Job) -> Job:
    """Keep leather, cut and limits; picks, size and what was drawn by hand belong to the drawing that goes."""
    return msgspec.structs.replace(as_drawn(job), sheet=Sheet(), scan=Scan())


def as_drawn(job: Job) -> Job:
    """Drop picks, colours, closed gaps, bridges and mending; leather, cut and size stay."""
    return msgspec.structs.replace(job, choose=Choose(), close=(), bridge=(), mend=())


def with_line(job: Job, start: XY, end: XY) -> Job:
    """Draw a line that closes a gap.

    Raises:
        FiligreeError: it has no length.
    """
    line = Close(start=_rounded(start), end=_rounded(end))
    _refuse_point(line.start, line.end)
    return msgspec.structs.replace(job, close=(*job.close, line))


def with_bridge(job: Job, pattern: Pattern | None, start: XY, end: XY, width: str) -> Job:
    """Draw a bridge across an opening; its width as written, "" for what is wanted.

    Raises:
        FiligreeError: it has no length, crosses no opening of the pattern, or the width is none.
    """
    wide = parse_length(width, where="width of the bridge") if width.strip() else None
    bridge = Bridge(start=_rounded(start), end=_rounded(end), width=wide)
    _refuse_point(bridge.start, bridge.end)
    if pattern is None or not any(enters(bridge, o.shape) for o in pattern.openings):
        raise FiligreeError(
            "the bridge crosses no opening", remedy="draw it across one", where="page"
        )
    return msgspec.structs.replace(job, bridge=(*job.bridge, bridge))


def without(job: Job, what: Literal["close", "bridge"], number: int) -> Job:
    """Take away a line or bridge drawn by hand, by its number from 0.

    Raises:
        FiligreeError: there is none of that number.
    """
    drawn = getattr(job, what)
    if not 0 <= number < len(drawn):
        raise FiligreeError("that one is gone already", remedy="look again", where="page")
    return msgspec.structs.replace(job, **{what: drawn[:number] + drawn[number + 1 :]})


def scan_size(width: str, marks: str) -> dict[str, Any]:
    """Read how large a scan is, as written on the page: its width, or what lies between its corner marks.

    Raises:
        FiligreeError: no length, or no two of them.

    >>> scan_size("210", ""), scan_size("", "180 x 250")
    ({'sheet.width': 210.0}, {'scan.marks': (180.0, 250.0)})
    """
    out: dict[str, Any] = {}
    if width.strip():
        out["sheet.width"] = parse_length(width, where="width of the scan")
    if marks.strip():
        sides = marks.lower().replace("\u00d7", "x").split("x")
        if len(sides) != 2:
            raise FiligreeError(
                f"'{marks[:40]}' is no size",
                remedy="write it like 180 x 250",
                where="corner marks",
            )
        out["scan.marks"] = tuple(parse_length(side, where="corner marks") for side in sides)
    return out


def _field(regions: RegionMap, number: int) -> Region:
    for region in regions.regions:
        if region.id == number:
            return region
    raise FiligreeError(
        f"there is no field {number}", remedy="take a number from the drawing", where="page"
    )


def _length(key: str, text: str) -> float | None:
    if key == "limits.gap" and is_nothing(text):
        return 0.0  # no gap is closed
    return parse_length(text, where=key) if text.strip() else LENGTHS[key]


def _refuse_point(start: XY, end: XY) -> None:
    if start == end:
        raise FiligreeError("both ends lie on one spot", remedy="give two places", where="page")


def _rounded(at: XY) -> XY:
    return round(float(at[0]), PLACES), round(float(at[1]), PLACES)
