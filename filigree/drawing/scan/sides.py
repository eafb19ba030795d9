"""Sides: the straight edges of a sheet's area, each a line with the sheet on one side of it."""

from dataclasses import dataclass

import numpy as np

from filigree.drawing.scan.ink import Mask
from filigree.geometry.types import BoolArray, FloatArray

CALM = 3.0  # blocks over which the area's outline is evened out to read its directions
WITHIN = np.radians(28)  # a side's outline keeps its direction within this
NEAR = 1.6  # blocks by which the outline may leave a side
ASKED = 48  # places of the outline that lines are laid through, two and two
APART = 0.25  # share of the outline's extent that the two places lie apart, at least
RIM = 3  # blocks from the picture's edge that are no outline
MOST = 12.0  # degrees by which a side may lean against the sheet's direction
HELD = 0.4  # share of a side's length at which the outline lies on it, at least


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Side:
    """One straight edge: `out @ point == reach` on it, more beyond it; blocks.

    Attributes:
        out: unit vector away from the sheet.
        reach: distance of the edge from the origin along `out`.
        held: share of its length at which the sheet's outline lies on it.
    """

    out: FloatArray
    reach: float
    held: float


def find_sides(inside: Mask) -> tuple[Side | None, ...]:
    """The four sides in order round the sheet, the one most to the right first; None where none is seen.

    Args:
        inside: True on the sheet.
    """
    points, out = _outline(inside)
    if len(points) < 40:
        return (None,) * 4
    turn = np.arctan2(out[:, 1], out[:, 0])
    main = float(np.angle(np.exp(4j * turn).sum())) / 4
    sides = []
    for k in range(4):
        way = main + k * np.pi / 2
        own = np.abs((turn - way + np.pi) % (2 * np.pi) - np.pi) < WITHIN
        sides.append(_side(points[own], way))
    lines = [None if s is None else (s[0], s[1]) for s in sides]
    return tuple(
        None if side is None else _held(side, points, lines, k, inside.shape)
        for k, side in enumerate(sides)
    )


def corners(sides: tuple[Side | None, ...]) -> FloatArray | None:
    """Where the four sides meet, in order, `(4, 2)`; None unless all are there."""
    whole = [s for s in sides if s is not None]
    if len(whole) < 4:
        return None
    return np.array([_cross(whole[k - 1], whole[k]) for k in range(4)])


def within(sides: tuple[Side | None, ...], shape: tuple[int, int], inset: float) -> Mask:
    """True where no side is passed, nor its last `inset` blocks."""
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]]
    keep = np.ones(shape, bool)
    for side in sides:
        if side is not None:
            keep &= x * side.out[0] + y * side.out[1] < side.reach - inset
    return keep


def _outline(inside: Mask) -> tuple[FloatArray, FloatArray]:
    """Outline away from the picture's edge, `(n, 2)`, and the directions out of the area."""
    from scipy.ndimage import binary_erosion, gaussian_filter

    edge = inside & ~binary_erosion(inside, border_value=1)
    edge[:RIM] = edge[-RIM:] = edge[:, :RIM] = edge[:, -RIM:] = False
    calm = gaussian_filter(inside.astype(np.float32), CALM, mode="nearest")
    gy, gx = np.gradient(calm, axis=0), np.gradient(calm, axis=1)
    y, x = np.nonzero(edge)
    out = -np.column_stack([gx[y, x], gy[y, x]]).astype(float)
    size = np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)
    return np.column_stack([x, y]).astype(float), out / size


def _side(points: FloatArray, way: float) -> tuple[FloatArray, float] | None:
    """The line that most of the outline lies on, of those that face `way`."""
    if len(points) < 15:
        return None
    out = np.array([np.cos(way), np.sin(way)])
    along = np.array([-out[1], out[0]])
    u, v = points @ along, points @ out
    order = np.argsort(u, kind="stable")
    u, v = u[order], v[order]
    pick = np.unique(np.linspace(0, len(u) - 1, ASKED).round().astype(int))
    i, j = np.triu_indices(len(pick), 1)
    a, b = pick[i], pick[j]
    far = u[b] - u[a] > APART * (u[-1] - u[0])
    a, b = a[far], b[far]
    if not a.size:
        return None
    slope = (v[b] - v[a]) / (u[b] - u[a])
    steep = np.abs(slope) < np.tan(np.radians(MOST))
    slope, start = slope[steep], (v[a] - slope * u[a])[steep]
    if not slope.size:
        return None
    miss = np.abs(v - slope[:, None] * u - start[:, None])
    best = int(np.argmax((miss < NEAR).sum(1)))
    keep: BoolArray = miss[best] < NEAR
    if keep.sum() < 10:
        return None
    m, c = np.polyfit(u[keep], v[keep], 1)
    normal = (out - m * along) / np.hypot(1, m)
    return normal, float(c / np.hypot(1, m))


def _held(
    side: tuple[FloatArray, float],
    points: FloatArray,
    lines: list[tuple[FloatArray, float] | None],
    k: int,
    shape: tuple[int, int],
) -> Side | None:
    """The side with the share of its length that the outline lies on; None when that is too little."""
    out, reach = side
    along = np.array([-out[1], out[0]])
    span = []
    for other, sign in ((lines[k - 1], -1), (lines[(k + 1) % 4], 1)):
        if other is not None:
            at = _meet(side, other)
            span.append(float(at @ along))
        else:
            span.append(_to_rim(out, reach, along, sign, shape))
    low, high = min(span), max(span)
    near = np.abs(points @ out - reach) < NEAR
    u = points[near] @ along
    u = u[(u >= low) & (u <= high)]
    held = len(np.unique(np.floor(u))) / max(high - low, 1.0)
    return Side(out=out, reach=reach, held=min(held, 1.0)) if held >= HELD else None


def _to_rim(
    out: FloatArray, reach: float, along: FloatArray, sign: int, shape: tuple[int, int]
) -> float:
    """How far the line runs along before it leaves the picture."""
    t = np.arange(0.0, float(np.hypot(*shape)) * 2)
    foot = out * reach
    middle = (np.array(shape[::-1]) / 2 - foot) @ along
    at = foot + along * (middle + sign * t)[:, None]
    off = (at < RIM).any(1) | (at >= np.array(shape[::-1]) - RIM).any(1)
    last = float(t[int(np.argmax(off))]) if off.any() else float(t[-1])
    return float(middle + sign * last)


def _meet(one: tuple[FloatArray, float], other: tuple[FloatArray, float]) -> FloatArray:
    return np.asarray(
        np.linalg.solve(np.array([one[0], other[0]]), np.array([one[1], other[1]])), np.float64
    )


def _cross(one: Side, other: Side) -> FloatArray:
    return _meet((one.out, one.reach), (other.out, other.reach))
