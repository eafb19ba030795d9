"""Telling: a state of the work as plain values for the page. Geometry comes finished; this only writes it out."""

import math
from functools import lru_cache
from typing import Any

import shapely
from shapely import Polygon

from filigree.checks.finding import Finding
from filigree.checks.headings import heading
from filigree.checks.words import mm_up
from filigree.colour.palette import PALETTE, hex_of
from filigree.drawing.model import Drawing
from filigree.geometry.poles import poles
from filigree.geometry.types import Area
from filigree.job import limits_of
from filigree.output.markup import number, polyline_data
from filigree.output.summary import verdict
from filigree.output.terms import meanings_in
from filigree.page.looking import Look
from filigree.page.words import KEPT, on_page
from filigree.pattern import as_area
from filigree.pipeline import bridge_width
from filigree.regions.model import RegionMap
from filigree.regions.openends import facing_ends
from filigree.units import mm_down

STUB = 1.0  # mm: loose lines no longer than this are not offered as ends of a gap
FIXED = "face rim field gap"  # words of the trade that stand on the page whatever the state
FINE = 0.03  # mm: lines on the page may be simplified by this much

LISTED = "Mended where the job lists it, and nowhere else. Another leather, cut or limit mends everything anew."


def geometry(drawing: Drawing, regions: RegionMap) -> dict[str, Any]:
    """Give what stays the same while the maker picks: fields, lines, size."""
    shapes = [r.shape for r in regions.regions]
    at, room = poles(shapes)
    every = [*shapes, *([regions.outline] if regions.outline is not None else [])]
    left, top, right, bottom = (
        shapely.total_bounds(every).tolist() if every else (0, 0, drawing.width, drawing.height)
    )
    return {
        "name": drawing.name,
        "box": [left, top, right, bottom],
        "size": f"{number(drawing.width, 1)} x {number(drawing.height, 1)} mm, {on_page(drawing.scale_from)}",
        "outline": area_data(regions.outline) if regions.outline is not None else "",
        "lines": "".join(
            polyline_data(shapely.get_coordinates(shapely.LineString(line).simplify(FINE)))
            for line in drawing.lines
            if len(line) > 1
        ),
        "fields": [
            {
                "id": r.id,
                "d": area_data(r.shape),
                "at": at[k].tolist(),
                "room": float(room[k]),
                "area": number(r.area_mm2, 0 if r.area_mm2 >= 10 else 1),
            }
            for k, r in enumerate(regions.regions)
        ],
        "gaps": [
            {"start": start, "end": end, "width": number(math.dist(start, end), 1)}
            for start, end in facing_ends(regions, longer=STUB)
        ],
        "ends": [
            list(line.coords[k]) for line in regions.loose.geoms for k in (0, -1) if line.length > 0
        ],
        "palette": PALETTE,
    }


def state(look: Look, regions: RegionMap) -> dict[str, Any]:
    """Give what changes: what becomes of each field, the findings, the settings."""
    job = look.job
    limits = limits_of(job)
    colour = {
        region: hex_of(o.inlay)
        for o in (look.drawn.openings if look.drawn is not None else ())
        for region in o.regions
    }
    said = on_page(verdict(look.findings))
    wanted = f"Bridges of {mm_up(limits.bridge.good)} mm are wanted; under {mm_up(limits.bridge.stop)} mm is a stop."
    findings = [_finding(f) for f in look.findings]
    first = {(f["severity"], f["group"]): f["say"] for f in reversed(findings)}
    return {
        "verdict": said,
        "holds": look.holds,
        "fields": [
            {
                "id": c.region,
                "open": c.kind == "background",
                "rim": c.kind == "rim",
                "how": c.how,
                "sure": round(100 * c.sure),
                "doubtful": c.how == "guessed" and c.kind != "rim" and c.sure < job.limits.sure,
                "colour": colour.get(c.region, ""),
            }
            for c in look.choices
        ],
        "findings": findings,
        "settings": {
            "face.thickness": job.face.thickness,
            "cut.way": job.cut.way,
            "face.colour": job.face.colour,
            "inlay.colour": job.inlay.colour,
            "sheet.rim": number(job.sheet.rim, 2) if job.sheet.rim is not None else "",
            "limits.gap": number(job.limits.gap, 2),
        },
        "face": hex_of(job.face.colour),
        "assumed": job.face.assumed,
        "wanted": wanted,
        "terms": meanings_in(
            said,
            wanted,
            *(f"{severity} {group}" for severity, group in first),
            *first.values(),
            FIXED,
        ),
        "mended": mending(look),
        "byhand": by_hand(look, regions),
    }


@lru_cache(maxsize=KEPT)
def _finding(found: Finding) -> dict[str, Any]:
    """One finding; the same one gives the same object, so that what has changed is found at once."""
    return {
        "severity": found.severity,
        "group": heading(found.check),
        "say": on_page(found.say),
        "why": found.why,
        "at": list(found.at),
        "ends": [list(end) for end in found.ends] if found.ends else None,
    }


def by_hand(look: Look, regions: RegionMap) -> dict[str, Any]:
    """Give the lines and bridges that were drawn on the page, and the leather that the bridges leave."""
    job = look.job
    left = ""
    if job.bridge and look.drawn is not None:
        cut = {c.region for c in look.choices if c.kind == "background"}
        fields = shapely.union_all([r.shape for r in regions.regions if r.id in cut])
        holes = shapely.union_all([o.shape for o in look.drawn.openings])
        left = area_data(as_area(fields.intersection(look.drawn.outline).difference(holes)))
    return {
        "close": [{"start": c.start, "end": c.end} for c in job.close],
        "bridge": [
            {
                "start": b.start,
                "end": b.end,
                "width": number(b.width, 1) if b.width is not None else "",
            }
            for b in job.bridge
        ],
        "leather": left,
        "wide": number(bridge_width(job), 1),
    }


def mending(look: Look) -> dict[str, Any] | None:
    """Give what mending changes, place by place; None when nothing is mended."""
    if look.mended is None:
        return None
    return {
        "verdict": on_page(verdict(look.findings)),
        "changes": [
            {
                "how": c.how,
                "at": list(c.at),
                "why": c.why,
                "d": area_data(c.added),
                "widths": f"From {mm_down(c.before)} to {mm_down(c.after)} mm."
                if c.how == "widen"
                else "",
            }
            for c in look.mended.changes
        ],
        "left": [{"how": m.how, "at": list(m.at)} for m in look.job.mend if m.as_drawn],
        "unmended": [u.why for u in look.mended.unmended],
        "listed": LISTED if look.listed else "",
    }


def area_data(area: Area) -> str:
    """Write an area as SVG path data, holes included."""
    parts = shapely.get_parts(area.simplify(FINE)).tolist()
    return "".join(
        polyline_data(shapely.get_coordinates(ring)) + "Z"
        for part in parts
        if isinstance(part, Polygon) and not part.is_empty
        for ring in (part.exterior, *part.interiors)
    )
