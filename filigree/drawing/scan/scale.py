"""Scale: how large a scan's page is, from what was asked or from the file."""

import math
from dataclasses import dataclass

import numpy as np

from filigree.drawing.model import Skipped
from filigree.drawing.scan.density import agree
from filigree.drawing.scan.frame import Frame
from filigree.drawing.scan.input import Raster
from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import Sheet
from filigree.units import MM_PER_INCH, figure

SMALLEST, LARGEST = 5.0, 5000.0  # mm, side of a page
STRETCH = (
    0.06  # share by which a page's two sides may be stretched apart (a copier's worst, measured)
)
OFFER = "give --marks WxH or --width LEN, or measure two points with filigree redraw --scale"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Two points of the upright picture, pixels from its top left, and their distance, mm."""

    start: XY
    end: XY
    length: float


def scan_frame(raster: Raster, *, sheet: Sheet, scale: Measured | None) -> Frame:
    """Frame of a flat scan.

    Raises:
        FiligreeError: the scale is unknown or makes no sense.
    """
    columns, rows = raster.size
    if scale is not None:
        x, y, words = *_from_points(raster, scale), "--scale"
    elif sheet.width is not None or sheet.height is not None:
        x, y, words = _from_page(raster, sheet)
    else:
        x, y, words = _from_file(
            raster, needed=sheet.art_width is None and sheet.art_height is None
        )
    width, height = columns * x, rows * y
    check_page(width, height, raster.name)
    return Frame(
        pixels=(columns, rows),
        matrix=np.diag([x, y, 1.0]),
        width=width,
        height=height,
        scale_from=words,
    )


def check_page(width: float, height: float, name: str) -> None:
    """Refuse a page that nobody means."""
    if not all(math.isfinite(v) and SMALLEST <= v <= LARGEST for v in (width, height)):
        raise FiligreeError(
            f"the page would be {figure(width)} x {figure(height)} mm",
            remedy=f"a page is {SMALLEST:g} to {LARGEST:g} mm a side; {OFFER}",
            where=name,
        )


def _from_points(raster: Raster, scale: Measured) -> tuple[float, float]:
    across = (scale.end[0] - scale.start[0]) * raster.aspect
    apart = math.hypot(across, scale.end[1] - scale.start[1])
    if not (
        math.isfinite(apart) and apart >= 10 and math.isfinite(scale.length) and scale.length > 0
    ):
        raise FiligreeError(
            f"two points {figure(apart)} pixels apart cannot be {scale.length:g} mm",
            remedy="give two points far apart and the length between them",
            where="--scale",
        )
    y = scale.length / apart
    return y * raster.aspect, y


def _from_page(raster: Raster, sheet: Sheet) -> tuple[float, float, str]:
    columns, rows = raster.size
    x = None if sheet.width is None else sheet.width / columns
    y = None if sheet.height is None else sheet.height / rows
    shape = pixel_shape(raster)
    if x is None and y is not None:
        return y * shape, y, f"--height {sheet.height:g} mm"
    if y is None and x is not None:
        return x, x / shape, f"--width {sheet.width:g} mm"
    if x is None or y is None:
        raise ValueError("a width or a height is needed")
    if abs(x / y / shape - 1) > STRETCH:
        raise FiligreeError(
            f"{sheet.width:g} x {sheet.height:g} mm would stretch a picture of {columns} x {rows} pixels",
            remedy="give only one of --width and --height",
            where=raster.name,
        )
    return x, y, f"--width {sheet.width:g} mm and --height {sheet.height:g} mm"


def pixel_shape(raster: Raster) -> float:
    """Width over height of one pixel, from what the file says."""
    if raster.densities:
        return raster.densities[0].y / raster.densities[0].x
    return raster.aspect


def _from_file(raster: Raster, *, needed: bool) -> tuple[float, float, str]:
    """Mm to a pixel along x and y as the file states it."""
    stated = raster.densities
    if not stated:
        if not needed:
            return raster.aspect / 10, 0.1, ""
        raise FiligreeError("the file does not say its scale", remedy=OFFER, where=raster.name)
    first = stated[0]
    against = "".join(f", against {d.in_words()}" for d in stated[1:] if not agree(first, d))
    return MM_PER_INCH / first.x, MM_PER_INCH / first.y, first.in_words() + against


def disputed(raster: Raster) -> tuple[Skipped, ...]:
    """What else the file says of its scale, against the statement that is used."""
    first = raster.densities[0] if raster.densities else None
    return tuple(
        Skipped(
            what=f"a scale of {other.in_words()}",
            why=f"{first.in_words()} in the same file is used; measure one length, or {OFFER}",
        )
        for other in raster.densities[1:]
        if first is not None and not agree(first, other)
    )
