"""Proof: one sheet that shows what comes out, where the face is weak and what to do.

Legible in black and white: a stop is a white number on a black disc, a caution a black number in a ring,
and each weak width is drawn as a barred line across its bridge. Numbers stand side by side, stops on top.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from filigree.checks.words import mm_up
from filigree.colour.palette import hex_of
from filigree.output.folded import folded
from filigree.output.leftout import left_out_sentences
from filigree.output.markup import FONT, broken, escaped, number, path_data, polyline_data
from filigree.output.opened import opened_said
from filigree.output.pulled import load_said
from filigree.output.report import FindingRow, Report
from filigree.output.tagged import Ends, disc, leader, rising, tags_of
from filigree.plies.drawn import Drawn, DrawnOpening, Label
from filigree.plies.tags import Tag, number_size, tag_radius

MARGIN = 10.0  # mm round everything on the sheet
NARROWEST = 150.0  # mm: least width of text
TEXT = 3.2  # mm: height of the words
LETTERS = 3.0  # mm: height of the numbers of fields, at most
BOLD = 1.12  # times as wide are bold words
LINE = 4.6  # mm: from line to line
LISTED = 40  # findings written out on the sheet; the rest are counted
PIXELS = 2400  # longest side of the picture


@dataclass(frozen=True, slots=True)
class Mark:
    """A numbered finding on the drawing."""

    number: int
    row: FindingRow


def proof_svg(drawn: Drawn, report: Report, *, face: str, ends: Ends) -> bytes:
    """Draw the proof.

    Args:
        drawn: the finished geometry.
        report: verdict and findings, worst first.
        face: colour of the face.
        ends: for each finding the measured width as two points, or an empty tuple.

    Returns:
        SVG, UTF-8, at true size in mm.
    """
    left, top, right, bottom = drawn.bounds
    width = max(right - left, NARROWEST) + 2 * MARGIN
    head, bold = _head(report, width)
    sheet_top = MARGIN + LINE * len(head) + 4
    down = sheet_top - top
    across = (width - (right - left)) / 2 - left
    marks = [Mark(k, row) for k, row in enumerate(report.findings, start=1)]
    tags = tags_of(drawn, report.findings, ends, letters=LETTERS)
    foot, height = _foot(marks, width, sheet_top + (bottom - top) + 8)
    body = [
        f'<rect width="{number(width)}" height="{number(height)}" fill="#ffffff"/>',
        *_words(head, MARGIN, MARGIN + TEXT, bold=bold),
        f'<g id="piece" transform="translate({number(across)},{number(down)})">',
        *_piece(drawn, face),
        *_measured(marks, ends),
        '<g id="leaders">',
        *(leader(tag, mark.row) for mark, tag in zip(marks, tags, strict=True)),
        "</g>",
        *_numbers(drawn),
        *_tags(marks, tags),
        "</g>",
        *foot,
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}" font-family="{FONT}">'
        f"<title>{escaped(report.drawing.file)}: proof</title>\n" + "\n".join(body) + "\n</svg>\n"
    ).encode()


def proof_png(svg: bytes, *, pixels: int = PIXELS) -> bytes:
    """Render a proof with the font that ships with a library, so that every machine gives the same picture."""
    from pathlib import Path as File

    import reportlab
    import resvg_py

    fonts = File(reportlab.__file__).parent / "fonts"
    text = svg.decode()
    width, height = (
        float(text.split(f'{side}="', 1)[1].split("mm", 1)[0]) for side in ("width", "height")
    )
    zoom = pixels / max(width, height) * 25.4 / 96
    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=text,
            background="#ffffff",
            dpi=96,
            skip_system_fonts=True,
            font_files=[str(fonts / "Vera.ttf"), str(fonts / "VeraBd.ttf")],
            sans_serif_family="Bitstream Vera Sans",
            zoom=zoom,
        )
    )


def _head(report: Report, width: float) -> tuple[list[str], int]:
    """Write what stands over the piece; gives its lines and how many of them are the verdict."""
    face = report.face
    assumed = " (assumed)" if face.assumed else ""
    drawing = report.drawing
    about = (
        f"{drawing.file}: page {number(drawing.width_mm, 1)} x {number(drawing.height_mm, 1)} mm "
        f"({drawing.scale_from}). Face {face.thickness}{assumed}, cut by {face.way}: "
        f"bridges wanted {mm_up(face.bridge_wanted_mm)} mm, stop under {mm_up(face.bridge_stop_mm)} mm. "
        f"{opened_said(report)}."
    )
    room = width - 2 * MARGIN
    verdict = broken(report.verdict, room / BOLD, TEXT)
    said = [line for line in (about, load_said(report), *left_out_sentences(report)) if line]
    return verdict + [part for line in said for part in broken(line, room, TEXT)], len(verdict)


def _piece(drawn: Drawn, face: str) -> list[str]:
    rows = []
    if drawn.outline:
        data = "".join(path_data(p, 2) for p in drawn.outline)
        rows.append(
            f'<path id="face" d="{data}" fill="{_pale(hex_of(face))}" stroke="#000" stroke-width="0.35"/>'
        )
    rows += [_opening(o) for o in drawn.openings]
    lines = "".join(polyline_data(line) for line in drawn.lines)
    rows.append(f'<path id="lines" d="{lines}" fill="none" stroke="#40352a" stroke-width="0.15"/>')
    return rows


def _opening(opening: DrawnOpening) -> str:
    data = "".join(path_data(p, 2) for p in opening.paths)
    return (
        f'<path id="opening-{opening.id}" d="{data}" fill="{hex_of(opening.inlay)}" fill-rule="evenodd" '
        'stroke="#000" stroke-width="0.35"/>'
    )


def _numbers(drawn: Drawn) -> list[str]:
    cut = {region for o in drawn.openings for region in (o.id,)}
    rows = [
        _number(label, cut=label.id in cut or label.kind == "background") for label in drawn.labels
    ]
    return ['<g id="numbers" text-anchor="middle">', *rows, "</g>"]


def _number(label: Label, *, cut: bool) -> str:
    size = number_size(label, most=LETTERS if cut else 2.2)
    ink = (
        'fill="#fff" stroke="#000" stroke-width="0.5" paint-order="stroke" font-weight="bold"'
        if cut
        else 'fill="#6b6257"'
    )
    x, y = number(label.at[0], 2), number(label.at[1] + size * 0.36, 2)
    unsure = "?" if label.kind != "rim" and label.sure < 0.8 else ""
    return f'<text x="{x}" y="{y}" font-size="{number(size, 2)}" {ink}>{label.id}{unsure}</text>'


def _measured(marks: Sequence[Mark], ends: Ends) -> list[str]:
    rows = ['<g id="measured">']
    for k in rising([mark.row for mark in marks]):
        end = ends[k]
        if len(end) == 2:
            rows += _across(end[0], end[1], marks[k].row)
    return [*rows, "</g>"]


def _tags(marks: Sequence[Mark], tags: Sequence[Tag]) -> list[str]:
    rows = [
        f'<g id="finding-{marks[k].number}">{disc(marks[k].number, marks[k].row, tags[k].at, tags[k].radius)}</g>'
        for k in rising([mark.row for mark in marks])
    ]
    return ['<g id="findings">', *rows, "</g>"]


def _across(start: tuple[float, float], end: tuple[float, float], row: FindingRow) -> list[str]:
    """Draw a measured width as a line with a bar at each end, white under black."""
    (x0, y0), (x1, y1) = start, end
    length = max(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5, 1e-6)
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    if length < 1e-5:
        ux, uy = 1.0, 0.0
    bars = "".join(
        f"M{number(x - uy, 2)},{number(y + ux, 2)}L{number(x + uy, 2)},{number(y - ux, 2)}"
        for x, y in (start, end)
    )
    data = f"M{number(x0, 2)},{number(y0, 2)}L{number(x1, 2)},{number(y1, 2)}{bars}"
    heavy = 0.5 if row.severity == "stop" else 0.3
    return [
        f'<path d="{data}" fill="none" stroke="#fff" stroke-width="{number(heavy + 0.5, 2)}"/>',
        f'<path d="{data}" fill="none" stroke="#000" stroke-width="{number(heavy, 2)}"/>',
    ]


def _foot(marks: Sequence[Mark], width: float, y: float) -> tuple[list[str], float]:
    """List the findings under the piece; gives the rows and the height of the sheet."""
    rows = ['<g id="list">']
    room = width - 2 * MARGIN - 8
    told = folded([mark.row for mark in marks])
    for number_of, row, behind in told[:LISTED]:
        lines = broken(f"{row.severity}: {row.say}", room, TEXT)
        rows.append(disc(number_of, row, (MARGIN + 2, y - 1.1), tag_radius(number_of)))
        lines += broken(f"and {behind}", room, TEXT) if behind else []
        rows += _words(lines, MARGIN + 6, y)
        y += LINE * len(lines) + 0.8
    if len(told) > LISTED:
        rows += _words([f"and {len(told) - LISTED} more in report.json"], MARGIN + 6, y)
        y += LINE
    key = (
        "Filled: comes out, with the number of the field. Grey numbers: stays. A question mark: a guess to look at. "
        "Barred lines: widths measured. The limits are common practice, no standard; this sheet ranks, it does not certify."
    )
    lines = broken(key, width - 2 * MARGIN, 2.6)
    rows += _words(lines, MARGIN, y + 2, size=2.6)
    return [*rows, "</g>"], y + 2 + 3.8 * len(lines) + MARGIN - 3


def _words(
    lines: Sequence[str], x: float, y: float, *, size: float = TEXT, bold: int = 0
) -> list[str]:
    step = LINE * size / TEXT
    weights = ["bold" if k < bold else "normal" for k in range(len(lines))]
    return [
        f'<text x="{number(x)}" y="{number(y + k * step, 2)}" font-size="{number(size, 2)}" '
        f'font-weight="{weight}">{escaped(line)}</text>'
        for k, (line, weight) in enumerate(zip(lines, weights, strict=True))
    ]


def _pale(colour: str) -> str:
    """Mix a colour with white so that thin lines and grey numbers read on it."""
    parts = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    return "#" + "".join(f"{round(255 - (255 - part) * 0.35):02x}" for part in parts)
