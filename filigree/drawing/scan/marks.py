"""Corner marks: four solid marks of one size found in a photo, and where their middles are."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from PIL import Image

from filigree.drawing.scan.frame import homography, through
from filigree.drawing.scan.ink import Mask
from filigree.drawing.scan.sheet import find_paper
from filigree.errors import FiligreeError
from filigree.geometry.types import FloatArray

WORK = 1600  # pixels, longer side of the picture that marks are looked for in
DARK = 0.42  # darkness of a mark, at least
SOLID = (
    0.86,
    1.12,
)  # area over 12 roots of the second moments: 1 a box, 1.05 a disc, 0.87 a triangle
SMALL, LARGE = 2e-5, 0.015  # share of the picture a mark may take
SLIM = 2.6  # longest over shortest side of a mark as seen
QUAD = 0.1  # share of the picture the marks span at least
ALIKE = 0.3  # spread of the marks' sizes on the sheet, natural logarithm
SHAPE = 0.45  # natural logarithm by which the sides' ratio may differ through tilt
MOST = 24  # candidates weighed against each other
LINE = 11  # pixels: what is narrower is a line that touches a mark
LIT = 0.85  # share of its light to which the paper round a mark may fall before a shadow is seen
SLENDER = 0.3  # of a mark's side: the same on the picture itself
REMEDY = "show all four solid corner marks, lit evenly; 'filigree redraw --marks-sheet A4' prints a sheet with them"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Marks:
    """Four marks, clockwise from the one that is the page's top left.

    Attributes:
        at: middles, pixels with centres at whole numbers, `(4, 2)`.
        side: side of a square of a mark's area, pixels, `(4,)`.
        sheet: distances of the middles across and down, mm.
    """

    at: FloatArray
    side: FloatArray
    sheet: tuple[float, float]

    @property
    def corners(self) -> FloatArray:
        """The middles on the page, mm, `(4, 2)`."""
        w, h = self.sheet
        return np.array([[0, 0], [w, 0], [w, h], [0, h]])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Blots:
    """Solid blots of a picture: middles `(n, 2)`, areas and the share of a box they fill."""

    at: FloatArray
    area: FloatArray


def find_marks(grey: Image.Image, sheet: tuple[float, float], name: str) -> Marks:
    """Find the four corner marks.

    Args:
        grey: upright picture.
        sheet: distances of the marks' middles across and down, mm.
        name: file name for messages.

    Raises:
        FiligreeError: fewer than four are there, or no four of them fit the sheet.
    """
    step = max(1, round(max(grey.size) / WORK))
    small = grey.reduce(step) if step > 1 else grey
    mask = _dark(np.asarray(small, np.float32))
    blots = _on_paper(_blots(mask), grey, step)
    best = _best_four(blots, small.size, sheet)
    touched = best is None
    if touched:
        blots = _on_paper(_blots(_without_lines(mask)), grey, step)
        best = _best_four(blots, small.size, sheet)
    if best is None:
        count = min(len(blots.area), 3)
        raise FiligreeError(
            f"the four corner marks were not found ({count} seen)"
            if count
            else "no corner marks were found",
            remedy=REMEDY,
            where=name,
        )
    order = _oriented(blots.at[best], sheet)
    chosen = [best[k] for k in order]
    at = (blots.at[chosen] + 0.5) * step - 0.5
    side = np.sqrt(blots.area[chosen]) * step
    at = _centred(np.asarray(grey), at, side, sheet, touched=touched)
    return _by_the_bar(np.asarray(grey), Marks(at=at, side=side, sheet=sheet))


def _on_paper(blots: _Blots, grey: Image.Image, step: int) -> _Blots:
    """The blots on the sheet, when there are more than the marks: what is dark on the table is none."""
    if len(blots.area) <= 4:
        return blots
    paper = find_paper(grey)
    if paper is None:
        return blots
    at = ((blots.at + 0.5) * step / paper.step).astype(int)
    last = np.array(paper.inside.shape[::-1]) - 1
    x, y = np.clip(at, 0, last).T
    on = paper.inside[y, x]
    return _Blots(at=blots.at[on], area=blots.area[on])


def _without_lines(mask: Mask) -> Mask:
    """What is left when drawn lines, that may touch a mark, are taken away."""
    from scipy.ndimage import maximum_filter, minimum_filter

    return np.asarray(maximum_filter(minimum_filter(mask, LINE), LINE), bool)


def _blots(mask: Mask) -> _Blots:
    """Solid dark blots, the largest first."""
    from scipy.ndimage import label

    names, count = label(mask)
    rows, columns = mask.shape
    y, x = np.nonzero(names)
    who = names[y, x] - 1
    area = np.bincount(who, minlength=count).astype(float)
    safe = np.maximum(area, 1)
    mx, my = (np.bincount(who, v, minlength=count) / safe for v in (x, y))
    # a pixel is a square: its own second moment is 1/12
    sxx = np.bincount(who, (x - mx[who]) ** 2, minlength=count) / safe + 1 / 12
    syy = np.bincount(who, (y - my[who]) ** 2, minlength=count) / safe + 1 / 12
    sxy = np.bincount(who, (x - mx[who]) * (y - my[who]), minlength=count) / safe
    root = np.sqrt(np.maximum(sxx * syy - sxy**2, 1e-12))
    half, gap = (sxx + syy) / 2, np.hypot((sxx - syy) / 2, sxy)
    slim = np.sqrt((half + gap) / np.maximum(half - gap, 1e-9))
    fill = area / (12 * root)
    whole = rows * columns
    edge = np.zeros(count, bool)
    edge[np.unique(who[(x == 0) | (y == 0) | (x == columns - 1) | (y == rows - 1)])] = True
    good = (fill > SOLID[0]) & (fill < SOLID[1]) & (slim < SLIM) & ~edge
    good &= (area > max(25, SMALL * whole)) & (area < LARGE * whole)
    keep = np.flatnonzero(good)
    keep = keep[np.argsort(-area[keep], kind="stable")][:MOST]
    return _Blots(at=np.column_stack([mx, my])[keep], area=area[keep])


def _dark(values: FloatArray) -> np.ndarray:
    """Where it is dark against the paper round it; marks are narrower than a twelfth of the picture."""
    from scipy.ndimage import gaussian_filter, maximum_filter, minimum_filter, zoom

    step = 4
    rows, columns = (n // step * step for n in values.shape)
    coarse = values[:rows, :columns].reshape(rows // step, step, -1, step).mean((1, 3))
    reach = max(5, max(coarse.shape) // 7)
    paper = minimum_filter(maximum_filter(gaussian_filter(coarse, 1), reach), reach)
    paper = zoom(np.maximum(paper, 1), step, order=1, grid_mode=True, mode="nearest")
    mask = np.zeros(values.shape, bool)
    mask[:rows, :columns] = values[:rows, :columns] < (1 - DARK) * paper
    return mask


def _best_four(
    blots: _Blots, pixels: tuple[int, int], sheet: tuple[float, float]
) -> list[int] | None:
    """The four blots that span most and are one size on the sheet."""
    best: tuple[float, list[int]] | None = None
    for four in combinations(range(len(blots.area)), 4):
        chosen = list(four)
        if blots.area[chosen].max() > 4 * blots.area[chosen].min():
            continue
        order = _clockwise(blots.at[chosen])
        chosen = [chosen[k] for k in order]
        corners = blots.at[chosen]
        if not _convex(corners):
            continue
        span = _area(corners) / (pixels[0] * pixels[1])
        if span < QUAD or (best is not None and span < best[0] * 0.7):
            continue
        spread = _spread(corners, blots.area[chosen], sheet)
        if spread > ALIKE:
            continue
        score = span * np.exp(-2 * spread)
        if best is None or score > best[0]:
            best = (float(score), chosen)
    return best[1] if best else None


def _spread(corners: FloatArray, area: FloatArray, sheet: tuple[float, float]) -> float:
    """Spread of the marks' sizes on the sheet, and how far the quadrilateral is from its shape."""
    w, h = sheet
    ratio = np.log(_sides_ratio(corners))
    off = min(abs(ratio - np.log(w / h)), abs(ratio + np.log(w / h)))
    if off > SHAPE:
        return np.inf
    if abs(ratio + np.log(w / h)) < abs(ratio - np.log(w / h)):
        w, h = h, w
    matrix = homography(corners, np.array([[0, 0], [w, 0], [w, h], [0, h]]))
    logs = np.log(np.sqrt(area) * np.sqrt(np.abs(_jacobian(matrix, corners))))
    return float(logs.std() + 0.2 * off)


