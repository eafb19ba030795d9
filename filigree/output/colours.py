"""Colourways side by side: the piece with a little depth, and under each what it reads like."""

from collections.abc import Sequence
from pathlib import Path

from filigree.colour.colourways import Colourway
from filigree.colour.palette import hex_of
from filigree.colour.science import VISIONS
from filigree.output.leather import grain
from filigree.output.markup import FONT, broken, escaped, number, path_data, polyline_data
from filigree.output.proof import proof_png
from filigree.plies.drawn import Drawn

PIXELS = 2400  # longest side of the picture
GAP = 8.0  # mm between colourways
WIDE = 92.0  # mm: width of one piece on the sheet
TALL = 110.0  # mm: most height of one piece
TEXT = 2.6  # mm
STEP = 3.8  # mm from line to line
SHADE = (  # how far the cut wall and its shade reach over the inlay, mm, and how dark it is there
    ((0.45, 0.6), 0.45),
    ((0.75, 1.0), 0.26),
    ((1.1, 1.45), 0.12),
    ((1.5, 2.0), 0.0),
)
BENEATH = ((2.0, 2.8, 0.07), (1.4, 2.0, 0.1), (0.9, 1.3, 0.14))  # the piece's own shade: x, y, dark
SHEET = "#eef1ec"
HEADS = 2  # notes that stand out: the names, and whether they read


def colour_files(drawn: Drawn, ways: Sequence[Colourway], *, title: str) -> dict[str, bytes]:
    """Write the colourways as SVG, as a picture and as a page of its own."""
    svg = colours_svg(drawn, ways, title=title)
    return {
        "colours.svg": svg,
        "colours.png": proof_png(svg, pixels=PIXELS),
        "colours.html": colours_html(drawn, ways, title=title),
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
    said = [_broken(way) for way in ways]
    cell = tall + STEP * max(len(lines) for lines in said) + 5
    columns = _columns(len(ways), WIDE + GAP, cell + GAP)
    rows = -(-len(ways) // columns)
    width, height = columns * (WIDE + GAP) + GAP, rows * (cell + GAP) + GAP + 8
    groups = list(dict.fromkeys(o.inlay for o in drawn.openings))
    body = [
        _defs(drawn, groups),
        f'<rect width="{number(width)}" height="{number(height)}" fill="{SHEET}"/>',
        f'<text x="{number(GAP)}" y="{number(GAP + 3)}" font-size="4.4" font-weight="bold">{escaped(title)}: colourways</text>',
    ]
    for k, (way, lines) in enumerate(zip(ways, said, strict=True)):
        x = GAP + (k % columns) * (WIDE + GAP)
        y = GAP + 8 + (k // columns) * (cell + GAP)
        inset = (WIDE - (right - left) * zoom) / 2
        place = (
            f' transform="translate({number(x + inset - left * zoom)},{number(y - top * zoom)}) '
            f'scale({number(zoom, 6)})"'
        )
        body += _piece(way, groups, k, place=place)
        body += _text(lines, x, y + tall + 5)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}" font-family="{FONT}">'
        f"<title>{escaped(title)}: colourways</title>\n" + "\n".join(body) + "\n</svg>\n"
    ).encode()


def colours_html(drawn: Drawn, ways: Sequence[Colourway], *, title: str) -> bytes:
    """Put every colourway on a page that lays itself out, with its names and figures as text."""
    left, top, right, bottom = drawn.bounds
    box = f"{number(left - 2)} {number(top - 2)} {number(right - left + 6)} {number(bottom - top + 7)}"
    groups = list(dict.fromkeys(o.inlay for o in drawn.openings))
    figures = []
    for k, way in enumerate(ways, start=1):
        name, reads, *rest = notes(way)
        piece = "".join(_piece(way, groups, k - 1, place=""))
        lines = "".join(f"<li>{escaped(line.removeprefix('- '))}</li>" for line in rest)
        figures.append(
            f'<figure><svg viewBox="{box}" role="img" aria-label="{escaped(name)}">{piece}</svg>'
            f"<figcaption><h2>{escaped(name)}</h2><p><strong>{escaped(reads)}</strong></p>"
            f"<ul>{lines}</ul></figcaption></figure>"
        )
    style = Path(__file__).with_name("colours.css").read_text(encoding="utf-8")
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src '
        "'unsafe-inline'\">"
        f"<title>{escaped(title)}: colourways</title><style>{style}</style></head>\n"
        f'<body><h1>{escaped(title)}: colourways</h1><svg class="shapes" aria-hidden="true">'
        f"{_defs(drawn, groups)}</svg>\n<main>" + "\n".join(figures) + "</main></body></html>\n"
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
        f'<path id="tooling" d="{lines}" fill="none" stroke-width="0.35" stroke-linejoin="round"/>'
    )
    return "<defs>" + "".join(rows) + "</defs>" + grain("grain", dark=0.13)


