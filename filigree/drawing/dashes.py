"""Dashes: a stroke broken into the pieces that are drawn (SVG 2, 13.5.6)."""

import math
from collections.abc import Sequence

import numpy as np

from filigree.drawing.coats import Coat, stroke_units
from filigree.drawing.document import Item
from filigree.drawing.numbers import length
from filigree.geometry.types import FloatArray

MOST_DASHES = 100_000
LONGEST = 1e7  # user units
COVERED = {"round": 0.8, "square": 1.0}  # of the width: a gap that caps of this kind close


def dash_pattern(
    item: Item, lines: Sequence[FloatArray], scale: float
) -> tuple[list[float], float]:
    """Dash lengths of an item and their offset, as long as they are drawn; none when its stroke is whole.

    Caps that reach over every gap make it whole: dots that run together are a line.

    Args:
        item: with the style.
        lines: its subpaths, for a length of the whole that is stated (SVG 2, 9.6.1).
        scale: units of `lines` in a user unit.
    """
    text = item.style.get("stroke-dasharray", "none")
    if text in {"none", ""}:
        return [], 0.0
    wide, high = item.context.viewport
    whole = math.hypot(wide, high) / math.sqrt(2)
    font = float(item.style.get("font-size", "16") or 16)
    try:
        dashes = [length(part, whole=whole, font=font) for part in text.replace(",", " ").split()]
        offset = length(item.style.get("stroke-dashoffset", "0") or "0", whole=whole, font=font)
        stated = float(item.element.get("pathLength", "0"))
    except ValueError:
        return [], 0.0
    units = scale
    if stated > 0:
        scale = sum(float(np.hypot(*np.diff(points, axis=0).T).sum()) for points in lines) / stated
    dashes, offset = [dash * scale for dash in dashes], offset * scale
    if not dashes or min(dashes) < 0 or sum(dashes) <= 0 or not math.isfinite(sum(dashes)):
        return [], 0.0
    longest = max(*dashes, abs(offset))
    if longest > LONGEST:  # one dash or one gap, far beyond any sheet
        return [], 0.0
    dashes = dashes * (1 + len(dashes) % 2)
    closing = COVERED.get(item.style.get("stroke-linecap", "butt"), 0.0)
    width = stroke_units(item) * units
    if max(dashes[1::2]) <= closing * width:
        return [], 0.0
    return dashes, offset


def dashed(lines: Sequence[FloatArray], coat: Coat) -> list[FloatArray]:
    """Break the middles of a stroke, mm, into its dashes; whole ones are given back as they are."""
    if coat.item.style.get("stroke-dasharray", "none") == "none":
        return list(lines)
    scale = coat.width / max(stroke_units(coat.item), 1e-300)
    dashes, offset = dash_pattern(coat.item, lines, scale)
    return cut_dashes(lines, dashes, offset) if dashes else list(lines)


def cut_dashes(
    lines: Sequence[FloatArray], dashes: Sequence[float], offset: float
) -> list[FloatArray]:
    """Cut lines by dash lengths that alternate between drawn and left out."""
    period = sum(dashes)
    edges = np.cumsum([0.0, *dashes])
    pieces: list[FloatArray] = []
    for points in lines:
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        total = float(along[-1])
        if total / period * len(dashes) > MOST_DASHES:
            pieces.append(points)
            continue
        shift = offset % period
        rounds = np.arange(math.floor(shift / period), math.ceil((shift + total) / period) + 1)
        starts = (rounds[:, None] * period + edges[None, :-1:2]).ravel() - shift
        ends = (rounds[:, None] * period + edges[None, 1::2]).ravel() - shift
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            low, high = max(start, 0.0), min(end, total)
            if low < high or (low == high and 0 < start < total):
                pieces.append(_stretch(points, along, low, high))
    return pieces


def _stretch(points: FloatArray, along: FloatArray, low: float, high: float) -> FloatArray:
    """Part of a line between two lengths along it."""
    first, last = np.searchsorted(along, low, "right"), np.searchsorted(along, high, "left")
    ends = np.column_stack([np.interp([low, high], along, points[:, axis]) for axis in (0, 1)])
    return np.concatenate([ends[:1], points[first:last], ends[1:]])
