"""Gaps: join loose ends to what they were meant to meet, where that closes a field."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.arrangement import Arrangement, arrange
from filigree.regions.chains import Chains, join, linestrings, offsets_of, split, unpack
from filigree.regions.ends import loose_ends, single_halves
from filigree.regions.faces import Faces, find_faces
from filigree.regions.merging import Merging
from filigree.regions.reach import Joins, possible_joins

TOUCH = 1e-6  # mm: an end this near a line lies on it
ROUNDS = 3
FIELD = 0.75  # of the gap: a field closed by a join is at least this wide, as mean width
STRIP = 0.25  # the same where a line plainly goes on across the gap


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Closed:
    """Lines with their gaps closed.

    Attributes:
        graph: the arrangement.
        made: True for chains that are joins, `(k,)`.
        at: middle of each join, mm, `(j, 2)`.
        length: length of each join, mm, `(j,)`.
    """

    graph: Arrangement
    made: BoolArray
    at: FloatArray
    length: FloatArray


def close_gaps(graph: Arrangement, *, gap: float) -> Closed:
    """Close gaps of up to `gap` mm.

    Each loose end is joined on trial. A join stays when it parts two fields that are both wide against
    its length; so a vein that ends near an edge does not cut a leaf into a leaf and a sliver.
    """
    nothing = Closed(
        graph=graph,
        made=np.zeros(len(graph.chains), dtype=bool),
        at=np.empty((0, 2)),
        length=np.empty(0),
    )
    if not len(single_halves(graph)):
        return nothing
    reach = max(gap, TOUCH)
    ends = loose_ends(graph, far=4 * reach)
    joins = possible_joins(graph, ends, reach=reach)
    kept = np.empty(0, dtype=np.int64)
    tried = np.zeros(len(joins), dtype=bool)
    for _ in range(ROUNDS):
        new = _cheapest(joins, kept, tried)
        if not len(new):
            break
        tried[new] = True
        trial = np.sort(np.concatenate([kept, new]))
        kept = trial[_worth(graph, joins.take(trial))]
    if not len(kept):
        return nothing
    chosen = joins.take(kept)
    chains, source = _joined(graph.chains, chosen)
    return Closed(
        graph=arrange(chains),
        made=source >= 0,
        at=(chosen.start + chosen.stop) / 2,
        length=chosen.length,
    )


def _cheapest(joins: Joins, kept: IntArray, tried: BoolArray) -> IntArray:
    """Choose joins not yet tried, cheapest first, one for each end."""
    done = set(joins.end[kept].tolist()) | set(joins.other[kept].tolist())
    chosen = []
    rows = zip(joins.end.tolist(), joins.other.tolist(), tried.tolist(), strict=True)
    for k, (end, other, old) in enumerate(rows):
        if old or (end in done and (other < 0 or other in done)):
            continue
        chosen.append(k)
        done.add(end)
        if other >= 0:
            done.add(other)
    return np.array(chosen, dtype=np.int64)


def _joined(chains: Chains, joins: Joins) -> tuple[Chains, IntArray]:
    """Add joins to chains, cutting what they meet; give the join of each chain, -1 for drawn ones."""
    touching = joins.length <= TOUCH
    on_line = joins.segment >= 0
    stop = np.where((touching & on_line)[:, None], joins.start, joins.stop)
    cut, _ = split(chains, joins.segment[on_line], stop[on_line])
    real = np.flatnonzero((joins.start != stop).any(axis=1))
    if not len(real):
        return cut, np.full(len(cut), -1, dtype=np.int64)
    xy = np.stack([joins.start[real], stop[real]], axis=1).reshape(-1, 2)
    added = Chains(xy=xy, offsets=offsets_of(np.full(len(real), 2)))
    source = real
    lines = linestrings(added)
    tree = shapely.STRtree(lines)
    if tree.query(lines, predicate="crosses").shape[1]:
        added = unpack(shapely.union_all(lines))
        middle = shapely.line_interpolate_point(linestrings(added), 0.5, normalized=True)
        piece, which = tree.query_nearest(middle, all_matches=False)
        source = real[which[np.argsort(piece, kind="stable")]]
    return join(cut, added), np.concatenate([np.full(len(cut), -1, dtype=np.int64), source])


def _worth(graph: Arrangement, joins: Joins) -> BoolArray:
    """Say which joins part two fields, both wide enough against the gap."""
    chains, source = _joined(graph.chains, joins)
    faces = find_faces(arrange(chains))
    made = np.flatnonzero(source >= 0)
    least = np.where(joins.straight, STRIP, FIELD) * joins.length
    order = made[np.lexsort((made, -joins.length[source[made]]))]
    stays = _prune(faces, order.tolist(), least[source].tolist())
    worth = joins.length <= TOUCH
    worth[source[stays]] = True
    return worth


def _prune(faces: Faces, joins: list[int], least: list[float]) -> list[int]:
    """Take out joins, longest first, that part nothing or leave a face too thin; give the rest."""
    merged = Merging(faces)
    sides = faces.of.reshape(-1, 2).tolist()
    stays = joins
    while True:
        left_over = []
        for chain in stays:
            a, b = merged.root(sides[chain][0]), merged.root(sides[chain][1])
            if a == b or min(merged.thickness(a), merged.thickness(b)) < least[chain]:
                merged.merge(a, b, float(faces.length[chain]))
            else:
                left_over.append(chain)
        if len(left_over) == len(stays):
            return left_over
        stays = left_over
