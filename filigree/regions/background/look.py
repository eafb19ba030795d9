"""Look: everything about a region map that the guess rests on, measured once."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.background.alike import Groups, groups
from filigree.regions.background.cues import cues
from filigree.regions.background.facts import Links, facts
from filigree.regions.background.frame import Border, border
from filigree.regions.background.further import further
from filigree.regions.background.lines import Beneath
from filigree.regions.background.walls import OUTSIDE, Walls, walls
from filigree.regions.model import RegionMap

TOUCH = 0.05  # mm: neighbours share more line than this


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Look:
    """Cues of every region and what ties regions together; rows follow `RegionMap.regions`.

    Attributes:
        cues: `(n, k)`, columns as in `cues.NAMES`.
        further: `(n, m)`, columns as in `further.FURTHER_NAMES`.
        weight: weight of each region for its size, `(n,)`.
        border: rim, bands and share of wall on the border.
        groups: equal regions and mirror images.
        pairs: rows of regions that share a drawn line, `(m, 2)`.
        dark_share: share of each region's wall on dark ink, `(n,)`.
        links: neighbours inside the field.
        across: rows that face each other where four lines meet, `(j, 2)`.
        beneath: which rows go on beneath others.
        area: of each region, mm2, `(n,)`.
        edge: wall of each region on the piece's edge, mm, `(n,)`.
    """

    cues: FloatArray
    further: FloatArray
    weight: FloatArray
    border: Border
    groups: Groups
    pairs: IntArray
    dark_share: FloatArray
    links: Links
    across: IntArray
    beneath: Beneath
    area: FloatArray
    edge: FloatArray

    @property
    def every(self) -> FloatArray:
        """All cues side by side, `(n, k + m)`."""
        return np.hstack([self.cues, self.further])


def look(regions: RegionMap) -> Look:
    """Measure the cues of every region; there must be at least one."""
    shapes = np.array([r.shape for r in regions.regions])
    deepest = [r.inside.deepest[r.row] for r in regions.regions]
    at = shapely.points(np.array(deepest).reshape(-1, 2))
    thick = np.maximum(shapely.distance(at, shapely.boundary(shapes)), 1e-3)
    wall = walls(shapes)
    frame = border(shapes, wall)
    equal = groups(shapes, thick)
    pairs = _rows(regions)
    known = facts(regions, shapes, thick, wall, frame, equal, pairs)
    found = cues(known)
    return Look(
        cues=found.values,
        further=further(known),
        weight=found.weight,
        border=frame,
        groups=equal,
        pairs=pairs,
        dark_share=_dark_share(regions, wall),
        links=known.links,
        across=known.met.across,
        beneath=known.line.beneath,
        area=np.asarray(shapely.area(shapes), dtype=np.float64),
        edge=known.edge,
    )


def _dark_share(regions: RegionMap, wall: Walls) -> FloatArray:
    """Share of each region's wall that has dark ink behind it."""
    solid = np.array([r.solid for r in regions.regions])
    dark = (wall.across != OUTSIDE) & solid[np.maximum(wall.across, 0)]
    count = len(solid)
    around = np.bincount(wall.region, wall.length, minlength=count)
    on_dark = np.bincount(wall.region, wall.length * dark, minlength=count)
    return np.asarray(on_dark / np.maximum(around, 1e-9), dtype=np.float64)


def _rows(regions: RegionMap) -> IntArray:
    """Pairs of neighbours as rows instead of ids."""
    ids = np.array([r.id for r in regions.regions], dtype=np.int64)
    close = regions.pairs[regions.shared > TOUCH].reshape(-1, 2)
    return np.asarray(np.searchsorted(ids, close), dtype=np.int64)