def _jacobian(matrix: FloatArray, points: FloatArray) -> FloatArray:
    """Change of area of a homography at points, `(n,)`."""
    under = points @ matrix[2, :2] + matrix[2, 2]
    return np.asarray(np.linalg.det(matrix) / under**3)


def _sides_ratio(corners: FloatArray) -> float:
    side = np.hypot(*(np.roll(corners, -1, 0) - corners).T)
    return float((side[0] + side[2]) / max(side[1] + side[3], 1e-9))


def _clockwise(points: FloatArray) -> list[int]:
    """Order round the middle, clockwise as seen, beginning at the top left."""
    off = points - points.mean(0)
    order = np.argsort(np.arctan2(off[:, 1], off[:, 0]), kind="stable")
    first = int(np.argmin((off[order]).sum(1)))
    return [int(k) for k in np.roll(order, -first)]


def _convex(corners: FloatArray) -> bool:
    ahead = np.roll(corners, -1, 0) - corners
    following = np.roll(ahead, -1, 0)
    return bool((ahead[:, 0] * following[:, 1] - ahead[:, 1] * following[:, 0] > 0).all())


def _area(corners: FloatArray) -> float:
    x, y = corners.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def _oriented(corners: FloatArray, sheet: tuple[float, float]) -> list[int]:
    """Begin at the page's top left: as the picture stands, or turned a quarter when the sheet's shape says so."""
    ratio, wanted = np.log(_sides_ratio(corners)), np.log(sheet[0] / sheet[1])
    turned = abs(ratio + wanted) + 0.05 < abs(ratio - wanted)
    return [3, 0, 1, 2] if turned else [0, 1, 2, 3]


