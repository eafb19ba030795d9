"""Page: a traced picture carried onto its page in mm and set straight there."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from PIL import Image
from shapely import LineString, Polygon

from filigree.drawing.dark import decide_dark
from filigree.drawing.fills import only_areas
from filigree.drawing.handmarks import told_as_marks
from filigree.drawing.model import Closed, Drawing, Field, Mark, Skipped
from filigree.drawing.page import art_factor
from filigree.drawing.scan.deskew import skew
from filigree.drawing.scan.fitted import chained, fit_lines, flat_lines
from filigree.drawing.scan.frame import Frame, mirror, turn_about
from filigree.drawing.scan.scale import check_page
from filigree.drawing.scan.traced import Traced, nothing
from filigree.geometry.path import Path
from filigree.geometry.poles import poles
from filigree.geometry.types import Area, FloatArray
from filigree.job import Sheet

CLOSE, LOOSE = 0.02, 0.035  # mm by which a curve may leave the middle read: ink, pencil
LINE_HALF = 0.2  # mm, half a line's width when all ink is laid together
SHORTEST = 3.0  # mm of line that a drawing has at least
Dark = Literal["", "leather", "cut"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Redrawn:
    """A drawing read from a picture, with what is needed to write it and to show it over that picture.

    Attributes:
        drawing: lines and marks in mm.
        paths: the lines as few cubics, mm, joined where only two meet.
        mark_lines: hatching, dots and crosses taken out of the lines, mm.
        grey: the upright picture.
        frame: where its pixels lie on the page.
    """

    drawing: Drawing
    paths: tuple[Path, ...]
    mark_lines: tuple[FloatArray, ...]
    grey: Image.Image
    frame: Frame


def on_page(
    traced: Traced,
    frame: Frame,
    grey: Image.Image,
    *,
    name: str,
    sheet: Sheet,
    straight: bool,
    mirrored: bool,
    line: float,
    dark: Dark = "",
    skipped: tuple[Skipped, ...] = (),
) -> Redrawn:
    """Carry what was traced onto the page and fit it.

    Raises:
        FiligreeError: there is hardly any line, or the wished size makes no sense.
    """
    if mirrored:
        frame = frame.then(mirror(frame.width))
    paths = _fitted(traced, frame)
    if straight:
        askew = skew(paths, (frame.width, frame.height))
        frame, paths = (
            _sent(frame, paths, turn_about(-askew, frame.width / 2, frame.height / 2))
            if askew
            else (frame, paths)
        )
    if sheet.art_width is not None or sheet.art_height is not None:
        frame = _resized(frame, paths, sheet, name)
        paths = _fitted(traced, frame)
    lines, curves = flat_lines(paths)
    if sum(shapely.length(shapely.linestrings(line)) for line in lines) < SHORTEST:
        raise nothing(name)
    solids = _solids(traced, frame)
    fields = None if solids.is_empty else _fields(lines, solids)
    told: Dark = ""
    sure = 1.0
    if fields is not None:
        told, sure = decide_dark(solids, _ink(lines, solids), fields, line=line)
    drawing = Drawing(
        name=name,
        width=frame.width,
        height=frame.height,
        scale_from=frame.scale_from,
        lines=lines,
        curves=curves,
        solids=solids,
        fields=fields,
        marks=tuple(_mark(m, frame) for m in traced.marks),
        skipped=skipped + _skipped(traced, frame),
        dark=(dark or told) if fields is not None else "",
        dark_sure=1.0 if dark else sure,
        closed=_closed(frame, traced),
    )
    marks = tuple(frame.to_mm(line) for line in traced.mark_lines)
    return Redrawn(
        drawing=drawing, paths=tuple(chained(paths)), mark_lines=marks, grey=grey, frame=frame
    )


def _fitted(traced: Traced, frame: Frame) -> list[Path]:
    return fit_lines(
        [frame.to_mm(s.points) for s in traced.strokes],
        [frame.to_mm(s.fixed) for s in traced.strokes],
        tolerance=CLOSE if traced.firm else LOOSE,
    )


def _sent(frame: Frame, paths: list[Path], matrix: FloatArray) -> tuple[Frame, list[Path]]:
    """Frame and paths after an affine change of the page."""
    moved = [
        Path(
            cubics=p.cubics @ matrix[:2, :2].T + matrix[:2, 2], straight=p.straight, closed=p.closed
        )
        for p in paths
    ]
    return frame.then(matrix), moved


def _resized(frame: Frame, paths: list[Path], sheet: Sheet, name: str) -> Frame:
    """Frame in which the drawn art has the size wished for."""
    points = (
        np.concatenate([p.cubics[:, [0, 3]].reshape(-1, 2) for p in paths])
        if paths
        else np.zeros((0, 2))
    )
    if len(points) < 2:
        raise nothing(name)
    wide, high = (points.max(0) - points.min(0)).tolist()
    factor, words = art_factor(sheet, wide, high, name)
    check_page(frame.width * factor, frame.height * factor, name)
    grown = frame.then(np.diag([factor, factor, 1.0]))
    return replace(
        grown, width=frame.width * factor, height=frame.height * factor, scale_from=words
    )


def _solids(traced: Traced, frame: Frame) -> Area:
    """Wide black areas: edges inside edges are holes."""
    if not traced.solids:
        return shapely.MultiPolygon()
    rings = sorted(
        (Polygon(frame.to_mm(s.points)).buffer(0) for s in traced.solids), key=lambda r: -r.area
    )
    whole: Area = shapely.MultiPolygon()
    for ring in rings:
        whole = only_areas(whole.symmetric_difference(ring))
    return whole


def _fields(lines: tuple[FloatArray, ...], solids: Area) -> tuple[Field, ...]:
    """Faces of the lines that are no solids."""
    faces = shapely.get_parts(
        shapely.polygonize([shapely.union_all([LineString(line) for line in lines])])
    )
    if not len(faces):
        return ()
    at, _ = poles(list(faces))
    light = [not shapely.intersects(shapely.Point(p), solids) for p in at]
    return tuple(
        Field(shape=face, at=(float(x), float(y)))
        for face, (x, y), keep in zip(faces, at, light, strict=True)
        if keep
    )


def _ink(lines: tuple[FloatArray, ...], solids: Area) -> Area:
    """All ink, lines with some width."""
    return only_areas(
        shapely.union_all([shapely.MultiLineString(list(lines)).buffer(LINE_HALF), solids])
    )


def _mark(mark: Mark, frame: Frame) -> Mark:
    return replace(mark, shape=shapely.transform(mark.shape, frame.to_mm))


def _skipped(traced: Traced, frame: Frame) -> tuple[Skipped, ...]:
    out = [*told_as_marks(len(traced.mark_lines), traced.marks)]
    if traced.lone:
        what = "one dot" if traced.lone == 1 else f"{traced.lone} dots"
        out.append(Skipped(what=what, why="too small for a line and part of no stipple"))
    if traced.faint:
        what = "one faint line" if traced.faint == 1 else f"{traced.faint} faint lines"
        why = "far lighter than the drawing, like ruling or a stain; draw darker what is meant"
        out.append(Skipped(what=what, why=why))
    if traced.doubled:
        for x, y in frame.to_mm(np.array(traced.doubled)).tolist():
            what = f"a stroke at {x:.0f}, {y:.0f} mm"
            out.append(Skipped(what=what, why="it doubles the longer line beside it all along"))
    return tuple(out)


def _closed(frame: Frame, traced: Traced) -> tuple[Closed, ...]:
    """Closed gaps in reading order, mm."""
    if not traced.closings:
        return ()
    at = frame.to_mm(np.array([c.at for c in traced.closings]))
    per_mm = frame.per_mm
    found = [
        Closed(at=(float(x), float(y)), length=c.length / per_mm)
        for (x, y), c in zip(at, traced.closings, strict=True)
    ]
    return tuple(sorted(found, key=lambda c: (round(c.at[1], 1), c.at[0])))
