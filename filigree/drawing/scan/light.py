"""Light: how dark each place is against the paper round it, whatever the light, shadow or film."""

import numpy as np
import numpy.typing as npt
from PIL import Image

from filigree.geometry.types import FloatArray

Grey32 = npt.NDArray[np.float32]

BLOCK = 0.25  # mm, side of the blocks the paper's brightness is taken from
EVEN_REACH = 24.0  # mm: a flatbed's light changes slowly, so wide dark areas stay dark
UNEVEN_REACH = 8.0  # mm: a photo's shadow has an edge
SHADE_LIGHT = 0.92  # share of a flatbed's light under which a place is drawn on, not shadow
SOLID_LIGHT = 0.45  # the same in a photo: a hand takes half the light, ink more
STEP_LIGHT = 0.03  # share by which the light may leave its smooth course before it is a step
BRIGHT = 97  # percentile of a flatbed's sheet that is bare paper, drawn on however much
PAPER_SHARE = 0.93  # share of the paper's light above which a place is bare
STIFF = 0.01  # how much the surface of a flatbed's light resists leaving the level
BAND = 512  # rows worked at a time
COARSER = (
    4  # blocks to a side of those a flatbed's light is worked out on, once what is narrow is gone
)


def darkness(grey: Image.Image, per_mm: float, *, even: bool) -> Grey32:
    """Share of the paper's light that a place takes away, 0 (paper) to 1, `(rows, columns)`.

    Args:
        grey: 8-bit picture.
        per_mm: pixels to a mm.
        even: True for a flatbed, whose light changes slowly over the sheet.
    """
    step = max(1, round(BLOCK * per_mm))
    paper = paper_light(grey, step, per_mm / step, even=even)
    step *= COARSER if even else 1
    light = Image.fromarray(paper)
    width, height = grey.size
    values = np.asarray(grey)
    out = np.empty((height, width), np.float32)
    for top in range(0, height, BAND):
        rows = min(BAND, height - top)
        box = (0, top / step, width / step, (top + rows) / step)
        under = np.asarray(light.resize((width, rows), Image.Resampling.BILINEAR, box=box))
        np.divide(values[top : top + rows], under, out=out[top : top + rows])
    np.subtract(1, out, out=out)
    return out


def paper_light(grey: Image.Image, step: int, per_mm: float, *, even: bool) -> Grey32:
    """Brightness of bare paper on a grid of blocks, at least 1; for a flatbed `COARSER` blocks are one.

    A grey closing takes away everything dark that is narrower than its reach; what is still far
    darker than the sheet as a whole is wide ink and gets the light of a smooth surface instead.
    """
    from scipy.ndimage import gaussian_filter, maximum_filter, minimum_filter

    coarse = np.asarray(grey.reduce(step), np.float32)
    reach = max(3, round((EVEN_REACH if even else UNEVEN_REACH) * per_mm))
    # evened out first: one bright speck must not lift the paper
    calm = gaussian_filter(coarse, 1.0)
    if even:
        calm, reach = block_max(calm, COARSER), max(3, round(reach / COARSER))
    closed = minimum_filter(maximum_filter(calm, reach), reach)
    surface = _level_surface(closed) if even else _surface(closed)
    share = SHADE_LIGHT if even else SOLID_LIGHT
    paper = np.where(closed < share * surface, surface, closed)
    smooth = gaussian_filter(paper, reach / 6)
    if not even:
        # a shadow's edge is a step in the light, which a smooth light would turn into a line
        step_there = np.abs(closed - smooth) > STEP_LIGHT * smooth
        smooth = np.where(step_there & (closed >= share * surface), closed, smooth)
    return np.maximum(smooth, 1).astype(np.float32)


def block_max(values: Grey32, step: int) -> Grey32:
    """Largest value of each block of `step` pixels a side, ragged edges included."""
    return _largest(_largest(values, step).T, step).T


def _largest(values: Grey32, step: int) -> Grey32:
    """Largest of every `step` rows; strides run over whole rows, ten times as fast as `reduceat`."""
    whole = len(values) // step * step
    out = values[:whole:step].copy()
    for k in range(1, step):
        np.maximum(out, values[k:whole:step], out=out)
    return out if whole == len(values) else np.vstack([out, values[whole:].max(0)[None]])


def block_mean(values: Grey32, step: int) -> Grey32:
    """Mean of each whole block of `step` pixels a side."""
    rows, columns = (n // step * step for n in values.shape)
    down = values[:rows:step, :columns].copy()
    for k in range(1, step):
        down += values[k:rows:step, :columns]
    out = down[:, ::step].copy()
    for k in range(1, step):
        out += down[:, k::step]
    out /= step * step
    return out


def _level_surface(values: Grey32) -> Grey32:
    """The same for a flatbed: as flat as the bright part allows, however much of the sheet is shaded."""
    terms = _terms(*values.shape)
    thin = slice(None, None, max(1, terms.shape[0] // 20_000))
    flat, sample = values.reshape(-1)[thin], terms[thin]
    best: FloatArray = np.zeros(6)
    best[0] = np.percentile(flat, BRIGHT)
    stiff = np.diag([0, 1, 1, 1, 1, 1.0]) * STIFF
    for _ in range(4):
        keep = flat > PAPER_SHARE * (sample @ best)
        if keep.sum() < 12:
            break
        some = sample[keep]
        best[:] = np.linalg.solve(some.T @ some + stiff * keep.sum(), some.T @ flat[keep])
    return np.asarray((terms @ best).reshape(values.shape), np.float32)


def _terms(rows: int, columns: int) -> FloatArray:
    """Terms of a second-order surface on a grid, `(rows * columns, 6)`."""
    y = np.linspace(-1, 1, rows)[:, None] if rows > 1 else np.zeros((1, 1))
    x = np.linspace(-1, 1, columns)[None] if columns > 1 else np.zeros((1, 1))
    one = np.ones((rows, columns))
    return np.stack([one, x * one, y * one, x * x * one, x * y, y * y * one], -1).reshape(-1, 6)


def _surface(values: Grey32) -> Grey32:
    """A smooth second-order surface through the bright part of the sheet."""
    terms = _terms(*values.shape)
    thin = slice(None, None, max(1, terms.shape[0] // 20_000))
    flat, sample = values.reshape(-1)[thin], terms[thin]
    keep = flat >= np.percentile(flat, 60) * 0.5
    best: FloatArray = np.zeros(6)
    for share in (0.75, 0.85, 0.92, 0.94, 0.94):
        if keep.sum() < 12:
            return np.full_like(values, float(values.max()))
        best[:] = np.linalg.lstsq(sample[keep], flat[keep], rcond=None)[0]
        level = sample @ best
        keep = flat > share * level
    return (terms @ best).reshape(values.shape).astype(np.float32)
