"""Lie: words for the way that a piece lies."""

import math

from filigree.geometry.types import FloatArray


def way_said(unit: FloatArray) -> str:
    """Say which way a direction runs on the sheet.

    >>> import numpy as np
    >>> way_said(np.array([0.0, -1.0])), way_said(np.array([0.8, 0.6]))
    ('up and down', 'at 37 degrees from left-right toward down')
    """
    angle = round(math.degrees(math.atan2(float(unit[1]), float(unit[0])))) % 180
    return {0: "left and right", 90: "up and down"}.get(
        angle, f"at {angle} degrees from left-right toward down"
    )
