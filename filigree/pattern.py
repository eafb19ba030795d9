"""Pattern: outline, openings and the land of face that stays."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from filigree.drawing.model import Drawing
from filigree.errors import FiligreeError
from filigree.geometry.curves import CurveTable
from filigree.geometry.poles import poles
from filigree.geometry.types import XY, Area
from filigree.regions.model import Choice, Region, RegionMap

RUN = 0.5  # mm: an opening that runs along the outline for less touches it in a point


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What an opening was before it was mended, so that mending it again is held to the same limits.

    Attributes:
        id: the opening as drawn that it is what is left of, or a part of.
        area_mm2: as drawn.
        spared: widths, mm, to which strands beside it were not widened at its cost, since it would lose too much.
    """

    id: int
    area_mm2: float
    spared: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Opening:
    """A hole cut through the face.

    Attributes:
        id: number of its first region, so that regions and openings are counted as one on the proof.
        regions: ids of the regions it is made of, ascending.
        shape: the hole; its own holes are islands of face, or face tied elsewhere.
        at: a point well inside.
        area_mm2: its area.
        inlay: colour seen through it (`#rrggbb` or a name of the palette).
        drawn: what it was, when it has been mended.
    """

    id: int
    regions: tuple[int, ...]
    shape: Polygon
    at: XY
    area_mm2: float
    inlay: str
    drawn: Drawn | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pattern:
    """Outline, openings and land of one face, mm; openings do not overlap and lie in the outline."""

    width: float
    height: float
    outline: Polygon
    openings: tuple[Opening, ...]
    land: Area
    curves: CurveTable


def pattern_of(
    regions: RegionMap,
    choices: Sequence[Choice],
    *,
    drawing: Drawing,
    inlay: str,
    colours: Sequence[tuple[XY, str]] = (),
) -> Pattern | None:
    """Cut the background regions out of the outline.

    Background regions that share a drawn line become one opening. Regions outside the outline
    (of other parts of the sheet) stay uncut.

    Args:
        regions: the regions of `drawing`.
        choices: what becomes of each region, in any order.
        drawing: gives page size and source curves.
        inlay: colour behind an opening that nothing else colours.
        colours: points, mm, and the colour wished for behind the opening that holds each.

    Returns:
        The pattern, openings in order of their ids; None when nothing encloses the regions.

    Raises:
        FiligreeError: a point of `colours` lies in no opening.
    """
    if regions.outline is None:
        return None
    outline = regions.outline
    shapely.prepare(outline)
    wishes = {c.region: c.inlay for c in choices}
    chosen = {c.region for c in choices if c.kind == "background"}
    cut = [r for r in regions.regions if r.id in chosen and outline.covers(Point(r.at))]
    grown = [
        (tuple(r.id for r in group), shape)
        for group in _touching(cut, regions)
        for shape in _merged(group)
    ]
    at, _ = poles([shape for _, shape in grown])
    openings = [
        Opening(
            id=ids[0],
            regions=ids,
            shape=shape,
            at=(float(at[k, 0]), float(at[k, 1])),
            area_mm2=float(shape.area),
            inlay=next((wishes[i] for i in ids if wishes.get(i)), inlay),
        )
        for k, (ids, shape) in enumerate(grown)
    ]
    painted = _with_colours(openings, colours)
    shapes = np.array([o.shape for o in painted], dtype=object)
    holes = shapely.disjoint_subset_union_all(shapes) if painted else Polygon()
    return Pattern(
        width=drawing.width,
        height=drawing.height,
        outline=outline,
        openings=painted,
        land=as_area(outline.difference(holes)),
        curves=drawing.curves,
    )


def on_edge(pattern: Pattern | None) -> tuple[int, ...]:
    """Give the openings that reach along the outline, where no face would be left beside them."""
    if pattern is None or not pattern.openings:
        return ()
    shapes = [o.shape.boundary for o in pattern.openings]
    along = shapely.length(shapely.intersection(shapes, pattern.outline.exterior))
    return tuple(o.id for o, run in zip(pattern.openings, along.tolist(), strict=True) if run > RUN)


def as_area(shape: BaseGeometry) -> Area:
    """Keep the polygons of an overlay, which may come back with points and lines among them."""
    if isinstance(shape, Polygon | MultiPolygon):
        return shape
    parts = [g for g in shapely.get_parts(shape) if isinstance(g, Polygon) and not g.is_empty]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _touching(cut: list[Region], regions: RegionMap) -> list[list[Region]]:
    """Group regions that share a drawn line; groups and members stay in id order."""
    root = {r.id: r.id for r in cut}

    def top(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    for a, b in regions.pairs.tolist():
        if a in root and b in root:
            low, high = sorted((top(a), top(b)))
            root[high] = low
    groups: dict[int, list[Region]] = {}
    for region in cut:
        groups.setdefault(top(region.id), []).append(region)
    return list(groups.values())


def _merged(group: list[Region]) -> list[Polygon]:
    if len(group) == 1:
        return [group[0].shape]
    union = as_area(shapely.union_all([r.shape for r in group]))
    return list(union.geoms) if isinstance(union, MultiPolygon) else [union]


def _with_colours(
    openings: list[Opening], colours: Sequence[tuple[XY, str]]
) -> tuple[Opening, ...]:
    done = list(openings)
    for (x, y), colour in colours:
        hit = next((k for k, o in enumerate(done) if o.shape.intersects(Point(x, y))), None)
        if hit is None:
            raise FiligreeError(
                f"the colour {colour!r} is asked for at ({x:g}, {y:g}) mm, where no opening is",
                remedy="take a point inside an opening, as numbered on the proof",
                where="[choose] colours",
            )
        done[hit] = replace(done[hit], inlay=colour)
    return tuple(done)
