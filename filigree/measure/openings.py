"""Openings: clear width, area, tight corners, and the sharp points of face beside them."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon

from filigree.geometry.bends import sharp_tips, tight_bends
from filigree.geometry.necks import find_necks
from filigree.geometry.rings import rings_of
from filigree.geometry.types import XY
from filigree.measure.model import EDGE, Corner, OpeningSize, Side, Tip
from filigree.pattern import Opening, Pattern

CORNER = math.radians(45)  # less turning is no corner
CORNER_UNDER = 3.0  # mm: radii up to this are told
POINT = 60.0  # degrees: points of face up to this are told
TIP_WITHIN = 0.5  # mm of edge: a point blunted on more than this is not sharp (handbook 2.2)
ON = 1e-6  # mm
DISC = 2e-3  # mm: a widest disc is found as near as this to its radius, whatever is asked for


def opening_sizes(
    pattern: Pattern,
    *,
    under: float,
    corner: float = CORNER_UNDER,
    known: Mapping[int, OpeningSize] | None = None,
) -> tuple[OpeningSize, ...]:
    """Measure every opening: waists and arms up to `under` mm wide, corners up to a radius of `corner` mm.

    Sizes that are known, by the identity of the shape, are taken as they are.
    """
    known = known or {}
    new = iter(_sizes([o for o in pattern.openings if id(o.shape) not in known], under, corner))
    return tuple(
        replace(known[id(o.shape)], id=o.id, at=o.at) if id(o.shape) in known else next(new)
        for o in pattern.openings
    )


def _sizes(openings: Sequence[Opening], under: float, corner: float) -> list[OpeningSize]:
    shapes = [o.shape for o in openings]
    if not shapes:
        return []
    rings = rings_of(MultiPolygon(shapes))
    held = np.array(shapes, dtype=object)
    radii = shapely.length(shapely.maximum_inscribed_circle(held, tolerance=DISC))
    waists: dict[int, tuple[float, tuple[XY, XY]]] = {}
    found = find_necks(MultiPolygon(shapes), under=under)
    owner = found.rings.part[found.rings.ring[found.edge[:, 0]]]
    for part, width, ends in zip(
        owner.tolist(), found.width.tolist(), found.ends.tolist(), strict=True
    ):
        waists.setdefault(part, (width, ((ends[0][0], ends[0][1]), (ends[1][0], ends[1][1]))))
    bends = tight_bends(rings, under=corner, turn=CORNER)
    corners: list[list[Corner]] = [[] for _ in shapes]
    for k, radius, turn in zip(
        bends.vertex.tolist(), bends.radius.tolist(), bends.turn.tolist(), strict=True
    ):
        at = (float(rings.xy[k, 0]), float(rings.xy[k, 1]))
        corners[int(rings.part[rings.ring[k]])].append(
            Corner(at=at, radius=radius, turn_deg=math.degrees(turn))
        )
    sizes = []
    for k, opening in enumerate(openings):
        disc = 2 * float(radii[k])
        width, ends_of = waists.get(k, (disc, None))
        sizes.append(
            OpeningSize(
                id=opening.id,
                at=opening.at,
                area_mm2=opening.area_mm2,
                width=min(width, disc),
                disc=disc,
                ends=ends_of,
                corners=tuple(sorted(corners[k], key=lambda c: (c.radius, -c.turn_deg, c.at))),
            )
        )
    return sizes


def face_tips(pattern: Pattern, *, under: float = POINT) -> tuple[Tip, ...]:
    """Find the points of face sharper than `under` degrees, sharpest first."""
    rings = rings_of(pattern.land)
    found = sharp_tips(rings, within=TIP_WITHIN, turn=math.radians(180 - under))
    at = rings.xy[found.vertex]
    beside: list[Side] = [EDGE] * len(at)
    if len(at) and pattern.openings:
        tree = shapely.STRtree([o.shape for o in pattern.openings])
        points = np.asarray(shapely.points(at), dtype=object)
        for k, o in tree.query(points, predicate="dwithin", distance=ON).T.tolist():
            beside[k] = pattern.openings[o].id
    tips = [
        Tip(at=(x, y), angle_deg=max(180 - math.degrees(turn), 0.0), beside=side)
        for (x, y), turn, side in zip(at.tolist(), found.turn.tolist(), beside, strict=True)
    ]
    return tuple(sorted(tips, key=lambda t: (t.angle_deg, t.at)))
