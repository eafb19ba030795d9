"""Copies: what markers and pattern paints draw, as further items beside the shape they belong to."""

import math
from collections.abc import Iterator
from dataclasses import replace
from xml.etree.ElementTree import Element

import numpy as np

from filigree.drawing.boxes import box_matrix, curve_box
from filigree.drawing.coats import stroke_units
from filigree.drawing.document import Clip, Document, Item
from filigree.drawing.numbers import length
from filigree.drawing.styles import INITIAL, Style, styled
from filigree.drawing.trace import Pen
from filigree.drawing.transform import (
    IDENTITY,
    Box,
    Matrix,
    apply,
    compose,
    fit,
    read_transform,
    read_view_box,
)
from filigree.drawing.walk import inner, walk
from filigree.geometry.types import XY, FloatArray

MOST_TILES = 4_000  # of one pattern paint
DEEPEST_PATTERNS = 3
LONGEST_CHAIN = 32
# SVG 1.1; SVG 2 means all shapes, but browsers and editors draw no markers on the others
MARKED = frozenset({"path", "line", "polyline", "polygon"})


def with_copies(
    document: Document, items: Iterator[Item], pen: Pen, depth: int = 0
) -> Iterator[Item]:
    """List items with their pattern paint before and their markers after them."""
    for item in items:
        for part in ("fill", "stroke"):
            pattern = document.referred(item.style.get(part, ""))
            if pattern is not None and pattern.tag == "pattern":
                yield from _pattern(document, item, pattern, part, pen, depth)
        yield item
        if item.element.tag in MARKED and depth == 0:
            yield from _markers(document, item, pen)


def _cubics(item: Item, pen: Pen) -> FloatArray:
    """Pieces of one item, user units; inner points of straight ones on the start."""
    first, last = item.pieces
    cubics = np.array(pen.numbers[first * 8 : last * 8]).reshape(-1, 4, 2)
    straight = np.array(pen.straight[first:last], dtype=bool)
    cubics[straight, 1] = cubics[straight, 0]
    cubics[straight, 2] = cubics[straight, 3]
    return cubics


def _pattern(
    document: Document, item: Item, pattern: Element, part: str, pen: Pen, depth: int
) -> Iterator[Item]:
    box = curve_box(_cubics(item, pen))
    name = item.style[part].strip()
    chain = _chain(document, pattern)
    holder = next((link for link in chain if len(link)), None)
    if part == "stroke":
        document.skip(
            f"pattern {name} of a stroke", "a stroke painted with a pattern is read without it"
        )
        return
    if box is None or holder is None or box[2] <= 0 or box[3] <= 0:
        return
    tile, content, matrix = _tile(chain, box, item)
    if tile is None or depth >= DEEPEST_PATTERNS:
        document.skip(
            f"pattern {name}", "its tile has no size, or patterns lie within one another too deep"
        )
        return
    places = _places(tile, box, matrix)
    if len(places) > MOST_TILES:
        document.skip(f"pattern {name}", f"it would be drawn more than {MOST_TILES:,} times")
        return
    style = styled(holder, INITIAL, document.sheets)
    outer = compose(item.matrix, matrix)
    for x, y in places:
        shifted = compose(outer, (1.0, 0.0, 0.0, 1.0, x, y))
        clips = (
            *item.context.clips,
            Clip(item, item.matrix, item.element, item.style),
            Clip((0.0, 0.0, tile[2], tile[3]), shifted, pattern, style),
        )
        context = replace(item.context, clips=clips)
        visits = inner(holder, compose(shifted, content), style, context)
        yield from with_copies(document, walk(document, visits, pen), pen, depth + 1)


def _chain(document: Document, pattern: Element) -> list[Element]:
    """A pattern and those it refers to."""
    chain = [pattern]
    while len(chain) < LONGEST_CHAIN:
        after = document.ids.get(chain[-1].get("href", "")[1:])
        if after is None or after.tag != "pattern" or after in chain:
            break
        chain.append(after)
    return chain


