"""Layers: the piece as groups of SVG for pages, one group a ply, so that each can be shown or hidden.

Colours are custom properties (`--face`, `--backing`, `--inlay-0` ...), so that a page can change them live.
Coordinates are the drawing's own, mm.
"""

from collections.abc import Sequence

import shapely

from filigree.colour.palette import hex_of
from filigree.output.leather import grain
from filigree.output.markup import escaped, number, path_data, polyline_data
from filigree.output.report import BridgeRow, FindingRow, Report
from filigree.output.tagged import Ends, leader, rising, tags_of
from filigree.plies.drawn import Drawn, DrawnOpening, Label
from filigree.plies.model import Plies, Ply
from filigree.plies.tags import Tag, number_size
from filigree.units import mm_down

NEIGHBOURS = 3  # narrowest bridges told of one opening
LARGE = 3.0  # mm: letter height of field numbers, at most


def inlay_colours(drawn: Drawn) -> tuple[str, ...]:
    """Give the colours behind the openings, in order of first use."""
    return tuple(dict.fromkeys(o.inlay for o in drawn.openings))


def colour_style(drawn: Drawn, *, face: str, backing: str) -> str:
    """Write the colours of the piece as custom properties."""
    rows = [f"--face:{hex_of(face)}", f"--backing:{hex_of(backing)}"]
    rows += [f"--inlay-{k}:{hex_of(c)}" for k, c in enumerate(inlay_colours(drawn))]
    return ";".join(rows)


def layers(drawn: Drawn, plies: Plies, report: Report, ends: Ends) -> list[str]:
    """Draw every layer of a piece, the lowest first.

    Args:
        drawn: the finished geometry.
        plies: the cut files, for backing, inlays, stitches, hardware and pins.
        report: openings, bridges and findings.
        ends: for each finding the measured width as two points, or an empty tuple.

    Returns:
        One `<g>` a layer: backing, inlay, face, stitches, hardware, pins (where there are any), openings, numbers, findings.
    """
    colours = inlay_colours(drawn)
    groups = [
        ("backing", [_ply(p, "--backing") for p in plies if p.ply == "backing"]),
        ("inlay", _inlays(drawn, plies, colours)),
        ("face", _face(drawn)),
        ("stitches", _marks(plies, "stitch-holes")),
        (
            "hardware",
            _marks([p for p in plies if p.ply == "backing"], "hardware-holes"),
        ),  # it has all
        ("pins", _marks(plies, "pins")),
    ]
    rows = [f'<g id="layer-{name}">{"".join(parts)}</g>' for name, parts in groups if parts]
    spots = "".join(_opening(o, report) for o in drawn.openings)
    numbers = "".join(_number(label) for label in drawn.labels)
    tags = tags_of(drawn, report.findings, ends, letters=LARGE)
    found = "".join(
        _finding(k + 1, report.findings[k], ends[k], tags[k]) for k in rising(report.findings)
    )
    return [
        grain("grain"),
        *rows,
        f'<g id="openings" role="group" aria-label="Openings">{spots}</g>',
        f'<g id="layer-numbers" aria-hidden="true" text-anchor="middle">{numbers}</g>',
        f'<g id="layer-findings" aria-hidden="true" text-anchor="middle">{found}</g>',
    ]


def opening_words(opening: DrawnOpening, report: Report) -> str:
    """Say number, size and narrowest neighbours of one opening."""
    area = next((row.area_mm2 for row in report.openings if row.id == opening.id), 0.0)
    near = [row for row in report.bridges if opening.id in row.between][:NEIGHBOURS]
    told = ", ".join(f"{mm_down(row.width_mm)} to {_other(row, opening.id)}" for row in near)
    return f"Opening {opening.id}: {number(area, 0)} mm2. " + (
        f"Narrowest bridges: {told}." if told else "No narrow bridge beside it."
    )


def _other(row: BridgeRow, own: int) -> str:
    other = row.between[1] if row.between[0] == own else row.between[0]
    if other == own:
        return "itself"
    return "the edge" if other == "edge" else f"opening {other}"


