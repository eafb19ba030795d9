"""Job sheet on paper and as a page: picture of the piece, then every block of the sheet."""

import math
from collections.abc import Sequence

from filigree.colour.palette import hex_of
from filigree.geometry.types import XY
from filigree.job import Job
from filigree.output.jobsheet import LETTERS, Block, blocks, narrowest
from filigree.output.markup import escaped, number, path_data
from filigree.output.pdf import Paper
from filigree.output.report import BridgeRow, Report
from filigree.output.templates import wrapped
from filigree.output.terms import STYLE as TERMS
from filigree.output.terms import terms_html, terms_script
from filigree.output.words import words
from filigree.plies.drawn import Drawn, DrawnOpening
from filigree.plies.tags import Tag, place_tags
from filigree.plies.tiles import paper_size

EDGE = 14.0  # mm round the words
PICTURE = 78.0  # mm: most height of the picture
LETTER = 3.6  # mm: letter height of the letters of narrow places
READABLE, LARGEST = 1.7, 2.8  # mm: letter height of the numbers of openings
TEXT = 2.9  # mm
STEP = 4.1  # mm from line to line
RUN_ON = 1.5  # mm that the second row of a line is set in
Row = tuple[float, bool, float, bool, str]  # size, bold, indent, box, text
STYLE = """
body { font: 17px/1.5 "Bitstream Vera Sans", "DejaVu Sans", Verdana, sans-serif; margin: 0 auto;
  max-width: 46rem; padding: 1rem; color: #1f1a15; background: #fff; }
svg { width: 100%; height: auto; max-height: 60vh; }
h2 { margin: 1.4rem 0 .3rem; font-size: 1.15rem; border-bottom: 1px solid #b9ab97; }
ul { margin: 0; padding-left: 1.2rem; } ul.boxes { list-style: none; padding-left: 0; }
li { margin: .25rem 0; } label { display: flex; gap: .6rem; } input { min-width: 1.3rem; min-height: 1.3rem; }
"""


def sheet_pdf(report: Report, job: Job, drawn: Drawn, *, piece: str) -> bytes:
    """Lay the job sheet on paper; every number on it stands in the report."""
    paper = Paper(piece)
    width, height = paper_size(job.paper.size)
    paper.page(width, height)
    y = EDGE + 5
    paper.text(words("sheet.title", piece=piece), (EDGE, y), size=5, bold=True)
    y += 7
    paper.text(words("sheet.head"), (EDGE, y), size=TEXT)
    y += 5
    y += _picture(paper, report, drawn, at=(EDGE, y), room=(width - 2 * EDGE, PICTURE)) + 6
    for block in blocks(report, job):
        rows = _rows(paper, block, width - 2 * EDGE)
        for k, (size, bold, indent, box, text) in enumerate(rows):
            if y + STEP * _with(rows, k) > height - EDGE:
                paper.page(width, height)
                y = EDGE + 5
            if box:
                paper.box(EDGE, y - 2.6, EDGE + 2.8, y + 0.2, weight=0.2)
            paper.text(text, (EDGE + indent, y), size=size, bold=bold)
            y += STEP + (0.6 if bold else 0)
        y += 1.8
    return paper.finish()


def sheet_html(report: Report, job: Job, drawn: Drawn, *, piece: str) -> bytes:
    """Write the job sheet as one page that reads well on a phone and asks nothing of any network."""
    parts = []
    for block in blocks(report, job):
        rows = [
            f"<li><label><input type='checkbox'> <span>{escaped(line)}</span></label></li>"
            if block.boxes
            else f"<li>{escaped(line)}</li>"
            for line in block.lines
        ]
        kind = " class='boxes'" if block.boxes else ""
        parts.append(f"<h2>{escaped(block.title)}</h2><ul{kind}>{''.join(rows)}</ul>")
    title = escaped(words("sheet.title", piece=piece))
    terms = terms_html(*(text for b in blocks(report, job) for text in (b.title, *b.lines)))
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{STYLE}{TERMS}</style></head><body><h1>{title}</h1>\n"
        f"<p>{escaped(words('sheet.head'))}</p>{terms}{_svg(report, drawn)}\n"
        + "\n".join(parts)
        + f"<script>{terms_script()}</script></body></html>\n"
    ).encode()


def _rows(paper: Paper, block: Block, room: float) -> list[Row]:
    rows = [
        (3.4, True, 0.0, False, part)
        for part in wrapped(paper, block.title, room, size=3.4, bold=True)
    ]
    indent = 5.0 if block.boxes else 2.0
    for line in block.lines:
        for k, part in enumerate(wrapped(paper, line, room - indent, size=TEXT)):
            rows.append(
                (TEXT, False, indent + (0 if k == 0 else RUN_ON), block.boxes and k == 0, part)
            )
    return rows


def _with(rows: Sequence[Row], k: int) -> int:
    """Count the rows that have to stay on one page with a row: the rest of its line, after a heading the first line."""
    plain = min((indent for _, bold, indent, _, _ in rows if not bold), default=0.0)
    more = 0
    for _, bold, indent, _, _ in rows[k + 1 :]:
        heading = all(row[1] for row in rows[k : k + more + 1])
        if not (bold or heading or indent > plain):
            break
        more += 1
    return more


