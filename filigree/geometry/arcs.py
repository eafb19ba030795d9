"""Elliptical arcs as cubic Béziers.

Each piece turns by at most 30 degrees: with inner points at k = 4/3 tan(turn / 4) the radius is then
off by at most 4e-7 of itself (closed form of the standard approximation; the error falls with the sixth
power of the turn, 2.7e-4 at 90 degrees).
"""

import math

import numpy as np

from filigree.geometry.types import XY, FloatArray

MOST_TURN = math.radians(30)
FAR = 1e100  # user units: arcs that reach this far, or are as small, are straight; their squares leave the floats


def arc_cubics(
    start: XY, *, rx: float, ry: float, rotation: float, large: bool, sweep: bool, end: XY
) -> FloatArray:
    """Turn an arc given by its end points into cubics (SVG 2, appendix B.2.4 and B.2.5).

    Args:
        start: first point.
        rx: first radius; scaled up together with `ry` when the ends lie too far apart.
        ry: second radius.
        rotation: of the first radius against the x axis, degrees.
        large: take the longer way round.
        sweep: turn towards positive angles (x to y).
        end: last point.

    Returns:
        Control points, shape `(n, 4, 2)`; empty when start and end are the same point. A radius of 0
        gives one straight piece.
    """
    if start == end:
        return np.empty((0, 4, 2))
    rx, ry = abs(rx), abs(ry)
    if min(rx, ry) < 1 / FAR or max(rx, ry, *map(abs, (*start, *end))) > FAR:
        with np.errstate(
            over="ignore", invalid="ignore"
        ):  # the reader looks for what is not finite
            return np.linspace(start, end, 4)[None]
    turn = math.radians(rotation % 360)
    cos, sin = math.cos(turn), math.sin(turn)
    half_x, half_y = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    x, y = cos * half_x + sin * half_y, cos * half_y - sin * half_x
    excess = (x / rx) ** 2 + (y / ry) ** 2
    if excess > 1:
        rx, ry = rx * math.sqrt(excess), ry * math.sqrt(excess)
        excess = 1.0
    away = math.sqrt(max(0.0, 1 / excess - 1)) * (-1 if large == sweep else 1)
    middle_x, middle_y = away * rx * y / ry, -away * ry * x / rx
    first = math.atan2((y - middle_y) / ry, (x - middle_x) / rx)
    last = math.atan2((-y - middle_y) / ry, (-x - middle_x) / rx)
    swept = (last - first) % math.tau
    if not sweep:
        swept -= math.tau
    unit: FloatArray = _unit_arc(first, swept) * (rx, ry) + (middle_x, middle_y)
    cubics: FloatArray = unit @ np.array([[cos, sin], [-sin, cos]])
    cubics += ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    cubics[0, 0], cubics[-1, 3] = start, end
    return cubics


def ellipse_cubics(centre: XY, rx: float, ry: float) -> FloatArray:
    """Turn a whole ellipse, from its point at positive x round to it again, into `(12, 4, 2)` cubics."""
    with np.errstate(over="ignore"):  # the reader looks for what is not finite
        cubics: FloatArray = _unit_arc(0.0, math.tau) * (rx, ry) + centre
    cubics[-1, 3] = cubics[0, 0]
    return cubics


def _unit_arc(first: float, swept: float) -> FloatArray:
    """Cubics of the unit circle from the angle `first` over `swept` radians."""
    count = max(1, math.ceil(abs(swept) / MOST_TURN - 1e-9))
    angles = first + swept * np.arange(count + 1) / count
    on = np.column_stack([np.cos(angles), np.sin(angles)])
    along = np.column_stack([-on[:, 1], on[:, 0]]) * (4 / 3 * math.tan(swept / count / 4))
    return np.stack([on[:-1], on[:-1] + along[:-1], on[1:] - along[1:], on[1:]], axis=1)
