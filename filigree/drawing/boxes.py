"""Boxes: the exact bounding box of curves (SVG 2, 8.10: without strokes)."""

from xml.etree.ElementTree import Element

import numpy as np

from filigree.drawing.document import Context, Document, Item
from filigree.drawing.shapes import SHAPES, draw_shape
from filigree.drawing.styles import Style
from filigree.drawing.trace import Pen, moved, trace
from filigree.drawing.transform import IDENTITY, Box, Matrix
from filigree.drawing.walk import inner, walk
from filigree.geometry.types import FloatArray


def curve_box(cubics: FloatArray) -> Box | None:
    """Bounding box of cubics, `(m, 4, 2)`; None for none."""
    if not len(cubics):
        return None
    p0, p1, p2, p3 = np.moveaxis(cubics, 1, 0)
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(b * b - 4 * a * c)
        q = -(b + np.where(b >= 0, root, -root)) / 2
        turns = np.stack([q / a, c / q])
    t = np.where(np.isfinite(turns) & (turns > 0) & (turns < 1), turns, 0.0)
    at = (1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t * t * p2 + t**3 * p3
    every = np.concatenate([at.reshape(-1, 2), p0, p3])
    (x, y), (right, low) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    return (x, y, right - x, low - y)


def element_box(document: Document, element: Element, style: Style, context: Context) -> Box | None:
    """Bounding box of an element in its own user space; None when it draws nothing."""
    pen = Pen()
    if element.tag in SHAPES:
        draw_shape(
            element, pen, viewport=context.viewport, font=float(style.get("font-size", "16"))
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