def _tile(chain: list[Element], box: Box, item: Item) -> tuple[Box | None, Matrix, Matrix]:
    """Tile in pattern space, transform of its content, and transform of the pattern."""

    def get(name: str, default: str = "") -> str:
        return next((link.attrib[name] for link in chain if name in link.attrib), default)

    by_box = get("patternUnits", "objectBoundingBox") == "objectBoundingBox"
    whole = (1.0, 1.0, 1.0, 1.0) if by_box else (*item.context.viewport, *item.context.viewport)
    try:
        x, y, wide, high = (
            length(get(name, "0"), whole=size)
            for name, size in zip(("x", "y", "width", "height"), whole, strict=True)
        )
        matrix = read_transform(get("patternTransform"))
    except ValueError:
        return None, IDENTITY, IDENTITY
    if by_box:
        x, y, wide, high = box[0] + x * box[2], box[1] + y * box[3], wide * box[2], high * box[3]
    if wide <= 0 or high <= 0 or matrix[0] * matrix[3] == matrix[1] * matrix[2]:
        return None, IDENTITY, IDENTITY
    view_box = read_view_box(get("viewBox"))
    content: Matrix = (1.0, 0.0, 0.0, 1.0, -x, -y)
    if view_box:
        content = fit(view_box, wide, high, get("preserveAspectRatio"))
    elif get("patternContentUnits") == "objectBoundingBox":
        content = compose(content, box_matrix(box))
    return (x, y, wide, high), content, matrix


def _places(tile: Box, box: Box, matrix: Matrix) -> list[XY]:
    """Top left corners of the tiles that cover a box, pattern space; cut off past the limit."""
    a, b, c, d, e, f = matrix
    size = a * d - b * c
    back: Matrix = (
        d / size,
        -b / size,
        -c / size,
        a / size,
        (c * f - d * e) / size,
        (b * e - a * f) / size,
    )
    corners = [
        apply(back, (box[0] + i * box[2], box[1] + j * box[3])) for i in (0, 1) for j in (0, 1)
    ]
    x, y, wide, high = tile
    columns = [(corner[0] - x) / wide for corner in corners]
    rows = [(corner[1] - y) / high for corner in corners]
    across = range(math.floor(min(columns)), math.ceil(max(columns)))
    down = range(math.floor(min(rows)), math.ceil(max(rows)))
    if len(across) * len(down) > MOST_TILES:
        return [(x, y)] * (MOST_TILES + 1)
    return [(x + i * wide, y + j * high) for j in down for i in across]


def _markers(document: Document, item: Item, pen: Pen) -> Iterator[Item]:
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
    cubics = _cubics(item, pen)
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
    try:
        wide, high = length(marker.get("markerWidth", "3")), length(marker.get("markerHeight", "3"))
        ref = (length(marker.get("refX", "0")), length(marker.get("refY", "0")))
        orient = marker.get("orient", "0")
        if orient == "auto-start-reverse" and first:
            turn += math.pi
        elif not orient.startswith("auto"):
            turn = math.radians(float(orient.removesuffix("deg")))
    except ValueError:
        document.skip("a marker", "its sizes cannot be read")
        return
    if wide <= 0 or high <= 0:
        return
    cos, sin = math.cos(turn), math.sin(turn)
    matrix = compose(item.matrix, (cos, sin, -sin, cos, *at))
    if marker.get("markerUnits", "strokeWidth") == "strokeWidth":
        width = stroke_units(item)
        matrix = compose(matrix, (width, 0.0, 0.0, width, 0.0, 0.0))
    view_box = read_view_box(marker.get("viewBox"))
    content = fit(view_box, wide, high, marker.get("preserveAspectRatio")) if view_box else IDENTITY
    x, y = apply(content, ref)
    matrix = compose(matrix, (1.0, 0.0, 0.0, 1.0, -x, -y))
    style = styled(marker, INITIAL, document.sheets)
    context = item.context
    if style.get("overflow", "hidden") not in {"visible", "auto"}:
        box = Clip((0.0, 0.0, wide, high), matrix, marker, style)
        context = replace(context, clips=(*context.clips, box))
    visits = inner(marker, compose(matrix, content), style, context)
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
