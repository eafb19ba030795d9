"""Coats: every fill and stroke in the order it is painted, and whether the eye takes it for ink or paper."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from filigree.drawing.document import REFERENCE, Document, Item
from filigree.drawing.numbers import length
from filigree.drawing.paints import RGB, Paint, gradient_mean, hex_of, luma, read_colour
from filigree.drawing.styles import Style
from filigree.drawing.transform import mean_scale
from filigree.drawing.walk import share

Tone = Literal["ink", "paper", "mark", "none"]
THRESHOLD = 0.5  # lightness under which paint on white paper is ink
OPAQUE = 0.5  # opacity from which light paint hides what lies under it
CLEAR = 0.25  # difference of the channels from which a colour is clear, not grey
GREY = (0.4, 0.9)  # lightness of a grey that marks
NEAR = 0.12  # channels this near are one colour
PALE = 0.92  # paint lighter than this is never ink
WIDEST = 1e7  # mm and user units: a wider stroke covers every sheet no more than this one
MOST_COLOURS = 8  # a drawing with more colours is a picture, its colours no marks


@dataclass(frozen=True, slots=True, eq=False)
class Coat:
    """One fill or stroke.

    Attributes:
        item: the shape painted.
        part: which of its two paints.
        paint: colour and opacity, groups counted in.
        tone: what the eye takes it for.
        width: of the stroke, mm; 0 for a fill.
    """

    item: Item
    part: Literal["fill", "stroke"]
    paint: Paint
    tone: Tone
    width: float = 0.0


def coats_of(
    document: Document, items: Sequence[Item], *, threshold: float = THRESHOLD, marked: bool = True
) -> list[Coat]:
    """List what is painted, in order, with its tone.

    Args:
        document: for gradients.
        items: in painting order.
        threshold: lightness under which paint is ink, 0 to 1.
        marked: whether grey and clear colours are marks.
    """
    coats = []
    for item in items:
        parts = [_fill(document, item), _stroke(document, item)]
        if item.style.get("paint-order", "normal").split()[0] == "stroke":
            parts.reverse()
        coats += [coat for coat in parts if coat is not None]
    limit = _limit(coats, threshold)
    toned = [replace(coat, tone=_tone(coat.paint, limit)) for coat in coats]
    if not marked:
        return toned
    return [
        replace(coat, tone="mark") if coat.part == "fill" and coat.item.context.says else coat
        for coat in _marked(toned)
    ]


def _fill(document: Document, item: Item) -> Coat | None:
    paint = paint_of(document, item.style, "fill")
    return (
        Coat(item, "fill", paint.faded(item.context.opacity), "none")
        if paint and item.element.tag != "line"
        else None
    )


def _stroke(document: Document, item: Item) -> Coat | None:
    paint = paint_of(document, item.style, "stroke")
    width = stroke_width(item) if paint else 0.0
    if not paint or width <= 0:
        return None
    return Coat(item, "stroke", paint.faded(item.context.opacity), "none", width)


def stroke_width(item: Item) -> float:
    """Width of an item's stroke, mm; its mean where the transform stretches it."""
    width = stroke_units(item)
    if item.style.get("vector-effect") == "non-scaling-stroke":
        return width * item.context.px
    return min(width * mean_scale(item.matrix), WIDEST)


def stroke_units(item: Item) -> float:
    """Width of an item's stroke in its user units; 0 when it has none."""
    wide, high = item.context.viewport
    try:
        units = length(
            item.style.get("stroke-width", "1"),
            whole=math.hypot(wide, high) / math.sqrt(2),
            font=float(item.style.get("font-size", "16")),
        )
    except ValueError:
        return 1.0
    return min(units, WIDEST)


def paint_of(document: Document, style: Style, part: str) -> Paint | None:
    """Flat colour of a fill or stroke, a gradient by its mean; None when nothing is painted."""
    text = style.get(part) or ("black" if part == "fill" else "none")
    current = style.get("color", "black") or "black"
    if text == "none":
        return None
    found = REFERENCE.match(text)
    if found:
        server = document.ids.get(found[1])
        if server is not None and server.tag in {"linearGradient", "radialGradient"}:
            paint = gradient_mean(server, document.ids, document.sheets, style)
        elif server is not None and server.tag == "pattern":
            paint = None
        else:
            paint = read_colour(text[found.end() :].strip() or "none", current)
    else:
        paint = read_colour(text, current)
    if paint is None:
        return None
    return paint.faded(share(style.get(f"{part}-opacity", "1")))


def _tone(paint: Paint, threshold: float) -> Tone:
    """Ink, paper or nothing seen, on white paper."""
    if luma(paint.on_white) < threshold:
        return "ink"
    return "paper" if paint.alpha >= OPAQUE and paint.lightness >= threshold else "none"


def _limit(coats: Sequence[Coat], threshold: float) -> float:
    """Threshold for this drawing: where nothing is dark, halfway from its darkest paint to white."""
    darkest = min((luma(coat.paint.on_white) for coat in coats), default=0.0)
    if threshold <= darkest < PALE:
        return (darkest + 1) / 2
    return threshold


def _marked(coats: list[Coat]) -> list[Coat]:
    """Turn fills in grey or a clear colour, other than the lines', into marks."""
    inks = Counter(
        coat.paint.on_white for coat in coats if coat.tone == "ink" and coat.part == "stroke"
    )
    darkest = min(
        (coat for coat in coats if coat.tone == "ink"),
        key=lambda c: luma(c.paint.on_white),
        default=None,
    )
    lines = [*inks, *([darkest.paint.on_white] if darkest else [])]
    solid = any(
        coat.tone == "ink" and coat.part == "fill" and _near(coat.paint.on_white, lines)
        for coat in coats
    )
    marks = [
        coat.part == "fill"
        and not coat.item.context.says
        and stands_out(coat.paint.on_white)
        and not _near(coat.paint.on_white, lines)
        and not (solid and coat.tone == "ink")
        for coat in coats
    ]
    if (
        len({hex_of(c.paint.on_white) for c, mark in zip(coats, marks, strict=True) if mark})
        > MOST_COLOURS
    ):
        return coats
    return [
        replace(coat, tone="mark") if mark else coat
        for coat, mark in zip(coats, marks, strict=True)
    ]


def stands_out(colour: RGB) -> bool:
    """Say whether a fill of this colour is a mark: a clear colour or a grey."""
    if max(colour) - min(colour) >= CLEAR:
        return True
    return GREY[0] <= luma(colour) <= GREY[1]


def _near(colour: RGB, others: Sequence[RGB]) -> bool:
    return any(
        max(abs(a - b) for a, b in zip(colour, other, strict=True)) < NEAR for other in others
    )
