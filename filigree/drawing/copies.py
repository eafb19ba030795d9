"""Copies: what pattern paints and markers draw, as further items beside the shape they belong to."""

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Literal
from xml.etree.ElementTree import Element

from filigree.drawing.coats import stroke_units
from filigree.drawing.document import Clip, Document, Item
from filigree.drawing.markers import markers_of
from filigree.drawing.numbers import length
from filigree.drawing.trace import Pen, cubics_between, curve_box
from filigree.drawing.transform import (
    IDENTITY,
    Box,
    Matrix,
    apply,
    compose,
    fit,
    inverse,
    read_transform,
    read_view_box,
)
from filigree.drawing.walk import inner, share, walk
from filigree.geometry.types import XY

PARTS: tuple[Literal["fill", "stroke"], ...] = ("fill", "stroke")
MOST_TILES = 4_000  # of one pattern paint
DEEPEST_PATTERNS = 3
LONGEST_CHAIN = 32
MITRE = 2.0  # widths of a stroke that a corner may stand out from its middle, at the usual limit


def with_copies(
    document: Document, items: Iterator[Item], pen: Pen, depth: int = 0
) -> Iterator[Item]:
    """List items with their pattern paint before and their markers after them."""
    for item in items:
        for part in PARTS:
            pattern = document.referred(item.style.get(part, ""))
            if pattern is not None and pattern.tag == "pattern":
                yield from _pattern(document, item, pattern, part, pen, depth)
        yield item
        if depth == 0:
            yield from markers_of(document, item, pen)


def _pattern(
    document: Document,
    item: Item,
    pattern: Element,
    part: Literal["fill", "stroke"],
    pen: Pen,
    depth: int,
) -> Iterator[Item]:
    box = curve_box(cubics_between(pen, *item.pieces))
    name = item.style[part].strip()
    chain = _chain(document, pattern)
    holder = next((link for link in chain if len(link)), None)
    width = stroke_units(item) if part == "stroke" else 0.0
    if box is None or holder is None or (part == "stroke" and width <= 0):
        return
    tile, content, matrix = _tile(chain, box, item)
    if tile is None or depth >= DEEPEST_PATTERNS:
        document.skip(
            f"pattern {name}", "its tile has no size, or patterns lie within one another too deep"
        )
        return
    reach = MITRE * width
    painted = (box[0] - reach, box[1] - reach, box[2] + 2 * reach, box[3] + 2 * reach)
    places = _places(tile, painted, matrix)
    if len(places) > MOST_TILES:
        document.skip(f"pattern {name}", f"it would be drawn more than {MOST_TILES:,} times")
        return
    style = document.style_of(holder)
    outer = compose(item.matrix, matrix)
    opacity = item.context.opacity * share(item.style.get(f"{part}-opacity", "1"))
    for x, y in places:
        shifted = compose(outer, (1.0, 0.0, 0.0, 1.0, x, y))
        clips = (
            *item.context.clips,
            Clip(item, item.matrix, item.element, item.style, part),
            Clip((0.0, 0.0, tile[2], tile[3]), shifted, pattern, style),
        )
        context = replace(item.context, clips=clips, opacity=opacity)
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
    content = IDENTITY  # the corner of a tile is where its content is measured from
    if view_box:
        content = fit(view_box, wide, high, get("preserveAspectRatio"))
    elif get("patternContentUnits") == "objectBoundingBox":
        content = (box[2], 0.0, 0.0, box[3], 0.0, 0.0)
    return (x, y, wide, high), content, matrix


def _places(tile: Box, box: Box, matrix: Matrix) -> list[XY]:
    """Top left corners of the tiles that cover a box, pattern space; cut off past the limit."""
    back = inverse(matrix)
    if back is None:
        return []
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
