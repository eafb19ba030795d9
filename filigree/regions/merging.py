"""Merging: faces put together by taking out the line between them, with their measures kept up."""

import math

from filigree.regions.faces import OUTSIDE, Faces


class Merging:
    """Which faces have become one, and the area and boundary of each; works on its own copies."""

    def __init__(self, faces: Faces) -> None:
        self._parent = list(range(len(faces)))
        self._area: list[float] = faces.area.tolist()
        self._around: list[float] = faces.around.tolist()

    def root(self, face: int) -> int:
        """Face that `face` is now part of, or OUTSIDE."""
        parent = self._parent
        while face != OUTSIDE and parent[face] != face:
            above = parent[face]
            if above != OUTSIDE:
                parent[face] = parent[above]
            face = above
        return face

    def thickness(self, root: int) -> float:
        """Mean width of a face that is a root, mm."""
        if root == OUTSIDE or self._around[root] <= 0:
            return math.inf
        return 2 * self._area[root] / self._around[root]

    def around(self, root: int) -> float:
        """Length of the whole boundary of a face that is a root, mm."""
        return self._around[root]

    def merge(self, a: int, b: int, shared: float) -> int:
        """Take out `shared` mm of line between two roots, or inside one; give the root of both."""
        low, high = min(a, b), max(a, b)
        if low != high:
            self._parent[high] = low
            if low != OUTSIDE:
                self._area[low] += self._area[high]
                self._around[low] += self._around[high]
        if low != OUTSIDE:
            self._around[low] -= 2 * shared
        return low
