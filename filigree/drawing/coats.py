"""Coats: every fill and stroke in the order it is painted, and whether the eye takes it for ink or paper."""

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from filigree.drawing.document import REFERENCE, Document, Item
from filigree.drawing.gradients import Gradient
from filigree.drawing.numbers import length
from filigree.drawing.paints import RGB, Paint, hex_of, luma, read_colour
from filigree.drawing.shades import Shade, ends_at_once, spans_by_tone
from filigree.drawing.styles import DARKENS, Style
from filigree.drawing.transform import mean_scale
from filigree.drawing.walk import share

Tone = Literal["ink", "paper", "mark", "none"]
INK_AND_PAPER: tuple[Tone, Tone] = ("ink", "paper")
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
        gradient: that paints it, its opacity counted in; None for a flat colour.
        shade: the part of the gradient in this tone; None when it is all of it.
    """

    item: Item
    part: Literal["fill", "stroke"]
    paint: Paint
    tone: Tone
    width: float = 0.0
    gradient: Gradient | None = None
    shade: Shade | None = None


def coats_of(
    document: Document, items: Sequence[Item], *, threshold: float = THRESHOLD
) -> list[Coat]:
    """List what is painted, in order, with its tone; grey and clear colours are marks.

    Args:
        document: for gradients.
        items: in painting order.
        threshold: lightness under which paint is ink, 0 to 1.
    """
    coats = painted_coats(document, items)
    limit = _limit(coats, threshold)
    return [
        replace(coat, tone="mark") if coat.part == "fill" and coat.item.context.says else coat
        for coat in _marked(toned(coats, lambda paint: _tone(paint, limit)))
    ]


def painted_coats(document: Document, items: Sequence[Item]) -> list[Coat]:
    """List what is painted, in order, whatever its tone."""
    coats = []
    for item in items:
        parts = [_fill(document, item), _stroke(document, item)]
        order = [word for word in item.style.get("paint-order", "").split() if word != "markers"]
        if order[:1] == ["stroke"]:
            parts.reverse()
        coats += [coat for coat in parts if coat is not None]
    return coats


def toned(coats: Sequence[Coat], tone: Callable[[Paint], Tone]) -> list[Coat]:
    """Give each coat its tone; one whose gradient has several becomes a coat for each."""
    found: list[Coat] = []
    for coat in coats:
        spans = (
            spans_by_tone(coat.gradient, tone)
            if coat.gradient and not _is_clear(coat.paint.on_white)
            else {}
        )
        if coat.gradient is None or len(spans) < 2:
            found.append(replace(coat, tone=_blended(tone(coat.paint), coat.item)))
            continue
        for kind in INK_AND_PAPER:
            if kind in spans:
                shade = Shade(coat.gradient, spans[kind])
                found.append(
                    replace(
                        coat,
                        tone=_blended(kind, coat.item),
                        paint=coat.gradient.mean_of(shade.spans),
                        shade=shade,
                    )
                )
    return found


def _blended(tone: Tone, item: Item) -> Tone:
    """White that is multiplied with what lies below leaves no trace."""
    return "none" if tone == "paper" and item.style.get("mix-blend-mode") in DARKENS else tone


def _fill(document: Document, item: Item) -> Coat | None:
    if item.element.tag == "line":
        return None
    return _coat(document, item, "fill", 0.0)


def _stroke(document: Document, item: Item) -> Coat | None:
    if item.style.get("stroke", "none") == "none":
        return None
    width = stroke_width(item)
    return _coat(document, item, "stroke", width) if width > 0 else None


def _coat(
    document: Document, item: Item, part: Literal["fill", "stroke"], width: float
) -> Coat | None:
    paint = paint_of(document, item.style, part)
    if paint is None:
        return None
    opacity = item.context.opacity
    if isinstance(paint, Paint):
        return Coat(item, part, paint.faded(opacity), "none", width)
    gradient = paint.faded(opacity)
    return Coat(item, part, gradient.mean, "none", width, gradient)


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


def paint_of(document: Document, style: Style, part: str) -> Paint | Gradient | None:
    """Colour or gradient of a fill or stroke; None when nothing is painted."""
    text = style.get(part) or ("black" if part == "fill" else "none")
    current = style.get("color", "black") or "black"
    if text == "none":
        return None
    found = REFERENCE.match(text)
    paint: Paint | Gradient | None
    if found:
        server = document.ids.get(found[1])
        if server is not None and server.tag in {"linearGradient", "radialGradient"}:
            paint = document.gradient(server)
            if paint is not None and ends_at_once(paint):
                paint = paint.paints[-1]
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
    darkest = min((luma(paint.on_white) for coat in coats for paint in _colours(coat)), default=0.0)
    if threshold <= darkest < PALE:
        return (darkest + 1) / 2
    return threshold


def _colours(coat: Coat) -> Sequence[Paint]:
    return coat.gradient.paints if coat.gradient else (coat.paint,)


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
        and coat.shade is None
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
    return _is_clear(colour) or GREY[0] <= luma(colour) <= GREY[1]


def _is_clear(colour: RGB) -> bool:
    return max(colour) - min(colour) >= CLEAR


def _near(colour: RGB, others: Sequence[RGB]) -> bool:
    return any(
        max(abs(a - b) for a, b in zip(colour, other, strict=True)) < NEAR for other in others
    )