def _picture(
    paper: Paper,
    report: Report,
    drawn: Drawn,
    *,
    at: tuple[float, float],
    room: tuple[float, float],
) -> float:
    """Draw the piece with its openings numbered and its narrow places lettered; gives the height used."""
    left, top, right, bottom = drawn.bounds
    zoom = min(room[0] / (right - left), room[1] / (bottom - top))
    shift = (at[0] + (room[0] - (right - left) * zoom) / 2 - left * zoom, at[1] - top * zoom)
    if drawn.outline:
        paper.path(drawn.outline, at=shift, zoom=zoom, weight=0.3)
    for opening in drawn.openings:
        paper.path(opening.paths, at=shift, zoom=zoom, weight=0.2, grey=0.72)
    for opening in drawn.openings:
        size = _size(opening, zoom)
        x, y = (opening.at[k] * zoom + shift[k] for k in (0, 1))
        paper.text(str(opening.id), (x, y + 0.36 * size), size=size, centred=True)
    for letter, bridge, tag in _lettered(report, drawn, zoom):
        start, end = (
            (x * zoom + shift[0], y * zoom + shift[1]) for x, y in (bridge.start, bridge.end)
        )
        paper.line(start, end, weight=0.6)
        (x, y), place, rim = ((x + shift[0], y + shift[1]) for x, y in _leader(tag))
        paper.line(rim, place, weight=0.1)
        paper.text(letter, (x, y + 0.36 * LETTER), size=LETTER, bold=True, centred=True)
    return (bottom - top) * zoom


def _lettered(report: Report, drawn: Drawn, zoom: float) -> list[tuple[str, BridgeRow, Tag]]:
    """Give each narrow place its letter and where that stands in the picture, mm of it, clear of all numbers."""
    bridges = narrowest(report)
    middles = [
        ((b.start[0] + b.end[0]) / 2 * zoom, (b.start[1] + b.end[1]) / 2 * zoom) for b in bridges
    ]
    left, top, right, bottom = (v * zoom for v in drawn.bounds)
    tags = place_tags(
        middles,
        on_line=[True] * len(middles),
        numbers=[_box(opening, zoom) for opening in drawn.openings],
        bounds=(left, top, right, bottom),
    )
    return list(zip(LETTERS, bridges, tags, strict=False))


def _leader(tag: Tag) -> tuple[XY, XY, XY]:
    """Middle of a letter, the place it is about, and the point beside the letter that a line to it starts from."""
    (x, y), (u, v) = tag.at, tag.place
    share = tag.radius / max(math.dist(tag.at, tag.place), tag.radius)
    return tag.at, tag.place, (x + (u - x) * share, y + (v - y) * share)


def _box(opening: DrawnOpening, zoom: float) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of an opening's number, mm of the picture."""
    x, y = opening.at[0] * zoom, opening.at[1] * zoom
    high = _size(opening, zoom)
    wide = 0.33 * high * len(str(opening.id))
    return x - wide, y - high / 2, x + wide, y + high / 2


def _size(opening: DrawnOpening, zoom: float) -> float:
    """Letter height of an opening's number, mm on paper: what it has room for, never too small to read."""
    most = 2 * opening.room * zoom / (0.65 * len(str(opening.id)) + 0.5)
    return max(READABLE, min(LARGEST, most))


def _svg(report: Report, drawn: Drawn) -> str:
    left, top, right, bottom = drawn.bounds
    outline = "".join(path_data(p, 2) for p in drawn.outline)
    rows = [f'<path d="{outline}" fill="#f4ead8" stroke="#000" stroke-width=".5"/>']
    rows += [
        f'<path d="{"".join(path_data(p, 2) for p in o.paths)}" fill="{hex_of(o.inlay)}" '
        'fill-rule="evenodd" stroke="#000" stroke-width=".3"/>'
        for o in drawn.openings
    ]
    zoom = PICTURE / max(right - left, bottom - top)
    rows.append('<g text-anchor="middle" fill="#fff" stroke="#000" paint-order="stroke">')
    for o in drawn.openings:
        size = _size(o, zoom) / zoom
        rows.append(
            f'<text x="{number(o.at[0], 2)}" y="{number(o.at[1] + 0.36 * size, 2)}" '
            f'font-size="{number(size, 2)}" stroke-width="{number(size * 0.2, 2)}">{o.id}</text>'
        )
    rows.append("</g>")
    high = LETTER / zoom
    for letter, bridge, tag in _lettered(report, drawn, zoom):
        (x, y), (u, v) = bridge.start, bridge.end
        at, place, rim = ((x / zoom, y / zoom) for x, y in _leader(tag))
        rows.append(
            f'<path d="M{number(x, 2)},{number(y, 2)}L{number(u, 2)},{number(v, 2)}" stroke="#000" '
            f'stroke-width="{number(0.6 / zoom, 2)}"/><path d="M{number(rim[0], 2)},{number(rim[1], 2)}'
            f'L{number(place[0], 2)},{number(place[1], 2)}" stroke="#000" stroke-width="{number(0.1 / zoom, 2)}"/>'
            f'<text x="{number(at[0], 2)}" y="{number(at[1] + 0.36 * high, 2)}" text-anchor="middle" '
            f'font-size="{number(high, 2)}" font-weight="bold" stroke="#fff" '
            f'stroke-width="{number(0.17 * high, 2)}" paint-order="stroke">{letter}</text>'
        )
    box = " ".join(number(v, 2) for v in (left - 2, top - 2, right - left + 4, bottom - top + 4))
    return f'<svg viewBox="{box}" role="img" aria-label="the piece">' + "".join(rows) + "</svg>"
