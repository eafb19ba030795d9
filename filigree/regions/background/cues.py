"""Cues: what the look of each region says about whether it is background. One row a region.

All cues are free of turning and mirroring, and of scale but for how far out directions are taken. Most
important: whose outlines the walls are and what lies on top at junctions, which way smooth walls and
corners bend, share of wall on the border, thickness, and the same of the neighbours.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import FloatArray
from filigree.regions.background.facts import Facts

OWNS = 0.08  # share of wall: below it an outline of its own may be a misread junction
INSET = (
    1.5  # log of thickness over that of the ring round it: more is a motif with an inner contour
)
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
    """Cue values `(n, len(NAMES))`, and the weight of each region for its size, `(n,)`."""

    values: FloatArray
    weight: FloatArray


def cues(known: Facts) -> Cues:
    """Make every cue of every region, pooled over equal regions."""
    inside, area = known.inside, known.area
    own = {
        **_turns(known),
        **_sizes(known),
        **_forms(known),
        **_company(known),
        **_outlines(known),
    }
    about = known.links.mean([own[name] for name in ROUND_ABOUT])
    values = known.groups.mean(np.column_stack([*(own[name] for name in OWN), *about]))
    middle = float(np.median(area[inside])) if inside.any() else 1.0
    weight = np.clip((area / middle) ** 0.35, 0.2, 8.0)
    return Cues(values=values, weight=known.groups.mean(weight[:, None])[:, 0])


def _turns(known: Facts) -> dict[str, FloatArray]:
    """Junctions, corners and smooth bends."""
    turn = known.turn
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


def _sizes(known: Facts) -> dict[str, FloatArray]:
    """Sizes against the rest of the field."""
    area, inside = known.area, known.inside
    some = inside if inside.any() else ~inside
    box = shapely.bounds(known.shapes)
    span = np.hypot(box[:, 2] - box[:, 0], box[:, 3] - box[:, 1])
    field = np.hypot(*(box[some, 2:].max(axis=0) - box[some, :2].min(axis=0)))
    return {
        "reach": np.minimum(span / field, 1.2),
        "thickness": np.log(known.thick) - np.median(np.log(known.thick[some])),
        "area": np.log(area) - np.median(np.log(area[some])),
        "area_share": np.sqrt(area / area[some].sum()),
    }


def _forms(known: Facts) -> dict[str, FloatArray]:
    """Forms, holes and veins."""
    area, filled = known.area, known.filled
    hull = np.maximum(shapely.area(shapely.convex_hull(known.shapes)), 1e-9)
    return {
        "border_share": known.border.share,
        "on_border": (known.border.share > 0.01).astype(np.float64),
        "solidity": area / hull,
        "filled_solidity": filled / hull,
        "roundness": 4 * np.pi * filled / np.maximum(known.outer, 1e-9) ** 2,
        "evenness": area / np.maximum(known.around * known.thick, 1e-9),
        "veins": np.minimum(known.loose / np.sqrt(area), 3.0),
        "holes": np.log1p(shapely.get_num_interior_rings(known.shapes)),
        "hole_share": 1 - area / filled,
    }


def _company(known: Facts) -> dict[str, FloatArray]:
    """Neighbours, equals, what lies round and across."""
    log_thick, log_area = np.log(known.thick), np.log(known.area)
    about_thick, about_area = known.links.mean([log_thick, log_area])
    alone = known.near == 0
    thicker = np.where(alone, 0.0, log_thick - about_thick)
    island = (known.near == 1) & (known.border.share < 0.01)
    most = np.zeros(len(alone))
    np.maximum.at(most, known.links.here, known.links.length)
    facing, larger = _facing(known, log_area)
    beneath = (known.turn.top == 0) & (known.turn.under >= 3)
    return {
        "island": island.astype(np.float64),
        "alone": alone.astype(np.float64),
        "neighbours": np.log1p(known.near),
        "equals": np.log(known.groups.size),
        "largest_share": most / known.around,
        "thicker": thicker,
        "larger": np.where(alone, 0.0, log_area - about_area),
        "island_thicker": np.where(island, thicker, 0.0),
        "island_inset": np.where(island, np.maximum(thicker - INSET, 0.0), 0.0),
        "facing": np.minimum(facing, 4.0),
        "faces_larger": larger,
        "all_under": beneath.astype(np.float64),
        "small_under": np.where(beneath, thicker, 0.0),
    }


def _outlines(known: Facts) -> dict[str, FloatArray]:
    """Whose outlines the walls are."""
    line = known.line
    return {
        "own_outline": line.own,
        "owns": (line.own > OWNS).astype(np.float64),
        "net_outline": (line.own - line.others) / (line.own + line.others + 0.1),
        "others_outline": line.others,
        "all_others": np.where(line.own < 0.02, line.others, 0.0),
        "swelling": line.swelling,
    }


def _facing(known: Facts, size: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How many regions each faces across junctions of four lines, and how much larger those are, log."""
    met = known.met
    here = np.concatenate([met.across[:, 0], met.across[:, 1]])
    there = np.concatenate([met.across[:, 1], met.across[:, 0]])
    count = np.bincount(here, minlength=len(size)).astype(np.float64)
    more = np.bincount(here, size[there] - size[here], minlength=len(size))
    return count, more / np.maximum(count, 1.0)
