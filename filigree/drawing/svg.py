"""Read an SVG drawing: from the file to lines, fields and marks in mm, as the eye sees them."""

from collections import Counter
from pathlib import Path
from typing import Literal
from xml.etree.ElementTree import Element

import numpy as np
import shapely

from filigree.drawing.clips import Clipper
from filigree.drawing.coats import THRESHOLD, coats_of
from filigree.drawing.copies import with_copies
from filigree.drawing.document import open_document
from filigree.drawing.fills import EMPTY
from filigree.drawing.flat import curve_table, flat_of
from filigree.drawing.handmarks import find_hand_marks, told_as_marks
from filigree.drawing.linework import is_linework, strokes
from filigree.drawing.markup import read_markup
from filigree.drawing.model import Drawing, Mark, Skipped
from filigree.drawing.page import Page, art_factor, needs_extent, read_page, scaled
from filigree.drawing.painted import Picture, painted
from filigree.drawing.source import read_bytes, unpack
from filigree.drawing.trace import Pen, trace
from filigree.drawing.transform import IDENTITY, Box
from filigree.drawing.walk import walk, whole_document
from filigree.drawing.wishes import marks_of
from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import Reading, Sheet

HEAVY = 50_000  # chords from which a painted drawing is flattened less finely
COARSE = 0.02  # mm, as for written curves
Dark = Literal["", "leather", "cut"]


def read_svg(
    path: Path | bytes,
    *,
    sheet: Sheet,
    line: float = 1.2,
    dark: Dark = "",
    tolerance: float = 0.005,
    threshold: float = THRESHOLD,
    name: str = "",
    most: Reading | None = None,
) -> Drawing:
    """Read an SVG drawing.

    Args:
        path: the file, or its bytes.
        sheet: wished size of the page or of the art.
        line: ink narrower than this is a line, mm.
        dark: what wide ink is; "" lets the reader decide.
        tolerance: most that a chord leaves its curve, mm.
        threshold: lightness under which paint is ink, 0 to 1.
        name: what to call the drawing; the file's own name when "".
        most: limits of size, depth and copies; the usual ones when None.

    Raises:
        FiligreeError: the file cannot be read, is no SVG, or goes over a limit.
    """
    most = most or Reading()
    if isinstance(path, bytes):
        name, data = name or "drawing", path
    else:
        name, data = name or path.name, read_bytes(path, most_mb=most.file_mb)
    root = read_markup(unpack(data, name, most_mb=most.file_mb), name, depth=most.depth)
    page = read_page(
        root, sheet, name, extent=_extent(root, name, most) if needs_extent(root) else None
    )
    drawing = _read(
        root, page, name, line=line, dark=dark, tolerance=tolerance, threshold=threshold, most=most
    )
    if sheet.art_width is None and sheet.art_height is None:
        return drawing
    factor, words = art_factor(sheet, *_art_size(drawing), name)
    page = scaled(page, factor, words, name)
    return _read(
        root, page, name, line=line, dark=dark, tolerance=tolerance, threshold=threshold, most=most
    )


def _read(
    root: Element,
    page: Page,
    name: str,
    *,
    line: float,
    dark: Dark,
    tolerance: float,
    threshold: float,
    most: Reading,
) -> Drawing:
    """Read a document onto a page whose size is settled."""
    document, pen = open_document(root, name, most), Pen()
    visits = whole_document(document, page.matrix, page.viewport, page.px)
    items = list(with_copies(document, walk(document, visits, pen), pen))
    flat = flat_of(trace(pen), items, tolerance, name)
    clipper = Clipper(document, flat, tolerance)
    coats = coats_of(document, items, threshold=threshold)
    sheet = shapely.box(0, 0, page.width, page.height)
    by_hand: tuple[Mark, ...] = ()
    gone = 0
    if is_linework(coats, flat, line):
        drawn = strokes(coats, clipper, sheet)
        lines, by_hand = find_hand_marks(drawn)
        gone = len(drawn) - len(lines)
        picture = Picture(lines=lines, solids=EMPTY, fields=None, dark="", dark_sure=1.0)
    else:
        if len(flat.chords.piece) > HEAVY and tolerance < COARSE:
            flat = flat_of(flat.trace, items, COARSE, name)
            clipper = Clipper(document, flat, COARSE)
        picture = painted(coats, clipper, sheet, line=line, dark=dark)
    used = [run for coat in coats if coat.tone != "none" for run in range(*coat.item.runs)]
    return Drawing(
        name=name,
        width=page.width,
        height=page.height,
        scale_from=page.scale_from,
        lines=picture.lines,
        curves=curve_table(flat, used),
        solids=picture.solids,
        fields=picture.fields,
        marks=(*marks_of(coats, flat, sheet.area), *by_hand),
        skipped=(*told(document.skipped), *told_as_marks(gone, by_hand)),
        dark=picture.dark,
        dark_sure=picture.dark_sure,
    )


def told(skipped: Counter[Skipped]) -> tuple[Skipped, ...]:
    """List what was left out once each, with how often."""
    return tuple(
        one if count == 1 else Skipped(what=f"{one.what} ({count} times)", why=one.why)
        for one, count in skipped.items()
    )


def _extent(root: Element, name: str, most: Reading) -> Box:
    """Box of all shapes drawn, user units, for a drawing that states no size."""
    document, pen = open_document(root, name, most), Pen()
    items = list(walk(document, whole_document(document, IDENTITY, (0.0, 0.0), 1.0), pen))
    points = np.concatenate([*flat_of(trace(pen), items, 0.1, name).points, np.empty((0, 2))])
    if not len(points):
        raise FiligreeError(
            "nothing is drawn, and no size is stated",
            remedy="give a drawing with lines",
            where=name,
        )
    (x, y), (right, low) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return (x, y, right - x, low - y)


def _art_size(drawing: Drawing) -> XY:
    """Width and height of what is drawn: lines by their middles, solids by their edges, mm."""
    points = np.concatenate(
        [*drawing.lines, shapely.get_coordinates(drawing.solids), np.empty((0, 2))]
    )
    if not len(points):
        raise FiligreeError(
            "nothing is drawn", remedy="give a drawing with lines", where=drawing.name
        )
    wide, high = (points.max(axis=0) - points.min(axis=0)).tolist()
    return (wide, high)
