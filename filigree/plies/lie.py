"""Lie: which way a piece lies, from its direction of pull."""

import math

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import FloatArray


def direction(pull: str, outline: Polygon) -> FloatArray:
    """Unit vector along a piece.

    Args:
        pull: "long" for the long side of the smallest rectangle round the outline, "x", "y", or an angle in
            degrees from the x axis toward y.
        outline: the piece, mm.
    """
    if pull == "x":
        return np.array([1.0, 0.0])
    if pull == "y":
        return np.array([0.0, 1.0])
    if pull != "long":
        angle = math.radians(float(pull))
        return np.array([math.cos(angle), math.sin(angle)])
    left, top, right, bottom = outline.bounds
    box = shapely.get_coordinates(outline.minimum_rotated_rectangle)
    sides = np.diff(box[:3], axis=0)
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    plain = (right - left) * (bottom - top)
    if plain <= lengths[0] * lengths[1] * (1 + 1e-6):  # an upright rectangle is as small
        wide = right - left >= bottom - top
        return np.array([1.0, 0.0]) if wide else np.array([0.0, 1.0])
    unit: FloatArray = sides[int(np.argmax(lengths))] / lengths.max()
    return unit if (unit[0], unit[1]) > (0.0, 0.0) else -unit
