"""Sheet: where the paper lies in a photo, so that the table and the sheet's own edge become no lines.

A drawn line has paper on both sides, and a grey closing takes it away; the sheet's edge has the table on one side
and stays. What is left falls into calm stretches parted by steps. The sheet is the bright stretch that frames
nothing; a stretch in a hard shadow belongs to it when it lies within the picture or drawn lines run on into it.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from PIL import Image
from shapely import MultiPoint, Polygon

from filigree.drawing.model import Skipped
from filigree.drawing.scan.ink import Mask
from filigree.drawing.scan.light import Grey32
from filigree.drawing.scan.sides import Side, find_sides, within
from filigree.geometry.types import FloatArray, IntArray

WORK = 640  # pixels, longer side of the picture that the sheet is looked for in
NARROW = 13  # of those pixels: darker things narrower than this are lines, not the table
STEP = 0.018  # change of the logarithm of brightness a pixel that parts two stretches
LEAST = 0.004  # share of the picture that a stretch has at least
BARE_RING = 0.78  # share of the sheet's light above which the picture's rim is paper all round
DARKEST = 40  # grey level: no paper is darker where it is brightest
WHOLE, SCRAP = 0.97, 0.06  # shares of the picture: more is a picture without a table, less no sheet
FLAT = 1.2  # grey levels by which a camera's or scanner's table spreads at least; art's ground spreads less
INKED = 0.1  # darkness of a drawn line against the paper beside it, at least
USUAL, DARKEST_INK = 0.45, 99.5  # the same as a share of this percentile of the sheet's darkness
CROSSINGS = 0.006  # share of the border of two stretches at which drawn lines run across
NOISE = 5.0  # times the spread of a stretch's own darkness
BESIDE = 5  # pixels along that border by which they may miss each other
DEEP = 10  # pixels beyond the step between the two in which they are looked for
WIDEST = 36  # pixels, the widest step between two stretches
ALIKE, MUCH = (
    0.94,
    0.03,
)  # as light as the sheet, and this share of the picture: paper beyond a shadow
ROUNDS = 4  # times the stretches beside the sheet are asked anew
EVEN = 0.94  # share of its light to which a scanner's sheet may fall
INSET = 2  # pixels by which the sheet's edge is left out
CARRY = 6.0  # pixels over which the paper's light is carried on beyond the sheet


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Paper:
    """The sheet in a picture, on a grid of blocks.

    Attributes:
        inside: True on the sheet, `(rows, columns)`; what is drawn on it included.
        light: brightness of bare paper, carried on beyond the sheet.
        step: pixels to a block.
        shaded: True when a hard shadow lies across the sheet.
        sides: its straight edges, None where none is seen.
    """

    inside: Mask
    light: Grey32
    step: int
    shaded: bool
    sides: tuple[Side | None, ...]

    @property
    def even(self) -> bool:
        """True for the even light of a scanner, under whose lid the sheet lay."""
        low, high = np.percentile(self.light[self.inside], (3, 97))
        return not self.shaded and bool(low > EVEN * high)


def find_paper(grey: Image.Image) -> Paper | None:
    """Find the sheet; None when the paper fills the picture or no sheet can be told.

    Args:
        grey: upright 8-bit picture.
    """
    from scipy.ndimage import binary_erosion

    step = max(1, round(max(grey.size) / WORK))
    seen = np.asarray(grey.reduce(step) if step > 1 else grey, np.float32)
    if min(seen.shape) < 4 * NARROW:
        return None
    closed = _closed(seen)
    bright = float(np.percentile(closed, 90))
    ring = np.concatenate([closed[1], closed[-2], closed[:, 1], closed[:, -2]])
    if bright < DARKEST or ring.min() > BARE_RING * bright:
        return None
    inside, shaded = _sheet(seen, closed)
    if inside is None or inside.mean() < SCRAP:
        return None
    if inside.mean() > WHOLE:
        return _all_paper(closed, step)
    sides = find_sides(inside)
    inside = inside & within(sides, inside.shape, INSET)
    inside = np.asarray(binary_erosion(inside, np.ones((3, 3), bool), INSET, border_value=1), bool)
    if _is_ground(grey, inside, step):
        return None
    return Paper(
        inside=inside, light=_carried(closed, inside), step=step, shaded=shaded, sides=sides
    )


def _all_paper(closed: Grey32, step: int) -> Paper | None:
    """A sheet that fills the picture, in a shadow; None when its light is even."""
    low, high = np.percentile(closed, (3, 97))
    if low > BARE_RING * high:
        return None
    inside = np.ones(closed.shape, bool)
    return Paper(inside=inside, light=closed, step=step, shaded=True, sides=(None,) * 4)


def only_paper(grey: Image.Image, paper: Paper) -> Image.Image:
    """The picture with bare paper wherever the sheet is not."""
    width, height = grey.size
    rows, columns = paper.inside.shape
    box = (0.0, 0.0, width / paper.step, height / paper.step)
    if box[2] > columns or box[3] > rows:
        box = (0.0, 0.0, float(min(box[2], columns)), float(min(box[3], rows)))
    light = Image.fromarray(paper.light).resize((width, height), Image.Resampling.BILINEAR, box=box)
    on = Image.fromarray(paper.inside.astype(np.uint8) * 255)
    keep = on.resize((width, height), Image.Resampling.BILINEAR, box=box).point(_half)
    return Image.composite(grey, light.convert("L"), keep)


def outline(paper: Paper) -> Polygon:
    """The sheet's rough outline, pixels: the hull of its blocks."""
    y, x = np.nonzero(paper.inside)
    ends = np.concatenate([_ends(x, y), _ends(y, x)[:, ::-1]])
    return Polygon(shapely.get_coordinates(MultiPoint(ends * paper.step).convex_hull))


