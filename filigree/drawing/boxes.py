"""Boxes: the exact bounding box of elements (SVG 2, 8.10: without strokes)."""

from xml.etree.ElementTree import Element

import numpy as np

from filigree.drawing.document import Context, Document, Item
from filigree.drawing.shapes import SHAPES, draw_shape, with_geometry
from filigree.drawing.styles import Style
from filigree.drawing.trace import Pen, curve_box, moved, trace
from filigree.drawing.transform import IDENTITY, Box, Matrix
from filigree.drawing.walk import inner, walk


def element_box(document: Document, element: Element, style: Style, context: Context) -> Box | None:
    """Bounding box of an element in its own user space; None when it draws nothing."""
    pen = Pen()
    if element.tag in SHAPES:
        draw_shape(
            with_geometry(element, style),
            pen,
            viewport=context.viewport,
            font=float(style.get("font-size", "16")),
        )
        return curve_box(trace(pen).cubics)
    items = list(
        walk(
            document,
            inner(element, IDENTITY, style, Context(viewport=context.viewport, px=context.px)),
            pen,
        )
    )
    return items_box(items, pen)


def items_box(items: list[Item], pen: Pen) -> Box | None:
    """Bounding box of all items of one pen."""
    cubics = trace(pen).cubics
    return curve_box(
        np.concatenate(
            [moved(cubics[slice(*item.pieces)], np.array(item.matrix)) for item in items]
            or [cubics]
        )
    )


def box_matrix(box: Box) -> Matrix:
    """From the unit square to a box."""
    return (box[2], 0.0, 0.0, box[3], box[0], box[1])
