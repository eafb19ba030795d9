"""Cubic Béziers, many at once: points, and parts cut out of them by de Casteljau's rule."""

import numpy as np

from filigree.geometry.types import FloatArray


def points_at(cubics: FloatArray, t: FloatArray) -> FloatArray:
    """Point of each cubic at its own parameter, shape `(n, 2)`.

    Args:
        cubics: control points, shape `(n, 4, 2)`.
        t: parameters, shape `(n,)`.
    """
    u = 1 - t
    weights = np.stack([u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t], axis=1)
    points: FloatArray = np.einsum("nk,nkd->nd", weights, cubics)
    return points


def parts_of(cubics: FloatArray, t0: FloatArray, t1: FloatArray) -> FloatArray:
    """Cut the part from `t0` to `t1` out of each cubic; it runs backwards where `t0` > `t1`.

    A whole curve comes back with its control points untouched.

    Args:
        cubics: control points, shape `(n, 4, 2)`.
        t0: parameter where each part starts, shape `(n,)`.
        t1: parameter where each part ends, shape `(n,)`.

    Returns:
        Control points of the parts, shape `(n, 4, 2)`.
    """
    corners = ((t0, t0, t0), (t0, t0, t1), (t0, t1, t1), (t1, t1, t1))
    parts = np.stack([_blossom(cubics, *ts) for ts in corners], axis=1)
    whole = (t0 == 0) & (t1 == 1)
    parts[whole] = cubics[whole]
    back = (t0 == 1) & (t1 == 0)
    parts[back] = cubics[back, ::-1]
    return parts


def lines_as_cubics(starts: FloatArray, ends: FloatArray) -> FloatArray:
    """Straight pieces as cubics with their inner points at the thirds, shape `(n, 4, 2)`."""
    step = (ends - starts) / 3
    return np.stack([starts, starts + step, ends - step, ends], axis=1)


def _blossom(cubics: FloatArray, a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Polar form of each cubic: de Casteljau with one parameter a step."""
    level = cubics
    for t in (a, b, c):
        u = t[:, None, None]
        level = (1 - u) * level[:, :-1] + u * level[:, 1:]
    flat: FloatArray = level[:, 0]
    return flat