def _ends(along: IntArray, across: IntArray) -> FloatArray:
    """First and last block of every row, `(n, 2)`."""
    order = np.lexsort((along, across))
    a, b = along[order], across[order]
    first = np.append(True, np.diff(b) > 0)
    last = np.append(np.diff(b) > 0, True)
    ends: FloatArray = np.column_stack([a, b])[first | last].astype(np.float64)
    return ends


def told_of_sheet(paper: Paper, *, straightened: bool) -> tuple[Skipped, ...]:
    """What the maker is told of a sheet found on its table."""
    out = []
    if not paper.inside.all():
        why = "what lies on the sheet's edge or beyond it is no drawing"
        out.append(Skipped(what="the table round the sheet", why=why))
    if not (straightened or paper.even):
        why = "the sheet's edges do not tell its shape, so slant and bow stay; corner marks (--marks) are the sure way"
        out.append(Skipped(what="setting the photo straight", why=why))
    return tuple(out)


def _half(value: int) -> int:
    return 255 if value >= 128 else 0


def _closed(seen: Grey32) -> Grey32:
    """The picture without what is dark and narrow; beyond the picture all is dark, so that its rim stays."""
    from scipy.ndimage import gaussian_filter, maximum_filter, minimum_filter

    wide = np.pad(gaussian_filter(seen, 0.7), NARROW)
    closed = minimum_filter(maximum_filter(wide, NARROW), NARROW)
    return np.asarray(closed[NARROW:-NARROW, NARROW:-NARROW], np.float32)


def _sheet(seen: Grey32, closed: Grey32) -> tuple[Mask | None, bool]:
    """The sheet's stretches as one area, and whether they are more than one."""
    from scipy.ndimage import distance_transform_edt, gaussian_gradient_magnitude, label

    change = gaussian_gradient_magnitude(np.log(np.maximum(closed, 4)), 1.2, mode="nearest")
    names, count = label(change < max(STEP, 3 * float(np.median(change))))
    size = np.bincount(names.ravel(), minlength=count + 1).astype(float)
    size[0] = 0
    large = np.flatnonzero(size > LEAST * names.size)
    if not large.size:
        return None, False
    light = np.bincount(names.ravel(), closed.ravel(), minlength=count + 1) / np.maximum(size, 1)
    rim = np.bincount(_rim(names), minlength=count + 1)
    share = rim / max(1, rim.sum())
    worth = size * (light / light[large].max()) ** 5 * (1 - 0.8 * share)
    first = int(large[np.argmax(worth[large])])
    area, added = names == first, 0
    dark = (1 - seen / np.maximum(closed, 1)).astype(np.float32)
    level = max(INKED, USUAL * float(np.percentile(dark[area], DARKEST_INK)))
    left = [n for n in large[np.argsort(-size[large], kind="stable")].tolist() if n != first]
    for _ in range(ROUNDS):
        near = distance_transform_edt(~area) < WIDEST
        beside = [n for n in left if (near & (names == n)).any()]
        across = [
            n
            for n in beside
            if (light[n] > ALIKE * light[first] and size[n] > MUCH * names.size)
            or _drawn_across(dark, level, area, names == n)
        ]
        own = across + [n for n in beside if n not in across and _enclosed(area, names == n)]
        if not own:
            break
        area |= np.isin(names, own)
        left = [n for n in left if n not in own]
        added += len(across)
    return _filled(area), added > 0


