"""Necks: the narrowest place of every strand of face."""

import numpy as np
import shapely

from filigree.geometry.necks import NeckLines, find_necks
from filigree.geometry.parts import pieces
from filigree.geometry.shortest import SLACK
from filigree.geometry.types import Area, BoolArray, FloatArray, IntArray
from filigree.measure.model import EDGE, Neck, Side
from filigree.pattern import Pattern

ON = 1e-6  # mm: a point this near an opening lies on its edge
ALIKE = 7  # decimals of a mm to which widths are one


def necks(land: Area, *, under: float) -> tuple[Neck, ...]:
    """Measure every neck of `land` narrower than `under` mm, narrowest first.

    A neck is a shortest line between two stretches of boundary, of one ring or two, whose
    middle lies in the land and whose diameter disc holds no boundary. `between` counts the
    holes of the land from 1 in their order.

    Raises:
        ValueError: `under` is not above 0.
    """
    found = find_necks(land, under=under)
    shell = found.rings.shell
    number = np.cumsum(~shell)
    ring = found.rings.ring[found.edge]
    sides = [tuple(EDGE if shell[r] else int(number[r]) for r in pair) for pair in ring.tolist()]
    return _named(found, [(a, b) for a, b in sides])


def neck_lines(
    pattern: Pattern, *, under: float, last: NeckLines | None = None
) -> tuple[NeckLines, tuple[int, ...], tuple[Neck, ...]]:
    """Find the necks of a face with the boundary they lie on, for mending.

    Args:
        pattern: the face.
        under: mm.
        last: found before on a face with much of the same boundary; makes it faster and changes nothing.

    Returns:
        Every neck line of the land, the rows of those that count, and these as `Neck`s in the same order.
    """
    found = find_necks(pattern.land, under=under, last=last)
    real = np.flatnonzero(_holds_together(pattern, found)).tolist()
    named = _named(found, _sides(pattern, found))
    return found, tuple(real), tuple(named[k] for k in real)


def necks_of(pattern: Pattern, *, under: float) -> tuple[Neck, ...]:
    """Measure the necks of a face, `between` giving opening ids or `EDGE`.

    Parallel sides of a loose piece are no neck; a waist that would break it in two is.
    """
    return neck_lines(pattern, under=under)[2]


def _named(found: NeckLines, sides: list[tuple[Side, Side]]) -> tuple[Neck, ...]:
    return tuple(
        Neck(
            width=width,
            start=(ends[0][0], ends[0][1]),
            end=(ends[1][0], ends[1][1]),
            between=between,
            alone=alone,
        )
        for width, ends, between, alone in zip(
            found.width.tolist(), found.ends.tolist(), sides, _alone(found), strict=True
        )
    )


def _alone(found: NeckLines) -> list[float]:
    """Face that hangs on each neck alone: only where both ends lie on one ring does a cut part the face."""
    rings = found.rings
    ring = rings.ring[found.edge]
    held = [0.0] * len(found.width)
    if not (ring[:, 0] == ring[:, 1]).any():
        return held
    last = np.append(rings.first[1:], len(rings.xy))
    holes = [
        (int(rings.part[r]), rings.xy[rings.first[r]], _area(rings.xy[rings.first[r] : last[r]]))
        for r in range(len(rings.first))
        if not rings.shell[r]
    ]
    for k in np.flatnonzero(ring[:, 0] == ring[:, 1]).tolist():
        r = int(ring[k, 0])
        low, high = np.sort(found.edge[k]).tolist()
        inner = rings.xy[low + 1 : high + 1]
        outer = np.concatenate([rings.xy[high + 1 : last[r]], rings.xy[rings.first[r] : low + 1]])
        one, two = found.ends[k] if found.way[k, 0] <= found.way[k, 1] else found.ends[k, ::-1]
        sides = [np.vstack([one, inner, two]), np.vstack([two, outer, one])]
        held[k] = min(
            (
                area - _cut_out(side, holes, int(rings.part[r]))
                for side in sides
                if (area := _area(side)) > 0
            ),
            default=0.0,
        )
    return held


def _cut_out(side: FloatArray, holes: list[tuple[int, FloatArray, float]], part: int) -> float:
    """Area of the openings of the same piece inside a stretch of boundary."""
    own = [(at, area) for of, at, area in holes if of == part]
    if not own:
        return 0.0
    at = np.array([point for point, _ in own])
    shape = shapely.Polygon(side)
    inside = shapely.contains_xy(shape, at[:, 0], at[:, 1])
    return float(-sum(area for (_, area), within in zip(own, inside, strict=True) if within))


def _area(points: FloatArray) -> float:
    """Signed area of a ring, land on its left positive."""
    x, y = points[:, 0], points[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def _sides(pattern: Pattern, found: NeckLines) -> list[tuple[Side, Side]]:
    """What each end of each neck lies on."""
    tree = shapely.STRtree([o.shape for o in pattern.openings])
    flat = np.asarray(shapely.points(found.ends.reshape(-1, 2)), dtype=object)
    point, opening = tree.query(flat, predicate="dwithin", distance=ON)
    near: list[list[Side]] = [[] for _ in range(len(flat))]
    for p, o in sorted(zip(point.tolist(), opening.tolist(), strict=True)):
        near[p].append(pattern.openings[o].id)
    sides = []
    for k, width in enumerate(found.width.tolist()):
        first, second = near[2 * k], near[2 * k + 1]
        if width > SLACK:
            sides.append((_first(first), _first(second)))
        else:
            sides.append(_touching(pattern, first, flat[2 * k]))
    return sides


def _first(near: list[Side]) -> Side:
    return near[0] if near else EDGE


def _touching(pattern: Pattern, near: list[Side], at: shapely.Point) -> tuple[Side, Side]:
    """Sides of a place where the boundary touches itself."""
    both = list(near)
    if shapely.dwithin(pattern.outline.exterior, at, ON):
        both.append(EDGE)
    both = both or [EDGE]
    return both[0], both[min(1, len(both) - 1)]


def _holds_together(pattern: Pattern, found: NeckLines) -> BoolArray:
    """False for self-necks of loose pieces that do not part them."""
    real = np.ones(len(found.width), dtype=bool)
    if pattern.land.geom_type == "Polygon":
        return real
    whole = pieces(pattern.land)
    if not whole:  # dust alone is no leather
        return np.zeros(len(found.width), dtype=bool)
    main = whole[0]
    parts = shapely.get_parts(pattern.land)
    rings: IntArray = found.rings.ring[found.edge]
    part = found.rings.part[rings[:, 0]]
    own = (rings[:, 0] == rings[:, 1]) & found.rings.shell[rings[:, 0]]
    loose = [piece is not main and not piece.equals(main) for piece in parts]
    known: dict[tuple[int, float], bool] = {}  # a drawing has many necks of one width
    for k in np.flatnonzero(own).tolist():
        place, width = int(part[k]), round(float(found.width[k]), ALIKE)
        if loose[place]:
            if (place, width) not in known:
                worn = parts[place].buffer(-width / 2 - ON - SLACK)
                known[place, width] = len([p for p in shapely.get_parts(worn) if p.area > 0]) > 1
            real[k] = known[place, width]
    return real
