"""Markers: the small drawings that a shape carries at its vertices (SVG 2, 13.7)."""

import math
from collections.abc import Iterator
from dataclasses import replace
from xml.etree.ElementTree import Element

import numpy as np

from filigree.drawing.coats import stroke_units
from filigree.drawing.document import Clip, Document, Item
from filigree.drawing.numbers import length
from filigree.drawing.styles import Style
from filigree.drawing.trace import Pen, cubics_between
from filigree.drawing.transform import (
    IDENTITY,
    SIDES,
    apply,
    compose,
    fit,
    read_angle,
    read_view_box,
)
from filigree.drawing.walk import inner, walk
from filigree.geometry.types import XY, FloatArray


def markers_of(document: Document, item: Item, pen: Pen) -> Iterator[Item]:
    """List what the markers of one item draw, along it."""
    wanted = {
        place: document.referred(item.style.get(f"marker-{place}", "none"))
        for place in ("start", "mid", "end")
    }
    if not any(marker is not None and marker.tag == "marker" for marker in wanted.values()):
        return
    vertices = _vertices(item, pen)
    for i, (at, turn) in enumerate(vertices):
        place = "start" if i == 0 else "end" if i == len(vertices) - 1 else "mid"
        marker = wanted[place]
        if marker is not None and marker.tag == "marker":
            yield from _marker(document, item, marker, at, turn, pen, first=i == 0)


def _vertices(item: Item, pen: Pen) -> list[tuple[XY, float]]:
    """Each vertex of an item with its direction, radians (SVG 2, 13.7.4)."""
    cubics = cubics_between(pen, *item.pieces)
    firsts = {first - item.pieces[0] for first in pen.firsts[item.runs[0] : item.runs[1]]}
    vertices: list[tuple[XY, float]] = []
    arriving: FloatArray | None = None
    for i, piece in enumerate(cubics):
        leaving = _direction(piece)
        if i in firsts:
            if arriving is not None:
                vertices.append(_vertex(cubics[i - 1, 3], arriving, None))
            vertices.append(_vertex(piece[0], None, leaving))
        elif i + item.pieces[0] not in pen.joints:
            vertices.append(_vertex(piece[0], arriving, leaving))
        arriving = -_direction(piece[::-1])
    if arriving is not None:
        vertices.append(_vertex(cubics[-1, 3], arriving, None))
    return vertices


def _direction(piece: FloatArray) -> FloatArray:
    for point in piece[1:]:
        step = point - piece[0]
        if step.any():
            return np.asarray(step / np.hypot(*step))
    return np.zeros(2)


def _vertex(
    at: FloatArray, arriving: FloatArray | None, leaving: FloatArray | None
) -> tuple[XY, float]:
    both = sum(step for step in (arriving, leaving) if step is not None)
    x, y = np.asarray(both, dtype=np.float64).tolist()
    return (float(at[0]), float(at[1])), math.atan2(y, x)


def _marker(
    document: Document, item: Item, marker: Element, at: XY, turn: float, pen: Pen, *, first: bool
) -> Iterator[Item]:
    view_box = read_view_box(marker.get("viewBox"))
    try:
        wide, high = (
            length(marker.get(name, "3"), whole=whole)
            for name, whole in zip(
                ("markerWidth", "markerHeight"), item.context.viewport, strict=True
            )
        )
        ref = [
            length(SIDES.get(text, text), whole=whole)
            for text, whole in zip(
                (marker.get("refX", "0").strip(), marker.get("refY", "0").strip()),
                view_box[2:] if view_box else (wide, high),
                strict=True,
            )
        ]
        orient = marker.get("orient", "0").strip()
        if orient == "auto-start-reverse" and first:
            turn += math.pi
        elif not orient.startswith("auto"):
            turn = math.radians(read_angle(orient))
    except ValueError:
        document.skip("a marker", "its sizes cannot be read")
        return
    if wide <= 0 or high <= 0:
        return
    cos, sin = math.cos(turn), math.sin(turn)
    matrix = compose(item.matrix, (cos, sin, -sin, cos, *at))
    if marker.get("markerUnits", "strokeWidth").strip() != "userSpaceOnUse":
        width = stroke_units(item)
        matrix = compose(matrix, (width, 0.0, 0.0, width, 0.0, 0.0))
    content = fit(view_box, wide, high, marker.get("preserveAspectRatio")) if view_box else IDENTITY
    x, y = apply(content, (ref[0], ref[1]))
    matrix = compose(compose(matrix, (1.0, 0.0, 0.0, 1.0, -x, -y)), content)
    style = document.style_of(marker)
    context = item.context
    if style.get("overflow", "hidden") not in {"visible", "auto"}:
        box = Clip(view_box or (0.0, 0.0, wide, high), matrix, marker, style)
        context = replace(context, clips=(*context.clips, box))
    visits = inner(marker, matrix, style, context)
    for drawn in walk(document, visits, pen):
        yield replace(drawn, style=_from_context(drawn.style, item.style))


def _from_context(style: Style, outer: Style) -> Style:
    """Put the paints of the shape that carries a marker where the marker asks for them (SVG 2, 13.3)."""
    taken = {
        part: outer.get(style[part][8:], "none")
        for part in ("fill", "stroke")
        if style.get(part) in {"context-fill", "context-stroke"}
    }
    return {**style, **taken} if taken else style
