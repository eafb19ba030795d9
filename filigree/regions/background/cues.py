"""Cues: what the look of each region says about whether it is background. One row a region.

All cues are free of scale, turning and mirroring. Most important: Ts (what lies on top is motif), share
of wall on the border, reach over the field, thickness, which way smooth walls and corners bend.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.background.alike import Groups
from filigree.regions.background.frame import Border, framed
from filigree.regions.background.junctions import Meetings, Turns, turns
from filigree.regions.background.lines import outlines
from filigree.regions.background.walls import OUTSIDE, Walls
from filigree.regions.model import RegionMap

INSET = (
    1.5  # log of thickness over that of the ring round it: more is a motif with an inner contour
)
OWNS = 0.08  # share of wall: below it an outline of its own may be a misread junction
VEIN = 0.5  # mm: shorter loose ends are crumbs
OWN = (
    "top",
    "under",
    "top_less_under",
    "border_ts",
    "pointed",
    "crossed",
    "convex",
    "reflex",
    "reflex_less_convex",
    "swell",
    "hollow",
    "bends_in",
    "border_share",
    "on_border",
    "reach",
    "thickness",
    "area",
    "area_share",
    "solidity",
    "filled_solidity",
    "roundness",
    "evenness",
    "veins",
    "holes",
    "hole_share",
    "island",
    "alone",
    "neighbours",
    "equals",
    "largest_share",
    "thicker",
    "larger",
    "island_thicker",
    "island_inset",
    "facing",
    "faces_larger",
    "all_under",
    "small_under",
    "own_outline",
    "owns",
    "net_outline",
    "others_outline",
    "all_others",
    "swelling",
)
ROUND_ABOUT = (
    "top",
    "top_less_under",
    "reflex_less_convex",
    "bends_in",
    "border_share",
    "reach",
    "thickness",
    "area",
    "solidity",
    "evenness",
    "veins",
    "hole_share",
    "island",
    "neighbours",
    "own_outline",
    "owns",
    "net_outline",
    "others_outline",
    "swelling",
)
NAMES = (*OWN, *(f"round_about_{name}" for name in ROUND_ABOUT))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cues:
    """Cue values `(n, len(NAMES))`, the weight of each region for its size, `(n,)`, and what meets."""

    values: FloatArray
    weight: FloatArray
    links: "Links"
    met: Meetings


def cues(
    regions: RegionMap,
    shapes: "np.ndarray[tuple[int], np.dtype[np.object_]]",
    thick: FloatArray,
    walls: Walls,
    border: Border,
    groups: Groups,
) -> Cues:
    """Measure every cue of every region, pooled over equal regions."""
    count = len(shapes)
    inside = ~framed(border, count)
    area = shapely.area(shapes)
    links = _links(walls, inside, count)
    turn, met = turns(walls, count, border.edge)
    own = _own(regions, shapes, walls, border, groups, area, thick, links, inside, turn, met)
    about = links.mean([own[name] for name in ROUND_ABOUT])
    columns = [*(own[name] for name in OWN), *about]
    values = groups.mean(np.column_stack(columns))
    middle = float(np.median(area[inside])) if inside.any() else 1.0
    weight = np.clip((area / middle) ** 0.35, 0.2, 8.0)
    weight = groups.mean(weight[:, None])[:, 0]
    return Cues(values=values, weight=weight, links=links, met=met)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Links:
    """Neighbours inside the field: both ends of each, and the length of wall they share."""

    here: IntArray
    there: IntArray
    length: FloatArray
    count: int

    def mean(self, columns: list[FloatArray]) -> list[FloatArray]:
        """Mean of neighbours' values weighted by shared wall; 0 without neighbours."""
        whole = np.bincount(self.here, self.length, minlength=self.count)
        whole = np.where(whole > 0, whole, 1.0)
        return [
            np.bincount(self.here, self.length * c[self.there], minlength=self.count) / whole
            for c in columns
        ]


