"""Lines of cut: openings, outlines and round holes as ordered paths, the kerf taken into account."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.curves import Source, rings_each
from filigree.geometry.fit import TOLERANCE
from filigree.geometry.offset import grown, shrunk
from filigree.geometry.order import cutting_order
from filigree.geometry.path import (
    Path,
    as_circle,
    bounds,
    circle_path,
    mirrored,
    moved,
)
from filigree.geometry.types import XY, Area, FloatArray
from filigree.pattern import Opening
from filigree.plies.model import Cut

MENDED = 0.002  # mm: bridges that were mended are little wider than wanted
LIKE = 0.03  # mm: a fitted ring this near an exact circle is that circle


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """Where lines of cut go: the sheet's size, where the drawing lies on it, and from which side."""

    size: tuple[float, float]
    offset: XY
    mirrored: bool

    def placed(self, cut: Cut) -> Cut:
        """Lay a cut onto the sheet."""
        paths = [moved(path, self.offset) for path in cut.paths]
        if self.mirrored:
            paths = [mirrored(path, width=self.size[0]) for path in paths]
        return Cut(name=cut.name, paths=tuple(paths), owners=cut.owners)


def opening_cut(
    openings: Sequence[Opening], source: Source, *, stand_back: float, kerf: float
) -> Cut:
    """Paths of the openings in their order of cuts; a path is shrunk by half the kerf (handbook 2.6).

    Args:
        openings: as drawn.
        source: the drawing's curves; what is not moved is written with them.
        stand_back: mm by which openings stay clear of the drawn line, for bevels.
        kerf: width that the cut takes away, mm.

    Returns:
        The cut, with the opening that each path belongs to. An opening too narrow to be cut so has no path.
    """
    by = stand_back + kerf / 2
    rings, owner = rings_each(_shrunk([o.shape for o in openings], by))
    lines = [shapely.get_coordinates(r) for r in rings]
    paths = source.restore(lines, tolerance=closeness(openings))
    if by:
        paths = _exact_circles(paths, [o.shape for o in openings], source, -by)
    order = cutting_order(rings)
    return Cut(
        name="openings",
        paths=tuple(paths[k] for k in order),
        owners=tuple(openings[owner[k]].id for k in order),
    )


def closeness(openings: Sequence[Opening]) -> float:
    """How far, mm, edges that are no curves of the drawing may be written from where they lie.

    Where openings were mended it is little: a bridge that was made just wide enough would come out too narrow when
    the file is read again.
    """
    return MENDED if any(o.drawn is not None for o in openings) else TOLERANCE


def edge_cut(
    name: str, shapes: Sequence[Area], source: Source, *, kerf: float, within: float = TOLERANCE
) -> Cut:
    """Paths round pieces of leather that are kept: grown by half the kerf, in their order of cuts.

    What is no curve of the source is written `within` so many mm of where it lies.
    """
    larger = [grown(shape, kerf / 2, corners=True) for shape in shapes]
    rings, _ = rings_each(larger)
    paths = source.restore([shapely.get_coordinates(r) for r in rings], tolerance=within)
    if kerf:
        paths = _exact_circles(paths, shapes, source, kerf / 2)
    return Cut(name=name, paths=tuple(paths[k] for k in cutting_order(rings)))


def hole_cut(name: str, centres: FloatArray, diameter: float, *, kerf: float) -> Cut:
    """Round holes of a diameter, shrunk by half the kerf, one after its nearest neighbour."""
    radius = max(diameter - kerf, 0.1) / 2
    spots = [(float(x), float(y)) for x, y in centres]
    order = cutting_order([Polygon(shapely.Point(s).buffer(radius).exterior) for s in spots])
    return Cut(name=name, paths=tuple(circle_path(spots[k], radius) for k in order))


def _shrunk(shapes: Sequence[Polygon], by: float) -> list[Area]:
    return [shrunk(shape, by) if by else shape for shape in shapes]


def _exact_circles(
    paths: Sequence[Path], shapes: Sequence[Area], source: Source, by: float
) -> list[Path]:
    """Write rings that were offset from drawn circles as true circles, not as fitted ones."""
    rings, _ = rings_each(shapes)
    drawn = source.restore([shapely.get_coordinates(r) for r in rings])
    holes = ~np.asarray(shapely.is_ccw(rings))
    found = []
    for path, hole in zip(drawn, holes.tolist(), strict=True):
        circle = as_circle(path)
        if circle is not None:
            centre, radius = circle
            found.append((*centre, radius + (-by if hole else by), hole))
    if not found:
        return list(paths)
    table = np.array([row[:3] for row in found])
    frames = np.column_stack([table[:, :2] - table[:, 2:], table[:, :2] + table[:, 2:]])
    return [_as_one_of(path, frames, found) for path in paths]


def _as_one_of(
    path: Path, frames: FloatArray, circles: Sequence[tuple[float, float, float, bool]]
) -> Path:
    off = np.abs(frames - np.array(bounds(path))).max(axis=1)
    nearest = int(np.argmin(off))
    x, y, radius, hole = circles[nearest]
    if off[nearest] > LIKE or radius <= 0 or path.straight.any():
        return path
    return circle_path((x, y), radius, backwards=hole)
