"""Margins: how far openings keep from the edge, the stitch line, hardware and bends."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import XY
from filigree.job import Bend, Hole
from filigree.measure.model import Beyond, Margin
from filigree.pattern import Pattern


def margins(
    pattern: Pattern,
    *,
    under: float,
    stitch: float | None = None,
    holes: Sequence[Hole] = (),
    bends: Sequence[Bend] = (),
) -> tuple[Margin, ...]:
    """Measure the margins of every opening that are under `under` mm, narrowest first.

    Args:
        pattern: the finished face.
        under: margins of at least this are left out.
        stitch: stitch line to edge, mm; None for a piece that is not sewn.
        holes: for hardware.
        bends: folds and buckle bends.
    """
    shapes = np.array([o.shape for o in pattern.openings], dtype=object)
    if not len(shapes):
        return ()
    found = _to(pattern, shapes, pattern.outline.exterior, "edge", under)
    if stitch is not None:
        inside = pattern.outline.buffer(-stitch)
        found += _to(pattern, shapes, pattern.outline.difference(inside), "stitch", under)
    for hole in holes:
        disc = shapely.Point(hole.at).buffer(hole.diameter / 2, quad_segs=32)
        found += _to(pattern, shapes, disc, "hole", under)
    for bend in bends:
        line = shapely.LineString([bend.start, bend.end])
        found += _to(pattern, shapes, line, bend.kind, under)
    return tuple(sorted(found, key=lambda m: (m.width, m.opening, m.beyond, m.start, m.end)))


def _to(
    pattern: Pattern,
    shapes: "np.ndarray[tuple[int], np.dtype[np.object_]]",
    other: BaseGeometry,
    beyond: Beyond,
    under: float,
) -> list[Margin]:
    shapely.prepare(other)
    near = np.flatnonzero(shapely.dwithin(other, shapes, under))
    ends = shapely.get_coordinates(shapely.shortest_line(shapes[near], other)).reshape(-1, 2, 2)
    width = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    return [
        Margin(
            opening=pattern.openings[k].id,
            beyond=beyond,
            width=w,
            start=_xy(line[0]),
            end=_xy(line[1]),
        )
        for k, w, line in zip(near.tolist(), width.tolist(), ends.tolist(), strict=True)
        if w < under
    ]


def _xy(point: Sequence[float]) -> XY:
    return (point[0], point[1])
