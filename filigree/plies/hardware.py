"""Hardware: the holes that a job names for rivets, snaps, straps and buckles go through every ply."""

from collections import Counter

import numpy as np
from shapely import Point, Polygon

from filigree.geometry.types import Area, FloatArray
from filigree.job import Hole
from filigree.plies.lines import hole_cut
from filigree.plies.model import Cut


def on_piece(holes: tuple[Hole, ...], outline: Polygon) -> tuple[Hole, ...]:
    """Keep the holes of which some part lies on the piece."""
    return tuple(hole for hole in holes if _disc(hole).intersects(outline))


def through(holes: tuple[Hole, ...], leather: Area) -> tuple[Hole, ...]:
    """Keep the holes of which some part goes through a ply's leather; one inside an opening cuts nothing."""
    return tuple(hole for hole in holes if _disc(hole).intersection(leather).area > 0)


def centres(holes: tuple[Hole, ...]) -> FloatArray:
    """Middles of the holes, `(n, 2)`, mm."""
    return np.array([hole.at for hole in holes], dtype=np.float64).reshape(-1, 2)


def hardware_cut(holes: tuple[Hole, ...], spots: FloatArray, *, kerf: float) -> tuple[Cut, ...]:
    """Cut the holes at their spots, small ones first, in one group; nothing without holes.

    Args:
        holes: for their diameters.
        spots: their middles as they lie on this ply, `(n, 2)`.
        kerf: width that the cut takes away, mm.
    """
    sizes = np.array([hole.diameter for hole in holes])
    paths = [
        path
        for size in np.unique(sizes).tolist()
        for path in hole_cut("hardware-holes", spots[sizes == size], size, kerf=kerf).paths
    ]
    return (Cut(name="hardware-holes", paths=tuple(paths)),) if paths else ()


def counts(holes: tuple[Hole, ...]) -> tuple[tuple[float, int], ...]:
    """Give each diameter, mm, and how many holes have it, small ones first."""
    return tuple(sorted(Counter(hole.diameter for hole in holes).items()))


def _disc(hole: Hole) -> Polygon:
    return Polygon(Point(hole.at).buffer(hole.diameter / 2).exterior)