def _links(walls: Walls, inside: "np.ndarray[tuple[int], np.dtype[np.bool_]]", count: int) -> Links:
    real = (walls.across != OUTSIDE) & (walls.across != walls.region)
    real &= inside[walls.region] & inside[np.maximum(walls.across, 0)]
    key = walls.region[real] * count + walls.across[real]
    pairs, row = np.unique(key, return_inverse=True)
    length = np.bincount(row, walls.length[real], minlength=len(pairs)).astype(np.float64)
    return Links(here=pairs // count, there=pairs % count, length=length, count=count)


def _own(
    regions: RegionMap,
    shapes: "np.ndarray[tuple[int], np.dtype[np.object_]]",
    walls: Walls,
    border: Border,
    groups: Groups,
    area: FloatArray,
    thick: FloatArray,
    links: Links,
    inside: "np.ndarray[tuple[int], np.dtype[np.bool_]]",
    turn: Turns,
    met: Meetings,
) -> dict[str, FloatArray]:
    """Each region's own cues, by name."""
    count = len(shapes)
    around = np.bincount(walls.region, walls.length, minlength=count)
    outline = np.bincount(walls.region, walls.length * ~walls.inner, minlength=count)
    filled = shapely.area(shapely.polygons(shapely.get_exterior_ring(shapes)))
    hull = shapely.area(shapely.convex_hull(shapes))
    near = np.bincount(links.here, minlength=count).astype(np.float64)
    most = np.zeros(count)
    np.maximum.at(most, links.here, links.length)
    hole_count = shapely.get_num_interior_rings(shapes).astype(np.float64)
    loose = _loose(regions, shapes)
    about_thick, about_area = links.mean([np.log(thick), np.log(area)])
    lonely = near == 0
    line = outlines(walls, met, count, border.edge)
    facing, larger = _facing(met, np.log(area))
    island = (near == 1) & (border.share < 0.01)
    thicker = np.where(lonely, 0.0, np.log(thick) - about_thick)
    mid = (
        (np.median(np.log(thick[inside])), np.median(np.log(area[inside])))
        if inside.any()
        else (0, 0)
    )
    return {
        **_turn_cues(turn),
        "border_share": border.share,
        "on_border": (border.share > 0.01).astype(np.float64),
        "reach": _reach(shapes, inside),
        "thickness": np.log(thick) - mid[0],
        "area": np.log(area) - mid[1],
        "area_share": np.sqrt(area / max(float(area[inside].sum()), 1e-9)),
        "solidity": area / np.maximum(hull, 1e-9),
        "filled_solidity": filled / np.maximum(hull, 1e-9),
        "roundness": 4 * np.pi * filled / np.maximum(outline, 1e-9) ** 2,
        "evenness": area / np.maximum(around * thick, 1e-9),
        "veins": np.minimum(loose / np.sqrt(area), 3.0),
        "holes": np.log1p(hole_count),
        "hole_share": 1 - area / filled,
        "island": island.astype(np.float64),
        "alone": lonely.astype(np.float64),
        "neighbours": np.log1p(near),
        "equals": np.log(groups.size),
        "largest_share": most / around,
        "thicker": thicker,
        "larger": np.where(lonely, 0.0, np.log(area) - about_area),
        "island_thicker": np.where(island, thicker, 0.0),
        "island_inset": np.where(island, np.maximum(thicker - INSET, 0.0), 0.0),
        "facing": np.minimum(facing, 4.0),
        "faces_larger": larger,
        "all_under": ((turn.top == 0) & (turn.under >= 3)).astype(np.float64),
        "small_under": np.where((turn.top == 0) & (turn.under >= 3), thicker, 0.0),
        "own_outline": line.own,
        "owns": (line.own > OWNS).astype(np.float64),
        "net_outline": (line.own - line.others) / (line.own + line.others + 0.1),
        "others_outline": line.others,
        "all_others": np.where(line.own < 0.02, line.others, 0.0),
        "swelling": line.swelling,
    }


def _turn_cues(turn: Turns) -> dict[str, FloatArray]:
    ts = turn.top + turn.under + 1.0
    corners = turn.convex + turn.reflex + 1.0
    bend = turn.swell + turn.hollow + 0.5
    return {
        "top": turn.top / ts,
        "under": turn.under / ts,
        "top_less_under": np.arctan((turn.top - turn.under) * 0.5),
        "border_ts": turn.border / (turn.nodes + 1.0),
        "pointed": turn.pointed / (turn.nodes + 1.0),
        "crossed": turn.crossed / (turn.nodes + 1.0),
        "convex": turn.convex / corners,
        "reflex": turn.reflex / corners,
        "reflex_less_convex": np.arctan((turn.reflex - turn.convex) * 0.5),
        "swell": np.minimum(turn.swell / (2 * np.pi), 4.0),
        "hollow": np.minimum(turn.hollow / (2 * np.pi), 4.0),
        "bends_in": (turn.hollow - turn.swell) / bend,
    }


def _facing(met: Meetings, size: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How many regions each faces across junctions of four lines, and how much larger those are, log."""
    here = np.concatenate([met.across[:, 0], met.across[:, 1]])
    there = np.concatenate([met.across[:, 1], met.across[:, 0]])
    count = np.bincount(here, minlength=len(size)).astype(np.float64)
    more = np.bincount(here, size[there] - size[here], minlength=len(size))
    return count, more / np.maximum(count, 1.0)


def _reach(
    shapes: "np.ndarray[tuple[int], np.dtype[np.object_]]",
    inside: "np.ndarray[tuple[int], np.dtype[np.bool_]]",
) -> FloatArray:
    """Diagonal of each region's box over that of the field."""
    box = shapely.bounds(shapes)
    size = np.hypot(box[:, 2] - box[:, 0], box[:, 3] - box[:, 1])
    if not inside.any():
        return np.zeros(len(shapes))
    low, high = box[inside, :2].min(axis=0), box[inside, 2:].max(axis=0)
    return np.asarray(np.minimum(size / np.hypot(*(high - low)), 1.2), dtype=np.float64)


def _loose(
    regions: RegionMap, shapes: "np.ndarray[tuple[int], np.dtype[np.object_]]"
) -> FloatArray:
    """Length of loose lines inside each region, mm."""
    lines = shapely.get_parts(regions.loose)
    length = shapely.length(lines)
    lines, length = lines[length > VEIN], length[length > VEIN]
    total = np.zeros(len(shapes))
    if len(lines):
        middle = shapely.line_interpolate_point(lines, 0.5, normalized=True)
        line, row = shapely.STRtree(shapes).query(middle, predicate="within")
        np.add.at(total, row, length[line])
    return total
