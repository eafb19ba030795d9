"""Read a scan or photo: the whole road from pixels to a drawing in mm."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from PIL import Image

from filigree.drawing.model import Closed, Drawing, Mark, Skipped
from filigree.drawing.scan.deskew import skew
from filigree.drawing.scan.fitted import chained, fit_lines, flat_lines
from filigree.drawing.scan.frame import Frame, mirror, turn_about
from filigree.drawing.scan.gaps import Closing, close_gaps
from filigree.drawing.scan.ink import HOLE, SPECK, find_ink, without_holes, without_specks
from filigree.drawing.scan.input import Raster, load
from filigree.drawing.scan.light import Grey32, darkness
from filigree.drawing.scan.marks import find_marks
from filigree.drawing.scan.photo import blot_out, bowed_frame, cut_out, marks_frame
from filigree.drawing.scan.scale import Measured, check_page, scan_frame
from filigree.drawing.scan.skeleton import thin
from filigree.drawing.scan.strokes import Stroke, strokes
from filigree.errors import FiligreeError
from filigree.geometry import path as paths_
from filigree.geometry.types import FloatArray
from filigree.job import Sheet

REACH = 0.95  # mm, farthest that a line's edge is looked for from its middle
READ = 1.0  # mm of line that its way on is read from
FIRM, SOFT = 0.25, 0.6  # mm over which a middle is evened out: ink, pencil
CLOSE, LOOSE = 0.02, 0.035  # mm by which a curve may leave the middle read: ink, pencil
FIRM_INK = 0.6  # darkness of the usual stroke from which it is ink
Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Redrawn:
    """A drawing read from a picture, with what is needed to show it over that picture.

    Attributes:
        drawing: lines and marks in mm.
        paths: the lines as few cubics, mm, joined where only two meet.
        grey: the upright picture.
        frame: where its pixels lie on the page.
    """

    drawing: Drawing
    paths: tuple[paths_.Path, ...]
    grey: Image.Image
    frame: Frame


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
    tell: Tell | None = None,
) -> Redrawn:
    """Turn a scan or photo of a tracing into lines, mm.

    Args:
        path: PNG, JPEG, TIFF, BMP or WebP.
        sheet: wished size of the page or of the drawn art.
        marks: distances, mm, between the middles of four solid corner marks, across and down.
        scale: two points and their distance, instead.
        straight: turn the drawing so that its border runs along the page.
        mirrored: the film lay face down.
        gap: widest break in a line that is closed, mm of bare paper.
        line: ink narrower than this is a line, mm.
        tell: called with a word for each step, for a progress line.

    Raises:
        FiligreeError: the picture cannot be read, has no known scale, or shows no line.
    """
    step = tell or (lambda _: None)
    step("reading")
    raster = load(path)
    if marks is None:
        frame = scan_frame(raster, sheet=sheet, scale=scale)
        raster, frame = squared(raster, frame)
        step("light")
        dark = darkness(raster.grey, frame.per_mm, even=True)
        step("lines")
        drawn = _lines(dark, frame.per_mm, gap, raster.name)
    else:
        check_page(*marks, raster.name)
        step("marks")
        found = find_marks(raster.grey, marks, raster.name)
        frame = marks_frame(found, raster.size)
        cut = cut_out(raster.grey, found)
        step("light")
        dark = blot_out(darkness(cut.grey, frame.per_mm, even=False), cut, found)
        step("lines")
        drawn = _moved(_lines(dark, frame.per_mm, gap, raster.name), cut.corner)
        frame = bowed_frame(raster.grey, found, [s.points for s in drawn.strokes])
    step("fitting")
    return _in_mm(raster, frame, drawn, straight=straight and marks is None, mirrored=mirrored)


def squared(raster: Raster, frame: Frame) -> tuple[Raster, Frame]:
    """Make pixels square when the densities differ, by stretching the coarser way."""
    x, y = float(frame.matrix[0, 0]), float(frame.matrix[1, 1])
    if abs(x / y - 1) < 0.02:
        return raster, frame
    columns, rows = raster.size
    fine = min(x, y)
    size = (round(columns * x / fine), round(rows * y / fine))
    grey = raster.grey.resize(size, Image.Resampling.BICUBIC)
    matrix = np.diag([x * columns / size[0], y * rows / size[1], 1.0])
    return replace(raster, grey=grey), replace(frame, pixels=size, matrix=matrix)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drawn:
    """Strokes of a picture, pixels; `firm` when they are of ink, not of pencil."""

    strokes: list[Stroke]
    closings: list[Closing]
    firm: bool


def _lines(dark: Grey32, per_mm: float, gap: float, name: str) -> _Drawn:
    ink = find_ink(dark, per_mm)
    if ink is None:
        raise _nothing(name)
    mask, _ = without_specks(ink.mask, SPECK * per_mm**2)
    mask = without_holes(mask, HOLE * per_mm**2)
    chains = thin(mask)
    if not len(chains.points):
        raise _nothing(name)
    usual = float(mask.sum()) / len(chains.points)
    firm = ink.usual >= FIRM_INK
    drawn = strokes(
        chains,
        ink.calm,
        usual=usual,
        reach=min(REACH * per_mm, 1.5 * usual + 1),
        soft=(FIRM if firm else SOFT) * per_mm,
        read=READ * per_mm,
    )
    drawn, closings = close_gaps(drawn, gap * per_mm, read=READ * per_mm)
    return _Drawn(strokes=drawn, closings=closings, firm=firm)


def _moved(drawn: _Drawn, by: FloatArray) -> _Drawn:
    """Strokes of a part carried into the whole picture."""
    strokes_ = [replace(s, points=s.points + by, fixed=s.fixed + by) for s in drawn.strokes]
    closings = [replace(c, at=(c.at[0] + float(by[0]), c.at[1] + float(by[1]))) for c in drawn.closings]
    return replace(drawn, strokes=strokes_, closings=closings)


def _nothing(name: str) -> FiligreeError:
    return FiligreeError(
        "no drawn line is seen on it", remedy="scan darker, or trace the lines again", where=name
    )


def _in_mm(
    raster: Raster,
    frame: Frame,
    drawn: _Drawn,
    *,
    straight: bool,
    mirrored: bool,
) -> Redrawn:
    """Carry strokes onto the page, fit them, and set them straight."""
    if mirrored:
        frame = frame.then(mirror(frame.width))
    paths = fit_lines(
        [frame.to_mm(s.points) for s in drawn.strokes],
        [frame.to_mm(s.fixed) for s in drawn.strokes],
        tolerance=CLOSE if drawn.firm else LOOSE,
    )
    if straight:
        askew = skew(paths, (frame.width, frame.height))
        if askew:
            turn = turn_about(-askew, frame.width / 2, frame.height / 2)
            frame = frame.then(turn)
            paths = [_sent(p, turn) for p in paths]
    lines, curves = flat_lines(paths)
    drawing = Drawing(
        name=raster.name,
        width=frame.width,
        height=frame.height,
        scale_from=frame.scale_from,
        lines=lines,
        curves=curves,
        solids=shapely.MultiPolygon(),
        fields=None,
        marks=(),
        skipped=(),
        closed=_closed(frame, drawn.closings),
    )
    return Redrawn(drawing=drawing, paths=tuple(chained(paths)), grey=raster.grey, frame=frame)


def _sent(path: paths_.Path, matrix: np.ndarray) -> paths_.Path:
    cubics = path.cubics @ matrix[:2, :2].T + matrix[:2, 2]
    return paths_.Path(cubics=cubics, straight=path.straight, closed=path.closed)


def _closed(frame: Frame, closings: list[Closing]) -> tuple[Closed, ...]:
    """Closed gaps in reading order, mm."""
    if not closings:
        return ()
    at = frame.to_mm(np.array([c.at for c in closings]))
    per_mm = frame.per_mm
    found = [
        Closed(at=(float(x), float(y)), length=c.length / per_mm)
        for (x, y), c in zip(at, closings, strict=True)
    ]
    return tuple(sorted(found, key=lambda c: (round(c.at[1], 1), c.at[0])))