def _rim(names: np.ndarray) -> np.ndarray:
    return np.concatenate([names[0], names[-1], names[1:-1, 0], names[1:-1, -1]])


def _enclosed(area: Mask, other: Mask) -> bool:
    """True when the sheet lies on all four sides of a stretch, as round something on it."""
    y, x = np.nonzero(other)
    pick = int(np.argmin((y - y.mean()) ** 2 + (x - x.mean()) ** 2))
    v, u = int(y[pick]), int(x[pick])
    ways = (area[v, :u], area[v, u:], area[:v, u], area[v:, u])
    rows, columns = area.any(1), area.any(0)
    framed = not (other[~rows].any() or other[:, ~columns].any())
    return framed and all(bool(way.any()) for way in ways)


def _drawn_across(dark: Grey32, level: float, one: Mask, other: Mask) -> bool:
    """True when drawn lines run from one stretch into the other."""
    from scipy.ndimage import distance_transform_edt, maximum_filter

    noise = 1.4826 * float(np.median(np.abs(dark[other])))
    drawn = dark > max(level, NOISE * noise)
    away = distance_transform_edt(~other)
    back = distance_transform_edt(~one)
    edge = away[one & (away < WIDEST)]
    if edge.size < 20:
        return False
    deep = float(edge.min()) + DEEP
    border = one & (away < deep)
    on_one = maximum_filter(drawn & border, 2 * BESIDE + 1)
    reach = BESIDE + round(deep / 2)
    on_other = maximum_filter(drawn & other & (back < deep), 2 * reach + 1)
    both = on_one & on_other & border
    return bool(both.sum() > CROSSINGS * border.sum())


def _filled(area: Mask) -> Mask:
    """Steps within the area closed, holes filled, its edge and narrow outgrowths left out."""
    from scipy.ndimage import (
        binary_closing,
        binary_fill_holes,
        binary_opening,
        label,
    )

    disc = np.hypot(*np.mgrid[-5:6, -5:6]) <= 5.2
    wide = np.pad(area, 24)
    wide = binary_fill_holes(binary_closing(wide, disc, iterations=4))
    wide = binary_opening(wide, disc, iterations=2)
    names, count = label(wide)
    if count > 1:
        size = np.bincount(names.ravel())
        size[0] = 0
        wide = names == int(np.argmax(size))
    return np.asarray(wide[24:-24, 24:-24], bool)


def _is_ground(grey: Image.Image, inside: Mask, step: int) -> bool:
    """True when what lies outside is one even tone, as a drawing program fills it and no camera sees it."""
    from scipy.ndimage import binary_dilation

    outside = ~binary_dilation(inside, np.ones((3, 3), bool), 2 * INSET + 4)
    y, x = np.nonzero(outside)
    if y.size < 20:
        return True
    pick = slice(None, None, max(1, y.size // 400))
    values = np.asarray(grey)
    spread = [
        float(
            np.std(values[r * step : r * step + max(step, 3), c * step : c * step + max(step, 3)])
        )
        for r, c in zip(y[pick].tolist(), x[pick].tolist(), strict=True)
    ]
    return float(np.median(spread)) < FLAT / 4


def _carried(closed: Grey32, inside: Mask) -> Grey32:
    """The paper's light on the sheet, and beyond it that of the nearest paper."""
    from scipy.ndimage import distance_transform_edt, gaussian_filter

    nearest = distance_transform_edt(~inside, return_distances=False, return_indices=True)
    spread: FloatArray = closed[nearest[0], nearest[1]]
    calm = gaussian_filter(spread, CARRY)
    return np.where(inside, closed, calm).astype(np.float32)
