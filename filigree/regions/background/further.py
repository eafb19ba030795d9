"""Further cues: what hangs by a region, where it goes on beneath others, how its walls bend, its company.

Like the first cues they are free of turning and mirroring; one row a region.
"""

import numpy as np
import shapely

from filigree.geometry.types import FloatArray
from filigree.regions.background.facts import Facts

FURTHER = (
    "far_top",
    "far_under",
    "far_top_less_under",
    "far_acute",
    "far_sharp",
    "far_square",
    "far_blunt",
    "far_straight",
    "far_reflex",
    "junctions",
    "corner_out",
    "corner_in",
    "curve_out",
    "curve_in",
    "long_out",
    "long_in",
    "long_straight",
    "long_net",
    "fullness",
    "loose_regions",
    "loose_parts",
    "loose_area",
    "loose_all",
    "depth",
    "edge_share",
    "edge_own",
    "strands",
    "strand_share",
    "goes_on",
    "seen_both_sides",
    "beside_equal",
    "group_area",
    "slender",
    "thick_in_span",
    "least_near",
    "most_near",
    "thickest_near",
    "rims",
    "regions",
)
ABOUT = (
    "far_top",
    "far_under",
    "long_out",
    "long_in",
    "long_net",
    "fullness",
    "corner_out",
    "corner_in",
    "loose_area",
    "strands",
    "edge_own",
    "group_area",
    "slender",
)
FURTHER_NAMES = (*FURTHER, *(f"about_{name}" for name in ABOUT))


def further(known: Facts) -> FloatArray:
    """Make the further cues of every region, pooled over equal regions, `(n, len(FURTHER_NAMES))`."""
    own = {
        **_junctions(known),
        **_bends(known),
        **_hold(known),
        **_beneath(known),
        **_place(known),
    }
    about = known.links.mean([own[name] for name in ABOUT])
    return known.groups.mean(np.column_stack([*(own[name] for name in FURTHER), *about]))


def _junctions(known: Facts) -> dict[str, FloatArray]:
    far = known.far
    ts = far.top + far.under + 1.0
    nodes = far.corners.sum(axis=1)
    share = (far.corners / (nodes + 1.0)[:, None]).T
    return {
        "far_top": far.top / ts,
        "far_under": far.under / ts,
        "far_top_less_under": np.arctan((far.top - far.under) * 0.5),
        "far_acute": share[0],
        "far_sharp": share[1],
        "far_square": share[2],
        "far_blunt": share[3],
        "far_straight": share[4],
        "far_reflex": share[5],
        "junctions": np.log1p(nodes),
    }


def _bends(known: Facts) -> dict[str, FloatArray]:
    bend = known.bend
    return {
        "corner_out": np.log1p(4 * bend.corner_out),
        "corner_in": np.log1p(4 * bend.corner_in),
        "curve_out": np.minimum(bend.curve_out, 4.0),
        "curve_in": np.minimum(bend.curve_in, 4.0),
        "long_out": bend.long_out,
        "long_in": bend.long_in,
        "long_straight": bend.long_straight,
        "long_net": (bend.long_in - bend.long_out) / (bend.long_in + bend.long_out + 0.05),
        "fullness": bend.fullness,
    }


def _hold(known: Facts) -> dict[str, FloatArray]:
    hold, area = known.hold, known.area
    rest = np.maximum(area.sum() - area, 1e-9)
    others = max(len(area) - 1, 1)
    return {
        "loose_regions": np.log1p(hold.loose),
        "loose_parts": np.log1p(hold.parts),
        "loose_area": np.minimum(hold.loose_area / area, 6.0),
        "loose_all": hold.loose_area / rest * (hold.loose / others),
        "depth": np.minimum(hold.depth, 6.0),
        "edge_share": known.edge / max(float(known.edge.sum()), 1e-9),
        "edge_own": known.edge / known.around,
    }


def _beneath(known: Facts) -> dict[str, FloatArray]:
    """Where regions go on beneath others: by both edges as a strand does, by one, or on both sides."""
    pairs, lines = known.line.beneath.pairs, known.line.beneath.lines
    count = len(known.area)
    self_same = pairs[:, 0] == pairs[:, 1]

    def each(mask: FloatArray) -> FloatArray:
        return np.bincount(pairs[mask].ravel(), minlength=count).astype(np.float64)

    two, one = each(~self_same & (lines >= 2)), each(~self_same & (lines == 1))
    both = each(self_same) / 2
    return {
        "strands": np.log1p(two),
        "strand_share": two / (two + one + both + 1.0),
        "goes_on": one / (two + one + both + 1.0),
        "seen_both_sides": np.log1p(both),
    }


def _place(known: Facts) -> dict[str, FloatArray]:
    """Among equals, neighbours and the whole."""
    area, links, group = known.area, known.links, known.groups.group
    count = len(area)
    same = group[links.here] == group[links.there]
    beside = np.bincount(links.here, links.length * same, minlength=count) / known.around
    inside = known.inside if known.inside.any() else ~known.inside
    field = area[inside].sum()
    box = shapely.bounds(known.shapes)
    span = np.hypot(box[:, 2] - box[:, 0], box[:, 3] - box[:, 1])
    log_area, log_thick = np.log(area), np.log(known.thick)
    most, least, thickest = np.full(count, -9.0), np.full(count, 9.0), np.full(count, -9.0)
    np.maximum.at(most, links.here, log_area[links.there])
    np.minimum.at(least, links.here, log_area[links.there])
    np.maximum.at(thickest, links.here, log_thick[links.there])
    near = known.near > 0
    return {
        "beside_equal": beside,
        "group_area": np.bincount(group, area)[group] / field,
        "slender": area / np.maximum(span, 1e-9) ** 2,
        "thick_in_span": known.thick / np.maximum(span, 1e-9),
        "least_near": np.where(near, np.clip(log_area - least, -6, 6), 0.0),
        "most_near": np.where(near, np.clip(log_area - most, -6, 6), 0.0),
        "thickest_near": np.where(near, np.clip(log_thick - thickest, -4, 4), 0.0),
        "rims": np.full(count, float(len(known.border.rim) > 0)),
        "regions": np.full(count, np.log(count)),
    }
