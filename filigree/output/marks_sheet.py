"""Marks sheet: paper with four corner marks, to draw on and photograph, and bars to check the printer."""

from dataclasses import dataclass

import numpy as np

from filigree.drawing.scan.marks import BAR
from filigree.errors import FiligreeError
from filigree.geometry.path import polygon_path
from filigree.output.markup import FONT, escaped, number

PAPERS = {  # mm (ISO 216; ANSI letter and legal)
    "A5": (148.0, 210.0),
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
}
SIDE = 8.0  # mm, a mark
INSET = 15.0  # mm from the paper's edge to a mark's middle; printers leave about 5 mm bare
RULE = 100.0  # mm, the bars to measure
RULE_AT = 8.0  # mm from the paper's edge
TICK = 2.0  # mm
TEXT = 2.8  # mm
SHEET_TITLE = "Sheet with corner marks"


@dataclass(frozen=True, slots=True, kw_only=True)
class MarksSheet:
    """What is printed, mm: filled boxes `(x, y, side)`, thin lines, and lines of text with their places."""

    size: tuple[float, float]
    apart: tuple[float, float]
    boxes: tuple[tuple[float, float, float], ...]
    lines: tuple[tuple[float, float, float, float], ...]
    texts: tuple[tuple[float, float, str], ...]


def marks_sheet(paper: str) -> MarksSheet:
    """Lay out the sheet for one paper.

    Raises:
        FiligreeError: there is no such paper.
    """
    known = {name.lower(): name for name in PAPERS}
    if paper.lower() not in known:
        raise FiligreeError(
            f"no paper is called '{paper[:20]}'",
            remedy=f"use {', '.join(PAPERS)}",
            where="--marks-sheet",
        )
    w, h = PAPERS[known[paper.lower()]]
    apart = (round(w - 2 * INSET, 1), round(h - 2 * INSET, 1))
    near_x, near_y, far_x, far_y = INSET, INSET, INSET + apart[0], INSET + apart[1]
    boxes = [
        (x - SIDE / 2, y - SIDE / 2, SIDE)
        for x, y in ((near_x, near_y), (far_x, near_y), (far_x, far_y), (near_x, far_y))
    ]
    small = BAR[1] * SIDE
    boxes.append((near_x + BAR[0] * SIDE - small / 2, near_y - small / 2, small))
    left = w / 2 - RULE / 2
    top = h / 2 - RULE / 2
    low = h - RULE_AT
    lines = (
        (left, low, left + RULE, low),
        (left, low - TICK, left, low + TICK),
        (left + RULE, low - TICK, left + RULE, low + TICK),
        (RULE_AT, top, RULE_AT, top + RULE),
        (RULE_AT - TICK, top, RULE_AT + TICK, top),
        (RULE_AT - TICK, top + RULE, RULE_AT + TICK, top + RULE),
    )
    asked = f"--marks {number(apart[0], 1)}x{number(apart[1], 1)}"
    texts = (
        (
            near_x + SIDE,
            RULE_AT,
            f"Print at 100 %. Draw between the four marks. Photo or scan: {asked}",
        ),
        (
            left,
            low - TEXT,
            "Both bars must measure 100 mm; if not, set the printer to 100 % and print again.",
        ),
    )
    return MarksSheet(size=(w, h), apart=apart, boxes=tuple(boxes), lines=lines, texts=texts)


def marks_sheet_svg(paper: str) -> bytes:
    """The sheet as SVG in mm."""
    sheet = marks_sheet(paper)
    w, h = (number(v) for v in sheet.size)
    body = [
        f'<rect x="{number(x)}" y="{number(y)}" width="{number(s)}" height="{number(s)}" fill="#000000"/>'
        for x, y, s in sheet.boxes
    ]
    body += [
        f'<line x1="{number(a)}" y1="{number(b)}" x2="{number(c)}" y2="{number(d)}" stroke="#000000" stroke-width="0.2"/>'
        for a, b, c, d in sheet.lines
    ]
    body += [
        f'<text x="{number(x)}" y="{number(y)}" font-size="{number(TEXT)}">{escaped(text)}</text>'
        for x, y, text in sheet.texts
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" '
        f'font-family="{FONT}"><title>{SHEET_TITLE}</title>\n' + "\n".join(body) + "\n</svg>\n"
    ).encode()


def marks_sheet_pdf(paper: str) -> bytes:
    """The sheet as PDF, 1:1."""
    from filigree.output.pdf import Paper

    sheet = marks_sheet(paper)
    page = Paper(SHEET_TITLE)
    page.page(*sheet.size)
    for x, y, side in sheet.boxes:
        corners = np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side]])
        page.path((polygon_path(corners),), grey=0, stroke=False)
    for a, b, c, d in sheet.lines:
        page.line((a, b), (c, d))
    for x, y, text in sheet.texts:
        page.text(text, (x, y), size=TEXT)
    return page.finish()
