"""Colourways side by side: the piece with a little depth, and under each what it reads like."""

from collections.abc import Sequence

from filigree.colour.colourways import Colourway
from filigree.colour.palette import hex_of
from filigree.colour.science import VISIONS
from filigree.output.markup import FONT, broken, escaped, number, path_data, polyline_data
from filigree.output.proof import proof_png
from filigree.plies.drawn import Drawn

PIXELS = 2400  # longest side of the picture
GAP = 8.0  # mm between colourways
WIDE = 92.0  # mm: width of one piece on the sheet
TALL = 110.0  # mm: most height of one piece
TEXT = 2.6  # mm
STEP = 3.8  # mm from line to line
WALL = (0.45, 0.6)  # mm: how far the inlay lies below the face, as it looks
GRAIN = (  # small creases of the grain, on a 6 mm tile
    "M.4 1.1q.6-.5 1.3-.2M3.1.6q.7.1 1 .7M4.6 2.3q.5.6.2 1.2M1.2 3.2q.8-.3 1.4.3M.3 5q.7.2 1.1.7"
    "M3.4 4.6q.6-.4 1.2 0M5.2 4.9q.4.4.3.9M2.2 2q.3.4 0 .9"
)


def colour_files(drawn: Drawn, ways: Sequence[Colourway], *, title: str) -> dict[str, bytes]:
    """Write the colourways as SVG, as a picture and as a page of its own."""
    svg = colours_svg(drawn, ways, title=title)
    page = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escaped(title)}: colourways</title>"
        "<style>body{margin:0;background:#fbfaf7}svg{width:100%;height:auto}</style></head>"
        f"<body>{svg.decode()}</body></html>\n"
    )
    return {
        "colours.svg": svg,
        "colours.png": proof_png(svg, pixels=PIXELS),
        "colours.html": page.encode(),
    }


def colours_svg(drawn: Drawn, ways: Sequence[Colourway], *, title: str) -> bytes:
    """Draw every colourway.

    Args:
        drawn: the piece; its openings carry the colour of their group.
        ways: what to show, at least one.
        title: name of the piece.

    Returns:
        SVG, UTF-8, in mm.
    """
    left, top, right, bottom = drawn.bounds
    zoom = min(WIDE / (right - left), TALL / (bottom - top))
    tall = (bottom - top) * zoom
    notes = [_notes(way) for way in ways]
    cell = tall + STEP * max(len(lines) for lines in notes) + 5
    columns = _columns(len(ways), WIDE + GAP, cell + GAP)
    rows = -(-len(ways) // columns)
    width, height = columns * (WIDE + GAP) + GAP, rows * (cell + GAP) + GAP + 8
    groups = list(dict.fromkeys(o.inlay for o in drawn.openings))
    body = [
        _defs(drawn, groups),
        f'<rect width="{number(width)}" height="{number(height)}" fill="#fbfaf7"/>',
        f'<text x="{number(GAP)}" y="{number(GAP + 3)}" font-size="4.4" font-weight="bold">{escaped(title)}: colourways</text>',
    ]
    for k, (way, lines) in enumerate(zip(ways, notes, strict=True)):
        x = GAP + (k % columns) * (WIDE + GAP)
        y = GAP + 8 + (k // columns) * (cell + GAP)
        inset = (WIDE - (right - left) * zoom) / 2
        body += _piece(way, groups, k, at=(x + inset - left * zoom, y - top * zoom), zoom=zoom)
        body += _text(lines, x, y + tall + 5)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}" font-family="{FONT}">'
        f"<title>{escaped(title)}: colourways</title>\n" + "\n".join(body) + "\n</svg>\n"
    ).encode()


