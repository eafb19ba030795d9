"""Shared names for coordinates; everything is mm, y down."""

import numpy as np
import numpy.typing as npt
from shapely import MultiPolygon, Polygon

XY = tuple[float, float]
FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]
Shapes = npt.NDArray[np.object_]  # shapely geometries
Area = Polygon | MultiPolygon
