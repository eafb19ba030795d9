"""Rim: an outline for art that has none, as an even offset round it or a rectangle."""

from dataclasses import replace
from typing import Literal

import numpy as np
import shapely
from shapely import Polygon, box

from filigree.errors import FiligreeError
from filigree.regions.model import RegionMap

MERGE = 2.0  # of the rim's width: parts no farther apart than this become one piece


def with_rim(
    regions: RegionMap, *, width: float, shape: Literal["round", "rectangle"] = "round"
) -> RegionMap:
    """Give the regions a common outline `width` mm outside them.

    "round" grows the art evenly and smooths its bays; parts left apart are joined by the hull.

    Raises:
        FiligreeError: there is nothing enclosed, or `width` is not above 0.
    """
    if not width > 0:
        raise FiligreeError(f"a rim of {width:g} mm", remedy="give a width above 0", where="--rim")
    if not regions.regions:
        raise FiligreeError(
            "nothing enclosed to put a rim round", remedy="close the lines", where="--rim"
        )
    art = shapely.union_all([Polygon(r.shape.exterior) for r in regions.regions])
    if shape == "rectangle":
        left, top, right, bottom = art.bounds
        outline: Polygon = box(left - width, top - width, right + width, bottom + width)
    else:
        grown = art.buffer(width * (1 + MERGE), quad_segs=32).buffer(-width * MERGE, quad_segs=32)
        joined = grown if isinstance(grown, Polygon) else grown.convex_hull
        outline = Polygon(np.asarray(joined.exterior.coords))
    return replace(regions, outline=outline, outlines=())


def with_true_outline(regions: RegionMap) -> RegionMap:
    """Take back an outline that encloses nothing: separate fields are no piece of leather.

    A closed line is the edge of a piece when fields lie inside it. Where the largest is one field of
    several, there is no outline.
    """
    if regions.outline is None or len(regions.regions) < 2:
        return regions
    points = shapely.points([r.at for r in regions.regions])
    shapely.prepare(regions.outline)
    inside = int(np.count_nonzero(shapely.contains(regions.outline, points)))
    if inside > 1:
        return regions
    return replace(regions, outline=None, outlines=())
