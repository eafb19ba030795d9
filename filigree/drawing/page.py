"""Page: how large the drawing's sheet is, and where that was taken from."""

import math
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from filigree.drawing.numbers import MM_PER_PX, UNITS, split_length
from filigree.drawing.transform import Box, Matrix, compose, fit, read_view_box
from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import Sheet
from filigree.units import figure

SMALLEST, LARGEST = 1.0, 5000.0  # mm
SAME_SHAPE = 0.005  # share by which two wished sizes may differ from the page's shape
DOUBT = "set --width or --height if it was drawn at 72 or 90 to the inch"


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """The sheet, and how user units lie on it.

    Attributes:
        width: mm.
        height: mm.
        matrix: from the user units of the outermost svg to mm.
        px: a CSS px, mm.
        viewport: width and height that percentages refer to, user units.
        scale_from: where the size was taken from, in words.
    """

    width: float
    height: float
    matrix: Matrix
    px: float
    viewport: XY
    scale_from: str


def needs_extent(root: Element) -> bool:
    """Say whether the size of the sheet must be taken from what is drawn on it."""
    known = _size(root, "width")[0] is not None and _size(root, "height")[0] is not None
    return not known and read_view_box(root.get("viewBox")) is None


def read_page(root: Element, sheet: Sheet, name: str, *, extent: Box | None = None) -> Page:
    """Work out the sheet from width, height and viewBox, and from what the maker wishes.

    Args:
        root: the outermost svg element.
        sheet: wished width or height of the page; wishes for the art are not looked at.
        name: what to call the drawing in messages.
        extent: box of all that is drawn, user units, where `needs_extent`.

    Raises:
        FiligreeError: the sheet is not between 1 mm and 5 m, or two wishes contradict each other.
    """
    view_box = read_view_box(root.get("viewBox"))
    (wide, wide_unit), (high, high_unit) = _size(root, "width"), _size(root, "height")
    source, origin = "width and height", (0.0, 0.0)
    if view_box:
        shape = view_box[3] / view_box[2]
        source = (
            "width, height and viewBox"
            if wide and high
            else "width and viewBox"
            if wide
            else "height and viewBox"
        )
        if wide is None and high is None:
            wide, wide_unit, source = view_box[2], "", "viewBox alone"
        wide = wide if wide is not None else (high or 0.0) / shape
        high = high if high is not None else wide * shape
    elif wide is None or high is None:
        x, y, extent_wide, extent_high = extent or (0.0, 0.0, 0.0, 0.0)
        origin = (min(0.0, x), min(0.0, y))
        wide = wide if wide is not None else x + extent_wide - origin[0]
        high = high if high is not None else y + extent_high - origin[1]
        source = "what is drawn, as the drawing states no size"
    matrix = (
        fit(view_box, wide, high, root.get("preserveAspectRatio"))
        if view_box
        else (1, 0, 0, 1, -origin[0], -origin[1])
    )
    width, height = wide * MM_PER_PX, high * MM_PER_PX
    unit = wide_unit or high_unit
    if unit in {"", "px"}:
        words = "without a unit" if unit == "" else "in px"
        scale_from = f"{source} {words}: one unit taken as 1/96 in, which nothing confirms; {DOUBT}"
    else:
        scale_from = f"{source} in {unit}"
    factor, wished = _wished(sheet, width, height, name)
    _check(width * factor, height * factor, name)
    scale = MM_PER_PX * factor
    return Page(
        width=width * factor,
        height=height * factor,
        matrix=compose((scale, 0.0, 0.0, scale, 0.0, 0.0), matrix),
        px=scale,
        viewport=(view_box[2], view_box[3]) if view_box else (wide, high),
        scale_from=wished or scale_from,
    )


def scaled(page: Page, factor: float, scale_from: str, name: str) -> Page:
    """Enlarge a page with all that is on it.

    Raises:
        FiligreeError: the sheet is then not between 1 mm and 5 m.
    """
    _check(page.width * factor, page.height * factor, name)
    return Page(
        width=page.width * factor,
        height=page.height * factor,
        matrix=compose((factor, 0.0, 0.0, factor, 0.0, 0.0), page.matrix),
        px=page.px * factor,
        viewport=page.viewport,
        scale_from=scale_from,
    )


def art_factor(sheet: Sheet, wide: float, high: float, name: str) -> tuple[float, str]:
    """Factor that gives art of this extent (mm) the size wished for, and what to say of it."""
    wish = Sheet(width=sheet.art_width, height=sheet.art_height)
    factor, words = _wished(wish, wide, high, name)
    return factor, words.replace("--", "--art-")


def _size(root: Element, name: str) -> tuple[float | None, str]:
    """Stated size in px with its unit; None when there is none, or it is a share of the unknown."""
    try:
        value, unit = split_length(root.get(name, ""))
    except ValueError:
        return None, ""
    if unit not in UNITS or not value > 0:
        return None, ""
    return value * UNITS[unit], unit


def _wished(sheet: Sheet, width: float, height: float, name: str) -> tuple[float, str]:
    wishes = [("--width", sheet.width, width), ("--height", sheet.height, height)]
    factors = [
        (word, wish / size, wish) for word, wish, size in wishes if wish is not None and size > 0
    ]
    if not factors:
        return 1.0, ""
    if len(factors) == 2 and abs(factors[0][1] / factors[1][1] - 1) > SAME_SHAPE:
        raise FiligreeError(
            f"{factors[0][2]:g} x {factors[1][2]:g} mm would stretch a drawing of {figure(width)} x {figure(height)} mm",
            remedy="give only one of width and height",
            where=name,
        )
    words = " and ".join(f"{word} {wish:g} mm" for word, _, wish in factors)
    return factors[0][1], words


def _check(width: float, height: float, name: str) -> None:
    sizes = (width, height)
    if not all(map(math.isfinite, sizes)) or min(sizes) < SMALLEST or max(sizes) > LARGEST:
        raise FiligreeError(
            f"the sheet would be {figure(width)} x {figure(height)} mm, outside 1 mm to 5 m",
            remedy="set its size with --width or --height",
            where=name,
        )
