"""Axis: a line of symmetry, and what it makes of points and shapes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point, STRtree
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import XY

TWIN = 0.1  # mm: a place this near the mirror image of another is that


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A line of symmetry, mm: `x` of an upright one or `y` of a level one; the other is None."""

    x: float | None = None
    y: float | None = None

    def image(self, at: XY) -> XY:
        """Give the mirror image of a point."""
        x = at[0] if self.x is None else 2 * self.x - at[0]
        y = at[1] if self.y is None else 2 * self.y - at[1]
        return x, y

    def leads(self, at: XY) -> bool:
        """Say whether a point lies left of an upright line, or above a level one."""
        return at[0] <= self.x if self.x is not None else at[1] <= (self.y or 0.0)

    def flipped(self, shape: BaseGeometry) -> BaseGeometry:
        """Give the mirror image of a shape."""
        turn = np.array([1.0 if self.x is None else -1.0, 1.0 if self.y is None else -1.0])
        by = np.array([2 * (self.x or 0.0), 2 * (self.y or 0.0)])
        return shapely.transform(shape, lambda points: by + turn * points)

    def paired(self, places: Sequence[XY]) -> list[bool]:
        """Say of each place whether its mirror image is one of them too."""
        if not places:
            return []
        tree = STRtree([Point(at) for at in places])
        images = [Point(self.image(at)) for at in places]
        held = np.zeros(len(places), dtype=bool)
        held[tree.query(images, predicate="dwithin", distance=TWIN)[0]] = True
        found: list[bool] = held.tolist()
        return found