def _defs(drawn: Drawn, groups: Sequence[str]) -> str:
    outline = "".join(path_data(p, 2) for p in drawn.outline)
    rows = [f'<path id="face" d="{outline}"/>']
    for k, group in enumerate(groups):
        data = "".join(path_data(p, 2) for o in drawn.openings if o.inlay == group for p in o.paths)
        rows.append(f'<path id="open-{k}" d="{data}" fill-rule="evenodd" clip-rule="evenodd"/>')
        rows.append(f'<clipPath id="in-{k}"><path d="{data}" clip-rule="evenodd"/></clipPath>')
    lines = "".join(polyline_data(line) for line in drawn.lines)
    rows.append(
        f'<path id="tooling" d="{lines}" fill="none" stroke-width="0.4" stroke-linejoin="round"/>'
    )
    rows.append(
        '<pattern id="grain" width="6" height="6" patternUnits="userSpaceOnUse">'
        f'<path d="{GRAIN}" fill="none" stroke="#000" stroke-opacity=".13" stroke-width=".18"/></pattern>'
    )
    return "<defs>" + "".join(rows) + "</defs>"


def _piece(
    way: Colourway, groups: Sequence[str], k: int, *, at: tuple[float, float], zoom: float
) -> list[str]:
    face = hex_of(way.face)
    rows = [
        f'<g id="colourway-{k + 1}" transform="translate({number(at[0])},{number(at[1])}) scale({number(zoom, 6)})">',
        f'<use href="#face" transform="translate(.5 .9)" fill="{_mixed(hex_of(way.edge), "#000000", 0.25)}"/>',
        f'<use href="#face" fill="{face}"/><use href="#face" fill="url(#grain)"/>',
        f'<use href="#tooling" stroke="{_mixed(face, "#000000", 0.45)}"/>',
    ]
    for g, inlay in enumerate(way.inlays[: len(groups)]):
        colour = hex_of(inlay)
        rows.append(f'<use href="#open-{g}" fill="{_mixed(face, "#000000", 0.55)}"/>')
        rows.append(
            f'<g clip-path="url(#in-{g})"><use href="#open-{g}" transform="translate({WALL[0]} {WALL[1]})" '
            f'fill="{colour}"/></g>'
        )
    rows.append(
        f'<use href="#face" fill="none" stroke="{_mixed(face, "#000000", 0.5)}" stroke-width=".5"/></g>'
    )
    return rows


def _notes(way: Colourway) -> list[str]:
    """Write names and figures of a colourway, then in words what does not read."""
    lines = [f"{way.face} with {', '.join(way.inlays)}"]
    for found in way.readings:
        eyes = ", ".join(
            f"{vision} {found.seen_as[vision].difference:.0f} / {found.seen_as[vision].lightness:.0f}"
            for vision in VISIONS
        )
        name = f"{found.inlay}: " if len(way.readings) > 1 else ""
        lines += broken(
            f"{name}difference {found.normal.difference:.0f}, lightness {found.normal.lightness:.0f}, "
            f"contrast {found.contrast:.1f}",
            WIDE,
            TEXT,
        )
        lines += broken(f"difference / lightness for {eyes}", WIDE, TEXT)
        for words in found.says:
            lines += broken(f"- {name}{words}", WIDE, TEXT)
    if way.reads:
        lines.append("reads for every eye")
    return lines


def _text(lines: Sequence[str], x: float, y: float) -> list[str]:
    return [
        f'<text x="{number(x)}" y="{number(y + k * STEP)}" font-size="{TEXT}"'
        + (' font-weight="bold"' if k == 0 else "")
        + f">{escaped(line)}</text>"
        for k, line in enumerate(lines)
    ]


def _columns(count: int, wide: float, tall: float) -> int:
    """Choose columns so that the sheet comes out about 4 wide to 3 high."""
    return min(
        range(1, count + 1), key=lambda c: (abs(c * wide / (-(-count // c) * tall) - 4 / 3), c)
    )


def _mixed(one: str, other: str, share: float) -> str:
    parts = zip(
        (int(one[k : k + 2], 16) for k in (1, 3, 5)),
        (int(other[k : k + 2], 16) for k in (1, 3, 5)),
        strict=True,
    )
    return "#" + "".join(f"{round(a * (1 - share) + b * share):02x}" for a, b in parts)
