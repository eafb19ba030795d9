"""Inside: points well inside shapes, worked out for all of them when the first is asked for.

The deepest point of a leaf lies on its vein as often as not: a line that ends free parts no fields, but
the point that stands for a field should lie on light, where a number is read and a finger points.
"""

from functools import cached_property

import numpy as np
import shapely
from shapely import MultiLineString

from filigree.geometry.poles import poles
from filigree.geometry.types import XY, FloatArray, IntArray, Shapes

ON_LINE = 0.6  # mm: half of the widest line; a point as near as this to a line may lie on its ink
CUT = 0.01  # mm: width of the cut that a line makes in the shape to be searched
NO_LINES = MultiLineString()


class Inside:
    """A point well inside each of some shapes, off the lines; finding them takes as long as finding the shapes."""

    def __init__(self, shapes: Shapes, lines: MultiLineString = NO_LINES) -> None:
        """Keep the shapes and the lines that may lie in them without parting them, mm."""
        self._shapes = shapes
        self._lines = lines

    @cached_property
    def at(self) -> list[XY]:
        """The points: poles of inaccessibility, or off the lines where a line runs there, mm."""
        return [(x, y) for x, y in self._shown[0].tolist()]

    @cached_property
    def room(self) -> list[float]:
        """How far each is from the edge of its shape, mm."""
        return [float(off) for off in self._shown[1].tolist()]

    @cached_property
    def deepest(self) -> list[XY]:
        """The poles of inaccessibility of the shapes, lines or not, mm."""
        return [(x, y) for x, y in self._poles[0].tolist()]

    @cached_property
    def _poles(self) -> tuple[FloatArray, FloatArray]:
        return poles(self._shapes)

    @cached_property
    def _shown(self) -> tuple[FloatArray, FloatArray]:
        points, room = self._poles
        lines = shapely.get_parts(self._lines)
        if not len(lines) or not len(points):
            return points, room
        tree = shapely.STRtree(lines)
        spots = np.asarray(shapely.points(points), dtype=object)
        near = np.unique(tree.query(spots, predicate="dwithin", distance=ON_LINE)[0])
        points, room = points.copy(), room.copy()
        for k, shape, point in _off_lines(self._shapes, near, tree):
            points[k] = point
            room[k] = shapely.distance(shapely.boundary(shape), shapely.Point(point))
        return points, room


def _off_lines(
    shapes: Shapes, near: IntArray, tree: shapely.STRtree
) -> list[tuple[int, shapely.Polygon, FloatArray]]:
    """Find the deepest point that each shape has between its edge and the lines in it."""
    row, line = tree.query(shapes[near], predicate="intersects")
    found = []
    for k, own in ((k, line[row == place]) for place, k in enumerate(near.tolist())):
        if not len(own):
            continue
        lines = shapely.multilinestrings(tree.geometries[own].tolist())
        cuts = shapely.buffer(lines, CUT / 2, quad_segs=1)
        parts = shapely.get_parts(shapely.difference(shapes[k], cuts))
        parts = parts[(shapely.get_dimensions(parts) == 2) & (shapely.area(parts) > 0)]
        if len(parts):
            at, room = poles(parts)
            found.append((k, shapes[k], at[np.argmax(room)]))
    return found
