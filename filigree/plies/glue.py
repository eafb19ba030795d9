"""Glue map: where cement goes on the back of the face (handbook 3.1).

No cement may reach an opening, so it is kept back from every edge of one; but narrow strands must hold, so
there it is kept back by no more than a quarter of their width.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon

from filigree.geometry.curves import Source
from filigree.geometry.offset import areas, quarter_segments
from filigree.geometry.path import Path
from filigree.geometry.ridges import ridges
from filigree.geometry.types import Area, FloatArray
from filigree.job import Job, default
from filigree.pattern import Pattern
from filigree.plies.model import Ply

STEP = 0.25  # mm: between places taken along the edges of openings
OPPOSITE = 1.2  # times half the width: places nearer to each other lie on one side of the land
NOTCH = 0.8  # mm: notches narrower than twice this are filled
SPUR = 0.2  # mm: spurs narrower than twice this are dropped
DROP = 1.0  # mm2: smaller drops and holes are left out
NEAREST = 0.35  # mm: cement keeps at least this far from an opening when notches are filled
SMOOTH = 0.02  # mm: edges of the map may be simplified by this much


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GlueMap:
    """Where cement goes, mm, seen from the front; it is spread on the flesh side, mirrored.

    Attributes:
        shape: cemented land of the face.
        paths: its edges.
        area_mm2: bonded area, counted once.
        spread_mm2: area to spread, on both plies.
        keep_out: from openings where the land is wide.
    """

    shape: Area
    paths: tuple[Path, ...]
    area_mm2: float
    spread_mm2: float
    keep_out: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One bond of the stack: the two plies, front first, and the area that stays bonded, counted once."""

    plies: tuple[str, str]
    area_mm2: float


def joints(pattern: Pattern, glue: GlueMap, plies: Sequence[Ply]) -> tuple[Joint, ...]:
    """List the bonds of a stack from the face inward (handbook 3.1).

    The face is bonded where the glue map says and an inlay lies behind it. Behind the inlay plies are bonded edge
    to edge over the whole piece; beside patches of several colours the face itself takes that bond.

    Args:
        pattern: whose outline is what stays of every ply.
        glue: its glue map.
        plies: of the stack, face first.
    """
    inlays = [ply.shape for ply in plies if ply.ply == "inlay"]
    behind = glue.area_mm2
    if len(inlays) > 1:  # a single one is a whole sheet
        behind = float(glue.shape.intersection(shapely.union_all(inlays)).area)
    names = dict.fromkeys(ply.ply for ply in plies if ply.ply in ("inlay", "stiffener", "backing"))
    whole = float(pattern.outline.area)
    return (
        Joint(plies=("face", "inlay"), area_mm2=behind),
        *(Joint(plies=pair, area_mm2=whole) for pair in pairwise(names)),
    )


def glue_map(pattern: Pattern, job: Job) -> GlueMap:
    """Work out the glue map of a face."""
    keep_out = job.glue.keep_out
    land = areas(pattern.land.intersection(pattern.outline))
    shape = _cemented(pattern, land, keep_out) if keep_out and pattern.openings else land
    area = float(shape.area)
    return GlueMap(
        shape=shape,
        paths=Source(pattern.curves).paths(shape),
        area_mm2=area,
        spread_mm2=2 * area,
        keep_out=keep_out,
    )


def _cemented(pattern: Pattern, land: Area, keep_out: float) -> Area:
    """Land that is far enough from the openings, and the middle of its narrow strands."""
    holes = np.array([o.shape for o in pattern.openings])
    wide = land.difference(shapely.union_all(shapely.buffer(holes, keep_out)))
    lines, reach = _middles(holes, land, keep_out / default("glue.keep_out_share") / 2)
    if not len(lines):
        return areas(wide)
    share = 2 * default("glue.keep_out_share")  # of half the width
    strips = shapely.buffer(lines, reach * (1 - share), quad_segs=6)
    middle = shapely.union_all(strips).intersection(land)
    rough = shapely.simplify(wide.union(middle), SMOOTH / 2)  # the many strips leave many corners
    return areas(shapely.simplify(_evened(areas(rough), holes, land), SMOOTH / 2))


def _evened(shape: Area, holes: npt.NDArray[np.object_], land: Area) -> Area:
    """Fill notches and drop spurs that no brush would follow; clear of openings as far as a narrow strand needs."""
    closed = _moved(_moved(shape, NOTCH), -NOTCH)
    clear = land.difference(shapely.union_all(shapely.buffer(holes, NEAREST)))
    whole = areas(shape.union(closed.intersection(clear)))
    even = areas(_moved(_moved(whole, -SPUR), SPUR))
    parts = [
        Polygon(p.exterior, [r for r in p.interiors if Polygon(r).area > DROP])
        for p in shapely.get_parts(even).tolist()
        if p.area > DROP
    ]
    kept = shapely.union_all(parts).difference(shapely.union_all(holes))
    return areas(kept.intersection(land))


def _moved(shape: Area, by: float) -> Area:
    return shape.buffer(by, quad_segs=quarter_segments(abs(by), SMOOTH / 2))


def _middles(
    holes: npt.NDArray[np.object_], land: Area, most: float
) -> tuple[npt.NDArray[np.object_], FloatArray]:
    """Short lines along the middle of the land where it is narrow, and half its width there.

    Ridges between places along the edges of openings: their ends are centres of discs that hold none.
    """
    spots = shapely.get_coordinates(shapely.segmentize(shapely.boundary(holes), STEP))
    spots = np.unique(np.round(spots, 6), axis=0)
    found = ridges(spots)
    ends, one, two = found.ends, spots[found.between[:, 0]], spots[found.between[:, 1]]
    half = np.hypot(*np.moveaxis(ends - one[:, None], 2, 0)).min(axis=1)
    across = np.hypot(*(one - two).T)
    narrow = (half < most) & (across > np.maximum(OPPOSITE * half, OPPOSITE * STEP))
    ends, half = ends[narrow], half[narrow]
    shapely.prepare(land)
    inside = shapely.contains_xy(land, ends[:, 0]) & shapely.contains_xy(land, ends[:, 1])
    lines = np.asarray(shapely.linestrings(ends[inside]), dtype=object)
    return lines, half[inside]