def _face(drawn: Drawn) -> list[str]:
    if not drawn.outline:
        return []
    holes = [path_data(p, 2) for o in drawn.openings for p in o.paths]
    data = "".join([*(path_data(p, 2) for p in drawn.outline), *holes])
    lines = "".join(polyline_data(line) for line in drawn.lines)
    return [
        f'<defs><path id="face-shape" d="{data}" fill-rule="evenodd"/></defs>',
        '<use class="land" href="#face-shape" style="fill:var(--face)" stroke="#000" stroke-width=".25"/>',
        '<use class="grained" href="#face-shape" fill="url(#grain)"/>',
        f'<path d="{lines}" fill="none" stroke="#241a10" stroke-opacity=".7" stroke-width=".2"/>',
    ]


def _inlays(drawn: Drawn, plies: Plies, colours: Sequence[str]) -> list[str]:
    """The inlay plies; the openings alone where no ply is cut for them."""
    cut = [p for p in plies if p.ply == "inlay"]
    if cut:
        return [
            _ply(p, f"--inlay-{colours.index(p.colour) if p.colour in colours else 0}") for p in cut
        ]
    return [
        f'<path d="{"".join(path_data(p, 2) for p in o.paths)}" fill-rule="evenodd" '
        f'style="fill:var(--inlay-{colours.index(o.inlay)})"/>'
        for o in drawn.openings
    ]


def _ply(ply: Ply, colour: str) -> str:
    """One finished ply, filled."""
    data = "".join(
        polyline_data(shapely.get_coordinates(ring)) + "Z"
        for part in shapely.get_parts(ply.shape).tolist()
        for ring in (part.exterior, *part.interiors)
    )
    return (
        f'<path d="{data}" fill-rule="evenodd" style="fill:var({colour})" '
        'stroke="#000" stroke-width=".2"/>'
    )


def _marks(plies: Sequence[Ply], name: str) -> list[str]:
    """One kind of hole, from the first ply that has it; on the drawing's own place."""
    for ply in plies:
        paths = [p for c in ply.cuts if c.name == name for p in c.paths]
        if paths:
            data = "".join(path_data(p, 2) for p in paths)
            x, y = number(-ply.offset[0]), number(-ply.offset[1])
            place = f"translate({x},{y})"
            if ply.mirrored:
                place = f"translate({number(ply.size[0] - ply.offset[0])},{y}) scale(-1,1)"
            return [
                f'<path d="{data}" transform="{place}" fill="#fff" stroke="#000" stroke-width=".2"/>'
            ]
    return []


def _opening(opening: DrawnOpening, report: Report) -> str:
    """The place of one opening, clear, with its words for pointer and screen reader."""
    data = "".join(path_data(p, 2) for p in opening.paths)
    words = escaped(opening_words(opening, report))
    return (
        f'<path id="opening-{opening.id}" class="opening" d="{data}" fill="#fff" fill-opacity="0" '
        f'fill-rule="evenodd" role="img" aria-label="{words}"><title>{words}</title></path>'
    )


def _number(label: Label) -> str:
    size = number_size(label, most=LARGE)
    x, y = number(label.at[0], 2), number(label.at[1] + size * 0.36, 2)
    unsure = "?" if label.kind != "rim" and label.sure < 0.8 else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{number(size, 2)}" fill="#000" stroke="#fff" '
        f'stroke-width="{number(size * 0.16, 2)}" paint-order="stroke">{label.id}{unsure}</text>'
    )


def _finding(k: int, row: FindingRow, end: tuple[tuple[float, float], ...], tag: Tag) -> str:
    """A measured width as a line, and the number of the finding: white on black for a stop."""
    x, y = tag.at
    across = ""
    if len(end) == 2:
        (a, b), (c, d) = end
        line = f"M{number(a, 2)},{number(b, 2)}L{number(c, 2)},{number(d, 2)}"
        across = (
            f'<path d="{line}" stroke="#fff" stroke-width="1.2" stroke-linecap="round"/>'
            f'<path d="{line}" stroke="#000" stroke-width=".5"/>'
        )
    disc, ink = ("#000", "#fff") if row.severity == "stop" else ("#fff", "#000")
    edge = ink if row.severity == "stop" else "#000"
    return (
        f'<g id="finding-{k}" class="mark {row.severity}">{across}{leader(tag, row)}'
        f'<g class="tag" transform="translate({number(x, 2)},{number(y, 2)})"><circle r="{tag.radius}" '
        f'fill="{disc}" stroke="{edge}" stroke-width=".3"/><text y=".75" font-size="2.1" '
        f'font-weight="bold" fill="{ink}">{k}</text></g></g>'
    )
