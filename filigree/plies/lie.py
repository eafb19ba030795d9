"""Lie: which way a piece lies, from its direction of pull."""

import math

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import FloatArray


def way_said(unit: FloatArray) -> str:
    """Say which way a direction runs on the sheet.

    >>> way_said(np.array([0.0, -1.0])), way_said(np.array([0.8, 0.6]))
    ('up and down', 'at 37 degrees from left-right toward down')
    """
    angle = round(math.degrees(math.atan2(float(unit[1]), float(unit[0])))) % 180
    return {0: "left and right", 90: "up and down"}.get(
        angle, f"at {angle} degrees from left-right toward down"
    )


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