def _piece(way: Colourway, groups: Sequence[str], k: int, *, place: str) -> list[str]:
    """Draw one colourway from the shared shapes: shade beneath, face with its grain, openings with their walls."""
    face = hex_of(way.face)
    rows = [f'<g id="colourway-{k + 1}"{place}>']
    rows += [
        f'<use href="#face" transform="translate({x} {y})" fill="#000" fill-opacity="{dark}"/>'
        for x, y, dark in BENEATH
    ]
    rows += [
        f'<use href="#face" transform="translate(.5 .9)" fill="{_mixed(hex_of(way.edge), "#000000", 0.25)}"/>',
        f'<use href="#face" fill="{face}"/><use href="#face" fill="url(#grain)"/>',
        f'<use href="#tooling" stroke="{_mixed(face, "#000000", 0.45)}"/>',
    ]
    for g, inlay in enumerate(way.inlays[: len(groups)]):
        colour = hex_of(inlay)
        steps = "".join(
            f'<use href="#open-{g}" transform="translate({x} {y})" '
            f'fill="{_mixed(colour, "#000000", dark)}"/>'
            for (x, y), dark in SHADE
        )
        rows.append(f'<use href="#open-{g}" fill="{_mixed(face, "#000000", 0.6)}"/>')
        rows.append(f'<g clip-path="url(#in-{g})">{steps}</g>')
    rows.append(
        f'<use href="#face" fill="none" stroke="{_mixed(face, "#000000", 0.5)}" stroke-width=".4"/></g>'
    )
    return rows


def notes(way: Colourway) -> list[str]:
    """Write the names of a colourway, whether it reads, in words what does not, and its figures."""
    lines = [
        f"{way.face} with {', '.join(way.inlays)}",
        "reads for every eye" if way.reads else "does not read well for every eye",
    ]
    many = len(way.readings) > 1
    for found in way.readings:
        lines += [f"- {found.inlay}: {words}" if many else f"- {words}" for words in found.says]
    for found in way.readings:
        eyes = ", ".join(
            f"{vision} {found.seen_as[vision].difference:.0f} / {found.seen_as[vision].lightness:.0f}"
            for vision in VISIONS
        )
        lines += [
            (
                f"{found.inlay + ': ' if many else ''}difference {found.normal.difference:.0f}, "
                f"lightness {found.normal.lightness:.0f}, contrast {found.contrast:.1f}"
            ),
            f"difference / lightness for {eyes}",
        ]
    return lines


def _broken(way: Colourway) -> list[tuple[str, bool]]:
    """Break the notes into lines of the sheet; True for those that stand out."""
    return [
        (line, k < HEADS) for k, note in enumerate(notes(way)) for line in broken(note, WIDE, TEXT)
    ]


def _text(lines: Sequence[tuple[str, bool]], x: float, y: float) -> list[str]:
    return [
        f'<text x="{number(x)}" y="{number(y + k * STEP)}" font-size="{TEXT}"'
        + (' font-weight="bold"' if bold else "")
        + f">{escaped(line)}</text>"
        for k, (line, bold) in enumerate(lines)
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
