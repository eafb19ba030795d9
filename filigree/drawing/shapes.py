"""Basic shapes of SVG, drawn with a pen (SVG 2, chapter 10)."""

import math
import re
from xml.etree.ElementTree import Element

import numpy as np

from filigree.drawing.numbers import NUMBER, length
from filigree.drawing.pathdata import draw_path
from filigree.drawing.styles import GEOMETRY, Style
from filigree.drawing.trace import Pen
from filigree.geometry.arcs import arc_cubics, ellipse_cubics
from filigree.geometry.types import XY

SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
PATH = re.compile(r"""path\(\s*(["'])(.*)\1\s*\)""", re.DOTALL | re.IGNORECASE)
QUARTERS = 4  # vertices of an ellipse


def with_geometry(element: Element, style: Style) -> Element:
    """Give a shape the places and sizes that its style has (SVG 2, 7.4); the same element where it has none."""
    if GEOMETRY.isdisjoint(style):
        return element
    written = {name: style[name] for name in GEOMETRY if style.get(name)}
    if "d" in written:
        path = PATH.fullmatch(written["d"])
        written["d"] = path[2] if path else "" if written["d"] == "none" else element.get("d", "")
    return Element(element.tag, {**element.attrib, **written})


def draw_shape(element: Element, pen: Pen, *, viewport: XY, font: float) -> str:
    """Draw one shape in its own user units.

    Args:
        element: one of `SHAPES`.
        pen: draws it.
        viewport: width and height that percentages refer to, px.
        font: size of the font, px.

    Returns:
        What is wrong with it, in words; "" when all of it was drawn.
    """
    kind = str(element.tag)
    if kind == "path":
        return draw_path(element.get("d", ""), pen)
    if kind in {"polyline", "polygon"}:
        return _points(element, pen, closed=kind == "polygon")
    try:
        measure = _Measure(element, viewport, font)
        if kind == "line":
            start = (measure("x1"), measure("y1"))
            end = (measure("x2"), measure("y2"))
            pen.move(start)
            pen.line(end)
        elif kind == "rect":
            _rectangle(measure, pen)
        else:
            _ellipse(measure, pen, round_=kind == "circle")
    except ValueError as error:
        return str(error)
    return ""


class _Measure:
    """Reads the lengths of one element."""

    def __init__(self, element: Element, viewport: XY, font: float) -> None:
        self.element, self.font = element, font
        wide, high = viewport
        diagonal = math.hypot(wide, high) / math.sqrt(2)
        self.whole = {"x": wide, "w": wide, "y": high, "h": high, "r": diagonal}

    def __call__(self, name: str, default: float = 0.0) -> float:
        text = self.element.get(name)
        if text is None or text.strip() == "auto":
            return default
        axis = name[-1] if name in {"cx", "cy", "rx", "ry"} else name[0]
        value = length(text, whole=self.whole[axis], font=self.font)
        if not math.isfinite(value):
            raise ValueError(f"{name} is not finite")
        return value


def _points(element: Element, pen: Pen, *, closed: bool) -> str:
    text = element.get("points", "")
    numbers = [float(number) for number in NUMBER.findall(text)]
    if not all(map(math.isfinite, numbers)):
        return "a number is not finite"
    points = list(zip(numbers[::2], numbers[1::2], strict=False))
    if points:
        pen.move(points[0])
        for point in points[1:]:
            pen.line(point)
        if closed:
            pen.close(points[0])
    return "points with one number left over" if len(numbers) % 2 else ""


def _rectangle(measure: _Measure, pen: Pen) -> None:
    x, y, wide, high = measure("x"), measure("y"), measure("width"), measure("height")
    if wide <= 0 or high <= 0:
        return
    rx, ry = measure("rx", -1.0), measure("ry", -1.0)
    rx, ry = (rx if rx >= 0 else max(ry, 0.0)), (ry if ry >= 0 else max(rx, 0.0))
    rx, ry = min(rx, wide / 2), min(ry, high / 2)
    right, low = x + wide, y + high
    if rx <= 0 or ry <= 0:
        pen.move((x, y))
        for corner in ((right, y), (right, low), (x, low)):
            pen.line(corner)
        pen.close((x, y))
        return
    sides = [
        ((x + rx, y), (right - rx, y), (right, y + ry)),
        ((right, y + ry), (right, low - ry), (right - rx, low)),
        ((right - rx, low), (x + rx, low), (x, low - ry)),
        ((x, low - ry), (x, y + ry), (x + rx, y)),
    ]
    pen.move(sides[0][0])
    for start, end, after in sides:
        if start != end:
            pen.line(end)
        pen.arc(arc_cubics(end, rx=rx, ry=ry, rotation=0, large=False, sweep=True, end=after))
    pen.close(sides[0][0])


def _ellipse(measure: _Measure, pen: Pen, *, round_: bool) -> None:
    rx = measure("r") if round_ else measure("rx", -1.0)
    ry = rx if round_ else measure("ry", -1.0)
    rx, ry = (rx if rx >= 0 else ry), (ry if ry >= 0 else rx)
    if rx <= 0 or ry <= 0:
        return
    cubics = ellipse_cubics((measure("cx"), measure("cy")), rx, ry)
    start = (float(cubics[0, 0, 0]), float(cubics[0, 0, 1]))
    pen.move(start)
    for quarter in np.split(cubics, QUARTERS):
        pen.arc(quarter)
    pen.close(start)
