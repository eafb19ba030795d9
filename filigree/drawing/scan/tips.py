"""Tips: where a free stroke ends, given how far its ink reaches and how round that end is."""

import numpy as np

from filigree.drawing.scan.ends import Way
from filigree.drawing.scan.light import Grey32
from filigree.geometry.types import FloatArray

LOOK = 2.5  # widths beyond the last clean point
ROUND_LACK = (
    0.5 - np.pi / 8
)  # widths of ink that a round end lacks against a square one of its reach
STEP = 0.25  # pixels


def tip(way: Way, calm: Grey32) -> tuple[FloatArray, float]:
    """Points from the last clean point to the end of the stroke, `(n, 2)`, and how far its ink reaches beyond.

    A round end's ink reaches half a width beyond the pen's path, a square one's ends with it. They are told
    apart by how much ink there is for its reach (area of a half disc against that of a square).
    """
    from scipy.ndimage import map_coordinates

    d = np.arange(0, LOOK * way.width + STEP, STEP)
    side = np.arange(-1.0 * way.width, 1.0 * way.width + STEP, STEP)
    along = way.ahead
    across = np.array([-along[1], along[0]])
    grid = way.point(d)[:, None, :] + side[None, :, None] * across
    seen = map_coordinates(calm, [grid[..., 1], grid[..., 0]], order=1, mode="nearest")
    core = seen[:, np.abs(side) < 0.25 * way.width].mean(1)
    full = float(core[: max(2, int(0.3 * way.width / STEP))].mean())
    under = np.flatnonzero(core < 0.5 * full)
    reach = float(d[under[0]]) if under.size else float(d[-1])
    ink = np.clip(seen, 0, None).sum(1)
    whole = max(float(ink[:2].mean()), 1e-9)
    upto = d <= reach + way.width * 0.3
    equal = float((ink[upto].sum() - ink[0] / 2) * STEP / whole)
    lack = (reach - equal) / way.width
    end = reach if lack < 0.5 * ROUND_LACK else reach - 0.5 * way.width
    end = max(end, 0.3)
    return way.point(np.linspace(0, end, max(2, int(end) + 1))), max(0.0, reach - end)


def within_ink(goal: FloatArray, place: FloatArray, width: float, calm: Grey32) -> FloatArray:
    """A corner's point, drawn back to half a width from the ink's edge when it lies beyond.

    Args:
        goal: where the sides meet when carried on straight.
        place: a point of the skeleton near it, well inside the ink.
        width: width of the strokes, pixels.
        calm: smoothed darkness.
    """
    from scipy.ndimage import map_coordinates

    away = float(np.hypot(*(goal - place)))
    if away < 0.25 * width:
        return goal
    d = np.arange(0, away + width, STEP)
    at = place + (goal - place) / away * d[:, None]
    seen = map_coordinates(calm, [at[:, 1], at[:, 0]], order=1, mode="nearest")
    under = np.flatnonzero(seen < 0.5 * seen[d <= max(0.3 * width, STEP)].mean())
    edge = float(d[under[0]]) if under.size else float(d[-1])
    most = max(0.0, edge - 0.45 * width)
    return (
        goal if away <= most + 0.12 * width else np.asarray(place + (goal - place) * (most / away))
    )
