"""Path: a run of cubic Béziers and straight pieces, as it is read and as it is written."""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.bezier import lines_as_cubics, points_at
from filigree.geometry.types import XY, BoolArray, FloatArray

ROUND = 4 / 3 * (np.sqrt(2) - 1)  # handle of a quarter circle, radii; touches it at ends and middle


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Path:
    """One connected line, mm.

    Attributes:
        cubics: control points, shape `(n, 4, 2)`; piece k + 1 starts where piece k ends. A straight
            piece has its two inner points at the thirds of its chord.
        straight: shape `(n,)`, True where a piece is a straight line.
        closed: True when the last piece ends where the first one starts.
    """

    cubics: FloatArray
    straight: BoolArray
    closed: bool


def polygon_path(points: FloatArray) -> Path:
    """Closed path of straight pieces through `points`, shape `(n, 2)`, first not repeated."""
    cubics = lines_as_cubics(points, np.roll(points, -1, axis=0))
    return Path(cubics=cubics, straight=np.ones(len(points), dtype=bool), closed=True)


def circle_path(centre: XY, radius: float, *, backwards: bool = False) -> Path:
    """Circle of four cubics; its radius is off by at most 0.0273 % (handbook 9).

    `backwards` turns the way it runs round, as for the edge of a hole.
    """
    quarter = np.array([[1, 0], [1, ROUND], [ROUND, 1], [0, 1]])
    turn = np.array([[0, 1], [-1, 0]])
    cubics = np.stack([quarter @ np.linalg.matrix_power(turn, k) for k in range(4)])
    if backwards:
        cubics = cubics[::-1, ::-1]
    placed = np.asarray(centre) + radius * cubics
    return Path(cubics=placed, straight=np.zeros(4, dtype=bool), closed=True)


def as_circle(path: Path) -> tuple[XY, float] | None:
    """Centre and radius of a closed path that is a circle, else None.

    Ends of its pieces must lie on one circle within a millionth of its radius, and the curves between them
    within the error of a cubic quarter (0.0273 %, handbook 9).
    """
    if not path.closed or path.straight.any() or len(path.cubics) < 2:
        return None
    left, top, right, bottom = bounds(path)
    centre = np.array([left + right, top + bottom]) / 2
    ends = np.hypot(*(path.cubics[:, 0] - centre).T)
    radius = float(ends.mean())
    between = [np.full(len(path.cubics), t) for t in (0.25, 0.5, 0.75)]
    curves = [np.hypot(*(points_at(path.cubics, t) - centre).T) for t in between]
    round_ = np.abs(ends - radius).max() <= 1e-6 * radius
    if not round_ or np.abs(np.stack(curves) - radius).max() > 3e-4 * radius:
        return None
    return (float(centre[0]), float(centre[1])), radius


def signed_area(path: Path) -> float:
    """Area that a closed path runs round, mm2; the sign says which way (exact for its curves).

    From Green's theorem: half the integral of x dy - y dx over each cubic, in its control points.
    """
    p0, p1, p2, p3 = np.moveaxis(path.cubics, 1, 0)
    terms = (
        6 * _cross(p0, p1)
        + 3 * _cross(p0, p2)
        + _cross(p0, p3)
        + 3 * _cross(p1, p2)
        + 3 * _cross(p1, p3)
        + 6 * _cross(p2, p3)
    )
    return float(terms.sum() / 20)


def moved(path: Path, by: XY) -> Path:
    """The same path, `by` mm farther right and down."""
    return Path(cubics=path.cubics + np.asarray(by), straight=path.straight, closed=path.closed)


def mirrored(path: Path, *, width: float) -> Path:
    """The path as seen from the back of a sheet `width` mm wide: left and right change places."""
    cubics = path.cubics * (-1.0, 1.0) + (width, 0.0)
    return Path(cubics=cubics, straight=path.straight, closed=path.closed)


def bounds(path: Path) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a path, mm, with the true extremes of its curves."""
    p = path.cubics
    spots = [p[:, 0], p[:, 3]]
    a = p[:, 3] - 3 * p[:, 2] + 3 * p[:, 1] - p[:, 0]
    b = 2 * (p[:, 2] - 2 * p[:, 1] + p[:, 0])
    c = p[:, 1] - p[:, 0]
    for t in _roots(a, b, c):
        inside = np.where((t > 0) & (t < 1), t, 0.0)
        u = 1 - inside
        spots.append(
            u**3 * p[:, 0]
            + 3 * u * u * inside * p[:, 1]
            + 3 * u * inside**2 * p[:, 2]
            + inside**3 * p[:, 3]
        )
    every = np.concatenate(spots)
    (left, top), (right, bottom) = every.min(axis=0), every.max(axis=0)
    return float(left), float(top), float(right), float(bottom)


def _roots(a: FloatArray, b: FloatArray, c: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Both roots of a t^2 + b t + c, by the form that loses no digits; 0 where there is none."""
    spread = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))
    q = -(b + np.where(b < 0, -spread, spread)) / 2
    first = np.divide(q, a, out=np.zeros_like(q), where=np.abs(a) > 1e-15)
    second = np.divide(c, q, out=np.zeros_like(q), where=np.abs(q) > 1e-15)
    return first, second


def _cross(p: FloatArray, q: FloatArray) -> FloatArray:
    flat: FloatArray = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    return flat
