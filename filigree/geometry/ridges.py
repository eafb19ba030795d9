"""Ridges: the lines halfway between neighbouring places (edges of their Voronoi cells).

They are taken from the triangles that join the places: each ridge runs from the middle of the circle round
one triangle to that of its neighbour.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.mesh import triangles
from filigree.geometry.types import FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ridges:
    """Ridges between places.

    Attributes:
        ends: both ends of each ridge, mm, shape `(k, 2, 2)`; each is as far from both places as from
            any third.
        between: the two places that each ridge parts, as indices, shape `(k, 2)`.
    """

    ends: FloatArray
    between: IntArray


def ridges(points: FloatArray) -> Ridges:
    """Find the ridges between places, shape `(n, 2)`, mm; those that run out of sight have no end and are left out.

    Places on one line or circle are moved by up to 0.00005 mm before they are joined. Fewer than three
    places, or places on one line, have no ridge.
    """
    corner = triangles(points)
    one, two = corner[:, [1, 2, 0]].ravel(), corner[:, [2, 0, 1]].ravel()
    key = np.minimum(one, two) * len(points) + np.maximum(one, two)
    order = np.argsort(key, kind="stable")
    same = np.flatnonzero(key[order][1:] == key[order][:-1])
    first, second = order[same], order[same + 1]
    middle = _middles(points[corner])
    return Ridges(
        ends=np.stack([middle[first // 3], middle[second // 3]], axis=1),
        between=np.stack([one[first], two[first]], axis=1),
    )


def _middles(corners: FloatArray) -> FloatArray:
    """Middle of the circle round each triangle, shape `(m, 3, 2)` to `(m, 2)`."""
    x, y = np.moveaxis(corners[:, 1:] - corners[:, :1], 2, 0)
    square = x * x + y * y
    doubled = 2 * (x[:, 0] * y[:, 1] - x[:, 1] * y[:, 0])
    across = y[:, 1] * square[:, 0] - y[:, 0] * square[:, 1]
    up = x[:, 0] * square[:, 1] - x[:, 1] * square[:, 0]
    middle: FloatArray = corners[:, 0] + np.stack([across / doubled, up / doubled], axis=1)
    return middle
