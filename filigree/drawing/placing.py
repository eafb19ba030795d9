"""Placing: the transform of an element from its style, about the origin it asks for (CSS Transforms 1 and 2)."""

from xml.etree.ElementTree import Element

from filigree.drawing.shapes import SHAPES, draw_shape, with_geometry
from filigree.drawing.styles import Style
from filigree.drawing.trace import Pen, curve_box, trace
from filigree.drawing.transform import (
    IDENTITY,
    Box,
    Matrix,
    about_origin,
    compose,
    read_rotate,
    read_scale,
    read_transform,
    read_translate,
)
from filigree.geometry.types import XY

MOVES = frozenset({"translate", "rotate", "scale", "transform"})


def own_transform(element: Element, style: Style, viewport: XY) -> Matrix:
    """Work out the transform that an element's style asks for.

    Args:
        element: whose box the transform may refer to, where it is a shape.
        style: of the element.
        viewport: width and height that percentages refer to otherwise, user units.

    Raises:
        ValueError: it cannot be read, or refers to the box of what is no shape.
    """
    if MOVES.isdisjoint(style):
        return IDENTITY
    box: Box = (0.0, 0.0, *viewport)
    if style.get("transform-box", "view-box") != "view-box" and _needs_box(style):
        box = _box(element, style, viewport)
    size = box[2:]
    matrix = compose(
        compose(
            read_translate(style.get("translate", ""), size), read_rotate(style.get("rotate", ""))
        ),
        compose(
            read_scale(style.get("scale", "")), read_transform(style.get("transform", ""), size)
        ),
    )
    return about_origin(matrix, style.get("transform-origin", "0 0"), box)


def _needs_box(style: Style) -> bool:
    """Say whether the box matters: not for a plain move."""
    return "transform-origin" in style or any(
        "%" in style.get(name, "") for name in ("translate", "transform")
    )


def _box(element: Element, style: Style, viewport: XY) -> Box:
    if element.tag not in SHAPES:
        raise ValueError("it hangs on the box of a group")
    pen = Pen()
    font = float(style.get("font-size", "16") or 16)
    draw_shape(with_geometry(element, style), pen, viewport=viewport, font=font)
    return curve_box(trace(pen).cubics) or (0.0, 0.0, 0.0, 0.0)
