"""Necks: the narrowest places between two stretches of boundary, with land between them.

A neck is a shortest line between two stretches whose diameter disc holds no boundary. Neighbouring lines with
no wider land between them are one neck. A boundary that has changed in places is searched only round these.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.renewed import Renewed
from filigree.geometry.rings import SAME, Rings, rings_of
from filigree.geometry.rises import RISE, Rises, rises
from filigree.geometry.runs import runs_of
from filigree.geometry.shortest import SLACK, Lines, shortest_lines
from filigree.geometry.types import Area, FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NeckLines:
    """Necks as arrays, narrowest first; row k of each belongs to neck k.

    Attributes:
        rings: the boundary they were found on.
        width: mm, `(k,)`.
        ends: both ends, `(k, 2, 2)`.
        edge: edge of `rings` each end lies on, `(k, 2)`.
        way: place of each end along its ring, mm, `(k, 2)`.
        reach: stretch of each ring that is as narrow, as a pair of ways `(from, to)`, `(k, 2, 2)`; both
            the same where the neck is a single place.
        lines: every shortest line, before those that belong to one neck are joined.
        rises: the widest land between them.
        under: mm; no neck is wider.
    """

    rings: Rings
    width: FloatArray
    ends: FloatArray
    edge: IntArray
    way: FloatArray
    reach: FloatArray
    lines: Lines
    rises: Rises
    under: float


def find_necks(area: Area, *, under: float, last: NeckLines | None = None) -> NeckLines:
    """Find every neck of `area` narrower than `under` mm.

    Widths are exact for the rings given. Places where the boundary touches itself are necks of width 0.
    The order is by width, then place.

    Args:
        area: the land.
        under: mm.
        last: necks found before, of land with much of the same boundary; only what has changed is then searched,
            with the same result.

    Raises:
        ValueError: `under` is not above 0.
    """
    if not under > 0:
        raise ValueError(f"under must be above 0, not {under}")
    rings = rings_of(area)
    runs = runs_of(rings, longest=under / 2)
    if last is None or last.under != under:
        found = shortest_lines(rings, runs, under=under, known=Lines.none())
        between = rises(rings, found)
    else:
        new = Renewed.of(rings, last.rings)
        among, known = new.runs_near(runs, under), new.carried(last.lines)
        found = shortest_lines(rings, runs, under=under, among=among, known=known)
        between = rises(rings, found, last=last.rises, changed=new.was < 0)
    return _as_lines(rings, found, between, under)


def _one_each(found: Lines, between: Rises) -> list[list[int]]:
    """Group lines that belong to one neck, each group in order along its first ring."""
    width = found.width
    close = between.rise <= np.maximum(width[between.here], width[between.there]) + RISE
    here, there, rise = between.here[close], between.there[close], between.rise[close]
    root = list(range(len(found.width)))
    least = found.width.tolist()
    for k in np.lexsort((there, here, rise)).tolist():
        a, b = _top(root, int(here[k])), _top(root, int(there[k]))
        if a != b and rise[k] - max(least[a], least[b]) <= RISE:
            low, high = min(a, b), max(a, b)
            root[high] = low
            least[low] = min(least[a], least[b])
    groups: dict[int, list[int]] = {}
    for k in range(len(root)):
        groups.setdefault(_top(root, k), []).append(k)
    return list(groups.values())


def _top(root: list[int], at: int) -> int:
    while root[at] != at:
        root[at] = root[root[at]]
        at = root[at]
    return at


def _as_lines(rings: Rings, found: Lines, between: Rises, under: float) -> NeckLines:
    """One line a group: the narrowest, or the middle of a straight run of equals."""
    ends, way = found.ends(rings), found.way(rings)
    low, best, high = _equals(found.width.tolist(), _one_each(found, between))
    line, place = ends[best], way[best]
    reach = np.stack([way[low], way[high]], axis=2)
    around = rings.around[rings.ring[found.edge[low]]]
    by = np.mod(way[high] - way[low], around)
    by = np.where(by > around / 2, by - around, by)
    apart = np.hypot(*np.moveaxis(ends[high] - ends[low], 2, 0))
    straight = (apart.max(axis=1, initial=0) > SAME) & (np.abs(apart - np.abs(by)) < SAME).all(
        axis=1
    )
    line[straight] = ((ends[low] + ends[high]) / 2)[straight]
    place[straight] = np.mod(way[low] + by / 2, around)[straight]
    width = np.hypot(*(line[:, 1] - line[:, 0]).T)
    order = np.lexsort((line[:, 0, 1], line[:, 0, 0], width))
    place = place[order]
    return NeckLines(
        rings=rings,
        width=width[order],
        ends=line[order],
        edge=_edge_at(rings, rings.ring[found.edge[best[order]]], place),
        way=place,
        reach=reach[order],
        lines=found,
        rises=between,
        under=under,
    )


def _equals(width: list[float], groups: list[list[int]]) -> tuple[IntArray, IntArray, IntArray]:
    """First, middle and last line of each group that is as narrow as its narrowest."""
    rows = []
    for group in groups:
        least = min(width[k] for k in group) + SLACK
        equal = [k for k in group if width[k] <= least]
        rows.append((equal[0], equal[len(equal) // 2], equal[-1]))
    low, best, high = np.array(rows, dtype=np.int64).reshape(-1, 3).T
    return low, best, high


def _edge_at(rings: Rings, ring: IntArray, way: FloatArray) -> IntArray:
    total = np.concatenate([[0.0], np.cumsum(rings.around)])
    start = total[ring] + rings.along[rings.first[ring]]
    edge = np.searchsorted(total[rings.ring] + rings.along, start + way + SAME, side="right") - 1
    last = np.append(rings.first[1:], len(rings.xy)) - 1
    return np.clip(edge, rings.first[ring], last[ring])
