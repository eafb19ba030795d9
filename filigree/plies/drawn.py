"""Drawn: the pattern as curves with room for labels, finished geometry for every picture."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon

from filigree.drawing.model import Drawing
from filigree.geometry.curves import Source
from filigree.geometry.path import Path
from filigree.geometry.poles import poles
from filigree.geometry.types import XY, FloatArray
from filigree.pattern import Pattern
from filigree.regions.model import Choice, Kind, RegionMap

PICTURE = 0.02  # mm: lines in pictures may be simplified by this much


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnOpening:
    """One opening for pictures: its rings as paths, the place and room for its number, mm."""

    id: int
    paths: tuple[Path, ...]
    inlay: str
    at: XY
    room: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Number of a region, with the radius of free room round `at`, mm."""

    id: int
    at: XY
    room: float
    kind: Kind
    sure: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """Everything a picture shows of a drawing and its pattern.

    Attributes:
        bounds: left, top, right, bottom of all that is shown.
        outline: rings of the outline; empty when there is none.
        openings: in order of their ids.
        labels: one a region, in order of their ids.
        lines: the drawn lines, simplified, each `(n, 2)`.
    """

    bounds: tuple[float, float, float, float]
    outline: tuple[Path, ...]
    openings: tuple[DrawnOpening, ...]
    labels: tuple[Label, ...]
    lines: tuple[FloatArray, ...]


def draw(
    drawing: Drawing, regions: RegionMap, choices: Sequence[Choice], pattern: Pattern | None
) -> Drawn:
    """Finish the geometry of every picture of this drawing."""
    source = Source(drawing.curves)
    at, room = poles([r.shape for r in regions.regions])
    by_id = {c.region: c for c in choices}
    labels = tuple(
        Label(
            id=r.id,
            at=(float(at[k, 0]), float(at[k, 1])),
            room=float(room[k]),
            kind=by_id[r.id].kind,
            sure=by_id[r.id].sure,
        )
        for k, r in enumerate(regions.regions)
    )
    lines = tuple(_simple(line) for line in drawing.lines)
    spots = [b for b in (*lines, *([_ring(pattern.outline)] if pattern else [])) if len(b)]
    every = np.vstack(spots) if spots else np.array([[0.0, 0.0], [drawing.width, drawing.height]])
    left, top = every.min(axis=0).tolist()
    right, bottom = every.max(axis=0).tolist()
    return Drawn(
        bounds=(left, top, right, bottom),
        outline=source.paths(pattern.outline) if pattern else (),
        openings=_openings(pattern, source) if pattern else (),
        labels=labels,
        lines=lines,
    )


def _openings(pattern: Pattern, source: Source) -> tuple[DrawnOpening, ...]:
    """Every opening once, with all its parts; its number goes into the part with the most room."""
    shapes = [o.shape for o in pattern.openings]
    at, room = poles(shapes)
    paths = source.paths_each(shapes)
    parts: dict[int, list[int]] = {}
    for k, o in enumerate(pattern.openings):
        parts.setdefault(o.id, []).append(k)
    return tuple(
        DrawnOpening(
            id=pattern.openings[k].id,
            paths=tuple(path for part in own for path in paths[part]),
            inlay=pattern.openings[k].inlay,
            at=(float(at[k, 0]), float(at[k, 1])),
            room=float(room[k]),
        )
        for own in parts.values()
        for k in (max(own, key=lambda part: (float(room[part]), -part)),)
    )


def _simple(line: FloatArray) -> FloatArray:
    if len(line) < 3:
        return line
    return np.asarray(shapely.get_coordinates(LineString(line).simplify(PICTURE)))


def _ring(shape: Polygon) -> FloatArray:
    return np.asarray(shapely.get_coordinates(shape))
