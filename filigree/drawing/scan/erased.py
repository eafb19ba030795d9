"""Erased: ink of a field's hatching taken out of the picture, so that its border shows as it was drawn.

Strokes that run into a border at a sharp angle draw its middle aside. The border's outer edge stays clean, though:
ink farther than a line's width from the paper outside the field is no border.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from PIL import Image, ImageDraw

from filigree.drawing.scan.ink import Mask
from filigree.drawing.scan.light import Grey32
from filigree.geometry.types import FloatArray

OWN = 0.5  # share of a piece of paper inside the field that makes it the field's own
THIN, THICK = 0.5, 1.6  # times the usual width that a border's width may be
BARRIER = 3.0  # pixels of the outline that part the field's paper from the rest
NEAR = 1.0  # widths about a stroke in which ink beyond the border goes
APART = 1.4  # widths: elsewhere only ink farther out goes, as a line that joins from outside widens the border
SOFT = 1.0  # pixels over which an erased edge fades, each way
DEEP = 2.0  # widths inside the field from which a kept line is no border drawn aside
KEPT = 5.0  # widths of such a line that make it one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hatching:
    """One hatched field, pixels: its outline, its strokes, the other lines in it; `loose` strokes touch nothing else."""

    field: shapely.Polygon
    strokes: Sequence[FloatArray]
    others: Sequence[FloatArray]
    loose: bool = False


def erase(mask: Mask, calm: Grey32, hatching: Hatching, usual: float) -> None:
    """Take the hatching of one field out of `mask` and `calm`, in place.

    Args:
        mask: drawn pixels.
        calm: smoothed darkness.
        hatching: the field with its strokes.
        usual: usual width of the lines, pixels.
    """
    from scipy.ndimage import binary_dilation, distance_transform_edt, label

    pad = int(4 * usual) + 3
    x0, y0, x1, y1 = hatching.field.bounds
    left, top = max(0, int(x0) - pad), max(0, int(y0) - pad)
    box = (slice(top, int(y1) + pad + 1), slice(left, int(x1) + pad + 1))
    ink = mask[box]
    corner = np.array([left, top])
    if hatching.loose:
        gone = _blots(ink, _drawn(hatching.strokes, corner, ink.shape, 1))
        calm[box][gone] = 0
        ink &= ~gone
        return
    inside = _filled(hatching.field, corner, ink.shape)
    rings = [
        shapely.get_coordinates(r) for r in (hatching.field.exterior, *hatching.field.interiors)
    ]
    names, count = label(
        ~(ink | _drawn(rings, corner, ink.shape, BARRIER))
    )  # a break lets nothing through
    sizes = np.bincount(names.ravel(), minlength=count + 1)
    own = np.bincount(names[inside], minlength=count + 1) > OWN * sizes
    own[0] = False
    cells = own[names]
    outside = ~ink & ~cells & (names > 0)
    if not outside.any() or not cells.any():
        return
    away = distance_transform_edt(~outside)
    rim = away[cells & binary_dilation(ink)] - 1
    rim = rim[(rim > THIN * usual) & (rim < THICK * usual)]
    width = float(np.median(rim)) if rim.size else usual
    near = _drawn(hatching.strokes, corner, ink.shape, 2 * NEAR * usual)
    edge = np.where(near, width, APART * width) + 0.5
    left_over = np.clip((edge - away) / (2 * SOFT) + 0.5, 0, 1).astype(np.float32)
    deep = _deep(hatching, usual)
    left_over[_drawn(deep, corner, ink.shape, 1.6 * usual)] = 1
    left_over[~binary_dilation(inside | cells, iterations=max(1, round(width)))] = 1
    calm[box] *= left_over
    ink &= left_over >= 0.5


def _blots(ink: Mask, strokes: Mask) -> Mask:
    """Ink of the blots that strokes lie on, save those that reach beyond the picture's part."""
    from scipy.ndimage import label

    names, _ = label(ink, np.ones((3, 3), bool))
    beyond = np.concatenate([names[0], names[-1], names[:, 0], names[:, -1]])
    own = np.setdiff1d(names[strokes & ink], beyond)
    return np.isin(names, own) & ink


def _deep(hatching: Hatching, usual: float) -> list[FloatArray]:
    """Parts of kept lines that run well inside the field, such as a vein under the strokes."""
    inner = shapely.buffer(hatching.field, -DEEP * usual)
    if inner.is_empty or not hatching.others:
        return []
    lines = np.array([shapely.linestrings(line) for line in hatching.others], object)
    whole = shapely.line_merge(shapely.union_all(shapely.intersection(lines, inner)))
    parts = shapely.get_parts(whole)
    return [shapely.get_coordinates(p) for p in parts if shapely.length(p) > KEPT * usual]


def _filled(area: shapely.Polygon, corner: FloatArray, shape: tuple[int, ...]) -> Mask:
    """Pixels of an area without its holes."""
    image = Image.new("1", (shape[1], shape[0]))
    draw = ImageDraw.Draw(image)
    for ring, value in ((area.exterior, 1), *((r, 0) for r in area.interiors)):
        draw.polygon([tuple(p) for p in shapely.get_coordinates(ring) - corner], fill=value)
    return np.asarray(image, bool)


def _drawn(
    lines: Sequence[FloatArray], corner: FloatArray, shape: tuple[int, ...], width: float
) -> Mask:
    """Pixels within half a width of some lines, their ends drawn on by as much."""
    image = Image.new("1", (shape[1], shape[0]))
    draw = ImageDraw.Draw(image)
    half = width / 2
    for line in lines:
        points = [tuple(p) for p in line - corner]
        draw.line(points, fill=1, width=max(1, round(width)), joint="curve")
        for x, y in (points[0], points[-1]):
            draw.ellipse((x - half, y - half, x + half, y + half), fill=1)
    return np.asarray(image, bool)
