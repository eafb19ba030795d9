"""Broad: dark areas too wide to be lines. Black ones are solids with edges; grey ones are shading, a mark."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.drawing.scan.centre import even
from filigree.drawing.scan.ink import Mask
from filigree.drawing.scan.light import Grey32, block_mean
from filigree.geometry.types import FloatArray

BLOCK = 0.25  # mm, side of the blocks that are looked at
WIDER = 1.9  # mm: narrower darkness is a line or a junction of lines
LEAST_BARE = 0.03  # share of a sheet that is bare paper, at least
FAINT = 0.06  # darkness of the faintest shading
BLACK = 0.6  # share of the sheet's darkest broad ink from which an area is a solid
SOLID_INK = 0.45  # darkness a solid has at least
ACROSS = 1.35  # times the shading: darker blocks are lines that part shaded fields
LEAST_SHADE = 2.5  # mm2
STRIP = 0.6  # mm, least mean width of shading
SNUG = 1.5  # mm from its border that shading by a hand may stop
BOUNDED = 0.6  # share of the edge of shading that lies along drawn lines
LEAST_SOLID = np.pi * 0.9**2  # mm2: smaller blots are junctions, not bands
ROUND_OFF = 0.12  # mm over which a solid's edge is evened out
EDGE = 1.5  # pixels beyond a solid's pixels that its own blurred edge takes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Broad:
    """Broad darkness of one sheet, pixels.

    Attributes:
        under: darkness of the shading alone on the picture's own grid, or None when there is none.
        shaded: shaded areas.
        black: True when some area is broad and black.
    """

    under: Grey32 | None
    shaded: tuple[shapely.Polygon, ...]
    black: bool


def find_broad(dark: Grey32, per_mm: float) -> Broad:
    """Look for shading and for black areas, by what is left when everything narrow is taken away."""
    from scipy.ndimage import gaussian_filter, label, maximum_filter, minimum_filter

    step = max(1, round(BLOCK * per_mm))
    rows, columns = (n // step for n in dark.shape)
    coarse = block_mean(dark, step)
    reach = max(3, round(WIDER * per_mm / step))
    bare = _bare(coarse)
    calm = gaussian_filter(coarse, 0.7)
    broad = maximum_filter(minimum_filter(calm, reach), reach) - bare
    spread = 1.4826 * float(np.median(bare - coarse[coarse <= bare]))
    level = max(FAINT, 6 * spread)
    seen = broad > level
    if not seen.any():
        return Broad(under=None, shaded=(), black=False)
    black = broad > max(SOLID_INK, BLACK * float(broad.max()))
    grey = seen & ~maximum_filter(black, 3)
    parted = grey & (coarse - bare < ACROSS * np.maximum(broad, level))
    names, count = label(parted)
    sizes = np.bincount(names.ravel(), minlength=count + 1) * (step / per_mm) ** 2
    keep = sizes >= LEAST_SHADE
    keep[0] = False
    if not keep.any():
        return Broad(under=None, shaded=(), black=bool(black.any()))
    # to the very rim: what is narrow there is no line but the end of the shading
    shade = np.minimum(maximum_filter(np.where(grey, broad, 0), 3), np.maximum(coarse - bare, 0))
    shade = shade.astype(np.float32)
    under = np.zeros_like(dark)
    under[: rows * step, : columns * step] = np.repeat(np.repeat(shade, step, 0), step, 1)
    whole = [_area(names == k, step) for k in np.flatnonzero(keep)]
    areas = tuple(a for a in whole if _is_shading(a, per_mm))
    return Broad(under=under, shaded=areas, black=bool(black.any()))


def _is_shading(area: shapely.Polygon, per_mm: float) -> bool:
    """False for a crumb and for the soft edge along a line."""
    return bool(
        area.area >= LEAST_SHADE / 2 * per_mm**2 and 2 * area.area >= STRIP * per_mm * area.length
    )


def _bare(coarse: Grey32) -> float:
    """Darkness of bare paper, though most of the sheet may be shaded."""
    light = coarse[coarse < FAINT]
    return float(np.median(light if light.size > LEAST_BARE * coarse.size else coarse))


def _area(mask: Mask, step: int) -> shapely.Polygon:
    """Blocks as one area, a little smaller than what they cover; the largest part of it."""
    y, x = np.nonzero(mask)
    boxes = shapely.box(x * step - 0.5, y * step - 0.5, (x + 1) * step - 0.5, (y + 1) * step - 0.5)
    whole = shapely.union_all(boxes)
    smaller = shapely.buffer(whole, -0.5 * step)
    parts = shapely.get_parts(whole if smaller.is_empty else smaller)
    largest: shapely.Polygon = max(parts, key=lambda p: p.area)
    return largest


def find_solids(mask: Mask, line: float, least: float) -> Mask | None:
    """Ink that holds a disc of the line limit, opened by that disc; None when there is none.

    Args:
        mask: drawn pixels.
        line: limit, pixels.
        least: pixels of the smallest solid.
    """
    from scipy.ndimage import binary_erosion, distance_transform_edt, find_objects, label

    radius = line / 2
    half = max(1, int(radius / np.sqrt(2)) - 1)
    seeds = binary_erosion(mask, np.ones((2 * half + 1, 1), bool))
    seeds = binary_erosion(seeds, np.ones((1, 2 * half + 1), bool))
    if not seeds.any():
        return None
    names, _ = label(mask)
    solid = np.zeros_like(mask)
    boxes = find_objects(names)
    for name in np.unique(names[seeds]):
        box = boxes[name - 1]
        own = np.pad(names[box] == name, 1)
        core = distance_transform_edt(own) > radius
        if not core.any():
            continue
        opened = (distance_transform_edt(~core) <= radius) & own
        parts, count = label(opened)
        sizes = np.bincount(parts.ravel(), minlength=count + 1)
        keep = sizes >= least
        keep[0] = False
        solid[box] |= keep[parts][1:-1, 1:-1]
    return solid if solid.any() else None


def solid_edges(solid: Mask, calm: Grey32, level: float, per_mm: float) -> list[FloatArray]:
    """Edges of the solids where the darkness falls to half, closed polylines, pixels."""
    from scipy.ndimage import binary_dilation, find_objects, label
    from skimage.measure import find_contours

    disc = np.hypot(*np.mgrid[-2:3, -2:3]) <= EDGE
    wide = binary_dilation(solid, disc)
    names, _ = label(wide)
    out = []
    for name, box in enumerate(find_objects(names), start=1):
        own = np.pad(np.where(names[box] == name, calm[box], 0), 1)
        corner = np.array([box[1].start - 1, box[0].start - 1])
        for contour in find_contours(own, level):  # type: ignore[no-untyped-call]
            ring = contour[:-1, ::-1] + corner
            if len(ring) < 12:
                continue
            smooth = even(ring, ROUND_OFF * per_mm, closed=True, order=2)
            out.append(np.vstack([smooth, smooth[:1]]))
    return out


def bounded(
    shaded: tuple[shapely.Polygon, ...], lines: list[FloatArray], per_mm: float
) -> list[shapely.Polygon]:
    """Shading that drawn lines bound; a shadow ends anywhere, whatever lies under it."""
    if not shaded or not lines:
        return []
    drawn = shapely.buffer(
        shapely.union_all(np.array([shapely.linestrings(v) for v in lines], object)),
        SNUG * per_mm,
        quad_segs=4,
    )
    return [
        a for a in shaded if a.exterior.intersection(drawn).length >= BOUNDED * a.exterior.length
    ]