def _centred(
    values: np.ndarray,
    at: FloatArray,
    side: FloatArray,
    sheet: tuple[float, float],
    *,
    touched: bool,
) -> FloatArray:
    """Middles by the grey values, freed of perspective: the middle of a tilted square is not its centroid."""
    w, h = sheet
    goals = np.array([[0, 0], [w, 0], [w, h], [0, h]], np.float64)
    windows = [
        _window(values, point, size, touched=touched) for point, size in zip(at, side, strict=True)
    ]
    at = np.array([np.average(points, axis=0, weights=weight) for points, weight in windows])
    for _ in range(3):
        matrix = homography(at, goals)
        back = np.asarray(np.linalg.inv(matrix), np.float64)
        middles = []
        for points, weight in windows:
            on_sheet = through(matrix, np.asarray(points, np.float64))
            middles.append(
                np.average(on_sheet, axis=0, weights=weight * np.abs(_jacobian(matrix, points)))
            )
        at = through(back, np.array(middles, np.float64))
    return at


def _window(
    values: np.ndarray, at: FloatArray, side: float, *, touched: bool
) -> tuple[FloatArray, FloatArray]:
    """Pixels round a mark and how dark each is, 0 to 1, of the mark's own blot alone; lines that touch it left out."""
    from scipy.ndimage import binary_dilation, grey_opening, label

    reach = int(np.ceil(side * 1.1 + 3))
    x0, y0 = max(0, int(at[0]) - reach), max(0, int(at[1]) - reach)
    part = values[y0 : int(at[1]) + reach + 1, x0 : int(at[0]) + reach + 1].astype(float)
    part = _out_of_shadow(part, side)
    paper, ink = np.percentile(part, 85), np.percentile(part, 8)
    weight = np.clip((paper - part) / max(paper - ink, 1), 0, 1)
    if touched:
        weight = grey_opening(weight, size=(max(3, round(side * SLENDER)),) * 2)
    names, _ = label(weight > 0.5)
    own = names[
        min(round(at[1]) - y0, part.shape[0] - 1), min(round(at[0]) - x0, part.shape[1] - 1)
    ]
    near = binary_dilation(names == own, iterations=2) if own else np.ones(part.shape, bool)
    weight = np.where(near & (weight > 0.1), weight, 0)
    y, x = np.nonzero(weight)
    return np.column_stack([x + x0, y + y0]).astype(float), weight[y, x]


def _out_of_shadow(part: FloatArray, side: float) -> FloatArray:
    """The surroundings of a mark with the edge of a shadow across them evened out."""
    from scipy.ndimage import gaussian_filter, maximum_filter, minimum_filter

    reach = round(1.5 * side)
    light = minimum_filter(maximum_filter(gaussian_filter(part, 1.5), reach), reach)
    if light.min() > LIT * light.max():
        return part
    return np.asarray(part * (light.max() / np.maximum(light, 1)))


BAR = (
    1.25,
    0.5,
)  # sides: a small square stands so far inside the first mark's middle along the top; its side
SEEN = 0.6  # share of a mark's own darkness that it must show


def _by_the_bar(values: np.ndarray, marks: Marks) -> Marks:
    """Turn the marks so that the small square beside the first one is at the page's top left."""
    w, h = marks.sheet
    square = abs(np.log(w / h)) < 0.02
    found = []
    for turn in (0, 1, 2, 3) if square else (0, 2):
        order = [(k + turn) % 4 for k in range(4)]
        at, side = marks.at[order], marks.side[order]
        matrix = homography(at, marks.corners)
        per = float(np.sqrt(abs(_jacobian(matrix, at[:1])[0])))
        spot = through(
            np.asarray(np.linalg.inv(matrix), np.float64), np.array([[BAR[0] * side[0] * per, 0.0]])
        )[0]
        if _is_dark(values, spot, at[0]):
            found.append((at, side))
    if len(found) != 1:
        return marks
    return Marks(at=found[0][0], side=found[0][1], sheet=marks.sheet)


def _is_dark(values: np.ndarray, spot: FloatArray, mark: FloatArray) -> bool:
    rows, columns = values.shape
    x, y = round(float(spot[0])), round(float(spot[1]))
    mx, my = round(float(mark[0])), round(float(mark[1]))
    if not (2 <= x < columns - 2 and 2 <= y < rows - 2):
        return False
    ink = float(values[my - 1 : my + 2, mx - 1 : mx + 2].mean())
    there = float(values[y - 1 : y + 2, x - 1 : x + 2].mean())
    # between the two, the paper must show
    line = values[
        np.linspace(my, y, 40).round().astype(int), np.linspace(mx, x, 40).round().astype(int)
    ]
    paper = float(line.max())
    return paper - ink > 20 and (paper - there) / (paper - ink) > SEEN
