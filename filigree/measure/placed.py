"""Placed: which of the places that a job names lie off the piece."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Point, Polygon

from filigree.geometry.types import XY
from filigree.job import Use


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A place that a job names: what it is, in words, and its middle, mm."""

    name: str
    at: XY


def off_piece(outline: Polygon, use: Use) -> tuple[Placed, ...]:
    """Find zones, holes and bends of which no part lies on the piece, in the order of the job."""
    named: list[tuple[str, shapely.Geometry]] = [
        *((f"Zone '{zone.name}'", shapely.box(*zone.box)) for zone in use.zones),
        *((_at("Hole", hole.at), Point(hole.at)) for hole in use.holes),
        *((_at("Bend", bend.start), LineString([bend.start, bend.end])) for bend in use.bends),
    ]
    if not named:
        return ()
    shapes = np.array([shape for _, shape in named], dtype=object)
    off = np.flatnonzero(~np.asarray(shapely.intersects(shapes, outline)))
    middles = shapely.bounds(shapes).reshape(-1, 2, 2).mean(axis=1).tolist()
    return tuple(Placed(name=named[k][0], at=_xy(middles[k])) for k in off.tolist())


def _at(what: str, at: XY) -> str:
    return f"{what} at ({at[0]:g}, {at[1]:g})"


def _xy(point: Sequence[float]) -> XY:
    x, y = point
    return x, y
