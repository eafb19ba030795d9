"""Inlay patches: with several colours each gets patches that meet under the middle of the land.

A patch reaches a few millimetres round each of its openings and closes over small gaps between them. Where the reach of two colours overlaps, the
seam runs along the middle of the land between their openings: every place goes to the colour whose opening
is nearest. Seams are curves of their own, shared by both sides, so patches neither overlap nor gape.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon

from filigree.geometry.curves import CurveTable
from filigree.geometry.offset import areas, grown
from filigree.geometry.types import Area, FloatArray, IntArray
from filigree.job import default
from filigree.pattern import Pattern
from filigree.plies.seams import Shapes, seam_lines

GAP = 50.0  # mm2: smaller gaps between openings are not cut out of a patch, about pi 4^2
NOTHING = 1e-6  # mm2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """All patches of one colour, mm.

    Attributes:
        colour: of the leather.
        shape: every patch of that colour; patches of different colours touch but do not overlap.
        curves: the curves of its seams.
    """

    colour: str
    shape: Area
    curves: CurveTable

    @property
    def parts(self) -> list[Polygon]:
        """The patches, each one piece of leather."""
        return [p for p in shapely.get_parts(self.shape).tolist() if isinstance(p, Polygon)]


def patches(pattern: Pattern, colour: str) -> tuple[Patch, ...]:
    """Part the inlay by colour, in the order in which colours first occur.

    Args:
        pattern: its openings say which colour shows.
        colour: of openings that name none.
    """
    names = [o.inlay or colour for o in pattern.openings]
    colours = list(dict.fromkeys(names))
    kind = np.array([colours.index(name) for name in names], dtype=np.int64)
    shapes = np.array([o.shape for o in pattern.openings])
    reach = default("patch.land")
    grounds = [
        areas(shapely.union_all(_around(shapes[kind == c], reach))) for c in range(len(colours))
    ]
    zone, gaps = _disputed(grounds), _gaps(grounds)
    if gaps.area > 0:
        zone = areas(zone.union(gaps))
    lines, curves = seam_lines(shapes, kind, zone, 2 * reach if gaps.area > 0 else reach)
    owned = grounds if zone.is_empty else _owned(grounds, lines, shapes, kind)
    every = shapely.union_all(owned)
    return tuple(
        Patch(colour=name, shape=_whole(shape, areas(every.difference(shape))), curves=curves)
        for name, shape in zip(colours, owned, strict=True)
    )


def file_name(colour: str, taken: Sequence[str]) -> str:
    """Name an inlay's file by its colour, without ending.

    >>> file_name("dark brown", []), file_name("#B22222", ["inlay-b22222.svg"])
    ('inlay-dark-brown', 'inlay-b22222-2')
    """
    plain = re.sub(r"[^a-z0-9]+", "-", colour.lower()).strip("-") or "plain"
    name, count = f"inlay-{plain}", 1
    while f"{name}.svg" in taken:
        count += 1
        name = f"inlay-{plain}-{count}"
    return name


def _around(shapes: Shapes, reach: float) -> list[Area]:
    return [grown(shape, reach) for shape in shapes.tolist()]


def _disputed(grounds: Sequence[Area]) -> Area:
    """Where the reach of two colours overlaps."""
    overlaps = [a.intersection(b) for a, b in combinations(grounds, 2)]
    return areas(shapely.union_all(overlaps)) if overlaps else Polygon()


def _gaps(grounds: Sequence[Area]) -> Area:
    """Small gaps that the reach of all openings leaves between them."""
    whole = shapely.get_parts(shapely.union_all(list(grounds))).tolist()
    holes = [Polygon(ring) for part in whole for ring in part.interiors]
    return areas(shapely.union_all([hole for hole in holes if hole.area <= GAP]))


def _owned(
    grounds: Sequence[Area], lines: Sequence[FloatArray], shapes: Shapes, kind: IntArray
) -> list[Area]:
    """Part the ground along the seams; each face goes to the colour of its nearest opening."""
    edges = [ground.boundary for ground in grounds] + [LineString(c) for c in lines]
    noded = shapely.union_all(edges)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded).tolist()))
    inside = shapely.point_on_surface(faces)
    shapely.prepare(list(grounds))
    tree = shapely.STRtree(shapes)
    (face, nearest), _ = tree.query_nearest(inside, return_distance=True, all_matches=False)
    colour = np.full(len(faces), -1, dtype=np.int64)
    colour[face] = kind[nearest]
    covered = np.any([shapely.covers(ground, inside) for ground in grounds], axis=0)
    colour[~covered & (shapely.area(faces) > GAP)] = -1
    return [
        _kept(areas(shapely.union_all(faces[colour == c])), shapes, kind, c)
        for c in range(len(grounds))
    ]


def _whole(shape: Area, others: Area) -> Area:
    """Close small gaps in patches that hold nothing of another colour."""
    parts = []
    for part in shapely.get_parts(shape).tolist():
        kept = [
            ring
            for ring in part.interiors
            if Polygon(ring).area > GAP or Polygon(ring).intersection(others).area > NOTHING
        ]
        parts.append(Polygon(part.exterior, kept))
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _kept(shape: Area, shapes: Shapes, kind: IntArray, colour: int) -> Area:
    """Patches that hold an opening of theirs; none reaches into an opening of another colour."""
    own, other = shapes[kind == colour], shapes[kind != colour]
    strayed = areas(shape.intersection(shapely.union_all(other)))
    missing = areas(shapely.union_all(own).difference(shape))
    if missing.area > 0:
        shape = areas(shape.union(missing))
    if strayed.area > 0:
        shape = areas(shape.difference(strayed))
    parts = np.array(shapely.get_parts(shape))
    which, _ = shapely.STRtree(own).query(parts, predicate="intersects")
    kept = parts[np.unique(which)].tolist()
    return kept[0] if len(kept) == 1 else MultiPolygon(kept)
