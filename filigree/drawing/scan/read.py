"""Read a scan or photo: the whole road from a file to a drawing in mm."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Literal

import numpy as np
from PIL import Image

from filigree.drawing.model import Drawing, Skipped
from filigree.drawing.scan.frame import Frame
from filigree.drawing.scan.input import MOST_MP, Raster, load
from filigree.drawing.scan.light import darkness
from filigree.drawing.scan.marks import find_marks
from filigree.drawing.scan.page import Redrawn, on_page
from filigree.drawing.scan.photo import blot_out, bowed_frame, cut_out, marks_frame
from filigree.drawing.scan.scale import Measured, check_page, disputed, scan_frame
from filigree.drawing.scan.sheet import find_paper, only_paper, outline, told_of_sheet
from filigree.drawing.scan.slant import slant_frame
from filigree.drawing.scan.spots import part_spots
from filigree.drawing.scan.traced import Traced, trace
from filigree.job import Sheet

SQUARE = 0.02  # share by which a pixel's sides may differ before the picture is stretched
Tell = Callable[[str], None]


def read_scan(
    path: Path,
    *,
    sheet: Sheet,
    marks: tuple[float, float] | None = None,
    scale: Measured | None = None,
    straight: bool = True,
    mirrored: bool = False,
    gap: float = 1.0,
    line: float = 1.2,
    dark: Literal["", "leather", "cut"] = "",
    most_mp: float = MOST_MP,
    tell: Tell | None = None,
) -> Drawing:
    """Read a scan or photo of a tracing; see `redraw_scan`."""
    return redraw_scan(
        path,
        sheet=sheet,
        marks=marks,
        scale=scale,
        straight=straight,
        mirrored=mirrored,
        gap=gap,
        line=line,
        dark=dark,
        most_mp=most_mp,
        tell=tell,
    ).drawing


def redraw_scan(
    path: Path,
    *,
    sheet: Sheet,
    marks: tuple[float, float] | None = None,
    scale: Measured | None = None,
    straight: bool = True,
    mirrored: bool = False,
    gap: float = 1.0,
    line: float = 1.2,
    dark: Literal["", "leather", "cut"] = "",
    most_mp: float = MOST_MP,
    tell: Tell | None = None,
) -> Redrawn:
    """Turn a scan or photo of a tracing into lines, mm.

    Args:
        path: PNG, JPEG, TIFF, BMP or WebP.
        sheet: wished size of the page or of the drawn art.
        marks: distances, mm, between the middles of four solid corner marks, across and down; the page
            runs from mark to mark.
        scale: two points and their distance, instead.
        straight: turn the drawing so that its border runs along the page; a photo without marks is set
            straight by the sheet's edges.
        mirrored: the film lay face down.
        gap: widest break in a line that is closed, mm of bare paper.
        line: ink narrower than this is a line, mm.
        dark: what wide ink is; "" lets the drawing decide.
        most_mp: million pixels beyond which the picture is refused.
        tell: called with a word for each step, for a progress line.

    Raises:
        FiligreeError: the picture cannot be read, has no known scale, or shows no line.
    """
    step = tell or (lambda _: None)
    sizes = (sheet.width, sheet.height, sheet.art_width, sheet.art_height)
    sized = any(size is not None for size in sizes)
    step("reading")
    raster = load(path, most_mp=most_mp)
    told: tuple[Skipped, ...] = ()
    if marks is None:
        size = raster.size
        raster, flat = squared(raster, scan_frame(raster, sheet=sheet, scale=scale))
        frame, traced, told = _unmarked(
            raster,
            flat,
            scale,
            gap=gap,
            line=line,
            straight=straight and raster.size == size,
            step=step,
        )
        if scale is None and not sized:
            told += disputed(raster)
    else:
        check_page(*marks, raster.name)
        frame, traced = _photo(raster, marks, gap=gap, line=line, step=step)
    step("fitting")
    return on_page(
        traced,
        frame,
        raster.grey,
        name=raster.name,
        sheet=sheet,
        straight=straight and marks is None,
        mirrored=mirrored,
        line=line,
        dark=dark,
        skipped=told,
    )


def _unmarked(
    raster: Raster,
    flat: Frame,
    scale: Measured | None,
    *,
    gap: float,
    line: float,
    straight: bool,
    step: Tell,
) -> tuple[Frame, Traced, tuple[Skipped, ...]]:
    """Trace a scan, or a photo without corner marks: the sheet alone, set straight by its edges where they tell how."""
    step("light")
    paper = find_paper(raster.grey)
    grey = raster.grey if paper is None else only_paper(raster.grey, paper)
    shade = darkness(grey, flat.per_mm, even=paper is None or paper.even)
    step("lines")
    traced = trace(shade, flat.per_mm, gap=gap, line=line, name=raster.name)
    if paper is None:
        return flat, traced, ()
    lines = [s.points for s in traced.strokes]
    frame = slant_frame(raster.grey, paper, flat, scale, lines) if straight else None
    traced, spots = part_spots(traced, frame or flat, outline(paper))
    return frame or flat, traced, (*told_of_sheet(paper, straightened=frame is not None), *spots)


def _photo(
    raster: Raster, marks: tuple[float, float], *, gap: float, line: float, step: Tell
) -> tuple[Frame, Traced]:
    """Trace what lies between four corner marks; the frame comes last, as the lines show the bow."""
    step("marks")
    found = find_marks(raster.grey, marks, raster.name)
    rough = marks_frame(found, raster.size)
    cut = cut_out(raster.grey, found)
    step("light")
    shade = blot_out(darkness(cut.grey, rough.per_mm, even=False), cut, found)
    step("lines")
    traced = trace(shade, rough.per_mm, gap=gap, line=line, name=raster.name).moved(cut.corner)
    return bowed_frame(raster.grey, found, [s.points for s in traced.strokes]), traced


def squared(raster: Raster, frame: Frame) -> tuple[Raster, Frame]:
    """Make pixels square when the densities differ, by stretching the coarser way."""
    x, y = float(frame.matrix[0, 0]), float(frame.matrix[1, 1])
    if abs(x / y - 1) < SQUARE:
        return raster, frame
    columns, rows = raster.size
    fine = min(x, y)
    size = (round(columns * x / fine), round(rows * y / fine))
    grey = raster.grey.resize(size, Image.Resampling.BICUBIC)
    matrix = np.diag([x * columns / size[0], y * rows / size[1], 1.0])
    return replace(raster, grey=grey), replace(frame, pixels=size, matrix=matrix)
