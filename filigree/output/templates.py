"""Templates: every ply 1:1 on paper, tiled when larger than a sheet, with bars that prove the scale."""

from collections.abc import Sequence

import numpy as np

from filigree.errors import FiligreeError
from filigree.geometry.path import Path
from filigree.geometry.types import FloatArray
from filigree.job import Paper as PaperSettings
from filigree.job import default
from filigree.output.pdf import Paper
from filigree.output.words import words
from filigree.plies.model import Plies, Ply
from filigree.plies.tiles import BAR_ROOM, SIDE, STRIP, Tile, Tiling, tiling

BAR = default("paper.bar")  # mm
OFF = default("paper.bar_reject") * BAR  # mm: a bar further off is told
SQUARE = 50.0  # mm
LINE = 0.25  # mm
CROSS = 4.0  # mm: arm of a register cross


def templates_pdf(plies: Plies, settings: PaperSettings, *, piece: str) -> bytes:
    """Lay every ply on paper.

    Args:
        plies: the cut files.
        settings: paper, overlap, and the bars as measured on a print.
        piece: name of the piece.

    Returns:
        PDF, vector lines only.

    Raises:
        FiligreeError: the paper is unknown or too small, or a measured bar is not near 100 mm.
    """
    scale = scale_of(settings)
    paper = Paper(piece, scale=scale)
    for ply in plies:
        laid = tiling(ply.size, settings.size, overlap=settings.overlap)
        paths = [path for cut in ply.cuts for path in cut.paths]
        frames = _frames(paths)
        for tile in laid.tiles:
            left, top, right, bottom = tile.window
            seen = (frames[:, 0] <= right) & (frames[:, 2] >= left)
            seen &= (frames[:, 1] <= bottom) & (frames[:, 3] >= top)
            here = [paths[k] for k in np.flatnonzero(seen).tolist()]
            _sheet(paper, ply, laid, tile, here, piece, corrected=scale != (1.0, 1.0))
    return paper.finish()


def scale_of(settings: PaperSettings) -> tuple[float, float]:
    """Give the correction across and along from the bars as measured (row 31).

    >>> x, y = scale_of(PaperSettings(bar_across=98.6))
    >>> round(x, 4), y
    (1.0142, 1.0)
    """
    for name, bar in (("bar_across", settings.bar_across), ("bar_along", settings.bar_along)):
        if bar is not None and not 80 <= bar <= 125:
            raise FiligreeError(
                f"{name} = {bar:g} is no measure of a {BAR:g} mm bar",
                remedy="measure the printed bar again, in mm",
                where="[paper]",
            )
    return BAR / (settings.bar_across or BAR), BAR / (settings.bar_along or BAR)


def _frames(paths: Sequence[Path]) -> FloatArray:
    """Left, top, right and bottom of the control points of each path, with the width of its line, `(n, 4)`."""
    low = [path.cubics.min(axis=(0, 1)) - LINE for path in paths]
    high = [path.cubics.max(axis=(0, 1)) + LINE for path in paths]
    return np.hstack([np.array(low).reshape(-1, 2), np.array(high).reshape(-1, 2)])


def _sheet(
    paper: Paper,
    ply: Ply,
    laid: Tiling,
    tile: Tile,
    paths: Sequence[Path],
    piece: str,
    *,
    corrected: bool,
) -> None:
    """Draw one sheet: the paths of its ply that come near its window, and what stands round them."""
    width, height = laid.paper
    paper.page(width, height)
    left, top, right, bottom = tile.window
    origin = (SIDE + BAR_ROOM, SIDE)
    shift = (origin[0] - left, origin[1] - top)
    edges = (origin[0], origin[1], origin[0] + right - left, origin[1] + bottom - top)
    paper.clip(*edges)
    for path in paths:
        paper.path((path,), at=shift, weight=LINE)
    paper.unclip()
    for x, y in tile.crosses:
        x, y = x + shift[0], y + shift[1]
        paper.line((x - CROSS, y), (x + CROSS, y), weight=0.15)
        paper.line((x, y - CROSS), (x, y + CROSS), weight=0.15)
    if len(laid.tiles) > 1:
        paper.box(*edges, weight=0.1)
    _foot(paper, ply, laid, tile, piece, corrected=corrected)


def _foot(paper: Paper, ply: Ply, laid: Tiling, tile: Tile, piece: str, *, corrected: bool) -> None:
    foot = laid.paper[1] - SIDE
    upright = SIDE + 3
    _bar(paper, (upright, foot - BAR), (upright, foot))
    paper.text(words("bar"), (upright - 1, foot - BAR / 2), size=2.6, centred=True, turned=True)
    left = SIDE + BAR_ROOM
    _bar(paper, (left, foot), (left + BAR, foot))
    paper.text(words("bar"), (left + BAR / 2, foot - 1), size=2.6, centred=True)
    top = foot - STRIP + 8
    paper.box(left, top, left + SQUARE, top + SQUARE, weight=0.15)
    paper.text(words("square"), (left + SQUARE / 2, top + SQUARE - 1.5), size=2.6, centred=True)
    side = "mirrored" if ply.mirrored else "straight"
    lines = [
        words("templates.sheet", code=tile.code, rows=laid.rows, columns=laid.columns),
        ply.note,
        words(f"templates.{side}"),
        words("templates.scale"),
        words("templates.reject", off=f"{OFF:g}"),
    ]
    if corrected:
        lines.append(words("templates.corrected"))
    if len(laid.tiles) > 1:
        lines.append(words("templates.map"))
        _map(paper, laid, tile, (left + 2, top + 2))
    start, room = left + SQUARE + 4, laid.paper[0] - SIDE - left - SQUARE - 4
    paper.text(
        words("templates.title", piece=piece, ply=ply.title), (start, top + 4), size=4, bold=True
    )
    y = top + 9.5
    for line in lines:
        for part in wrapped(paper, line, room, size=2.6):
            paper.text(part, (start, y), size=2.6)
            y += 3.6
        y += 0.8


def wrapped(paper: Paper, line: str, room: float, *, size: float, bold: bool = False) -> list[str]:
    """Break a line of text where it would run over `room` mm."""
    parts = [""]
    for word in line.split():
        longer = f"{parts[-1]} {word}".strip()
        if parts[-1] and paper.width_of(longer, size=size, bold=bold) > room:
            parts.append(word)
        else:
            parts[-1] = longer
    return parts


def _bar(paper: Paper, start: tuple[float, float], end: tuple[float, float]) -> None:
    paper.line(start, end, weight=0.2)
    along_x = start[1] == end[1]
    for x, y in (start, end):
        tick = ((x, y - 2), (x, y + 2)) if along_x else ((x - 2, y), (x + 2, y))
        paper.line(*tick, weight=0.2)


def _map(paper: Paper, laid: Tiling, here: Tile, at: tuple[float, float]) -> None:
    """Draw the assembly map in the square, this sheet filled grey."""
    cell = min(34 / laid.columns, 34 / laid.rows, 12)
    for tile in laid.tiles:
        x, y = at[0] + (tile.column - 1) * cell, at[1] + (tile.row - 1) * cell
        grey = 0.8 if tile.code == here.code else None
        paper.box(x, y, x + cell, y + cell, weight=0.15, grey=grey)
        if cell >= 5:
            paper.text(tile.code, (x + cell / 2, y + cell / 2 + 0.8), size=2.2, centred=True)
