"""Gaps: join loose ends to what they were meant to meet, where that closes a field."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray, IntArray, Shapes
from filigree.regions.arrangement import Arrangement, arrange, connected, is_planar
from filigree.regions.chains import (
    ALIKE,
    Chains,
    join,
    linestrings,
    middles,
    offsets_of,
    outward,
    split,
    take,
    unpack,
)
from filigree.regions.ends import Ends, loose_ends, single_halves
from filigree.regions.faces import Faces, find_faces
from filigree.regions.merging import Merging
from filigree.regions.noding import node
from filigree.regions.reach import SLIP, Joins, possible_joins
from filigree.regions.runs import ROUNDING

EDGE = 0.02  # mm: nearer to the edge of a light field than this is not inside it
ROUNDS = 3
FREE = 2  # ends of a line and its branches, far from any other line, that make them veins
SHARE = 0.3  # and the least share of its ends that they are
FIELD = 0.75  # of the gap: a field closed by a join is at least this wide, as mean width
STRIP = 0.25  # the same where a line plainly goes on across the gap
WEDGE = 1.1  # of the gap: the same for a long narrow field
NARROW = 10.0  # length over width of a long narrow field


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


def close_gaps(graph: Arrangement, *, gap: float, light: Shapes | None = None) -> Closed:
    """Close gaps of up to `gap` mm.

    Each loose end is joined on trial. A join stays when it parts two fields that are both wide against
    its length; so a vein that ends near an edge does not cut a leaf into a leaf and a sliver.
    No join crosses a shape of `light`.
    """
    nothing = Closed(
        graph=graph,
        made=np.zeros(len(graph.chains), dtype=bool),
        at=np.empty((0, 2)),
        length=np.empty(0),
    )
    if not len(single_halves(graph)):
        return nothing
    reach = gap + ROUNDING
    ends = loose_ends(graph, far=4 * reach)
    joins = possible_joins(graph, ends, reach=reach)
    joins = joins.take(~_among_veins(graph, ends, joins, reach))
    if light is not None and len(light):
        joins = joins.take(~_in_light(joins, light))
    kept = np.empty(0, dtype=np.int64)
    tried = np.zeros(len(joins), dtype=bool)
    trial = None
    for _ in range(ROUNDS):
        new = _cheapest(joins, kept, tried)
        if not len(new):
            break
        tried[new] = True
        rows = np.sort(np.concatenate([kept, new]))
        trial = _try(graph, joins.take(rows))
        kept = rows[trial.worth]
    if trial is None or not len(kept):
        return nothing
    if not trial.worth.all():
        trial = _try(graph, joins.take(kept))
    chosen = joins.take(kept)
    return Closed(
        graph=trial.graph
        if trial.stays.all()
        else arrange(take(trial.graph.chains, np.flatnonzero(trial.stays))),
        made=trial.made[trial.stays],
        at=(chosen.start + chosen.stop) / 2,
        length=chosen.length,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Trial:
    """Lines with joins: which chains are joins, which chains stay, which joins were worth it."""

    graph: Arrangement
    made: BoolArray
    stays: BoolArray
    worth: BoolArray


def _among_veins(graph: Arrangement, ends: Ends, joins: Joins, reach: float) -> BoolArray:
    """Mark joins from veins to veins: loose lines that have ends meant to be free.

    A line that plainly goes on, or a gap too small to be meant, is a gap among veins too.
    """
    idle = np.flatnonzero(graph.walk[0::2] == graph.walk[1::2])
    nodes = int(graph.origin.max()) + 1
    tree = connected(nodes, graph.origin[2 * idle], graph.origin[2 * idle + 1])
    met = np.zeros(len(ends), dtype=bool)
    met[joins.end] = True
    met[joins.other[joins.other >= 0]] = True
    over = (ends.root >= 0) & (ends.stub <= reach + ROUNDING)  # overshoots, not veins
    free = np.bincount(tree[ends.node[~met & ~over]], minlength=nodes)
    every = np.bincount(tree[ends.node], minlength=nodes)
    veins = (free >= FREE) & (free >= SHARE * every)
    chain = np.searchsorted(graph.chains.offsets, joins.segment, side="right") - 1
    loose = (joins.segment < 0) | np.isin(chain, idle)
    target = np.where(
        joins.segment < 0, ends.node[np.maximum(joins.other, 0)], graph.origin[2 * chain]
    )
    veined = veins[tree[ends.node[joins.end]]] | veins[tree[target]]
    return veined & loose & ~joins.straight & (joins.length > SLIP + ROUNDING)


def _in_light(joins: Joins, light: Shapes) -> BoolArray:
    """Mark joins whose middle lies well inside one of the shapes."""
    middle = np.asarray(shapely.points((joins.start + joins.stop) / 2), dtype=object)
    join, shape = shapely.STRtree(light).query(middle, predicate="within")
    deep = shapely.distance(middle[join], shapely.boundary(light[shape])) > EDGE
    marked = np.zeros(len(joins), dtype=bool)
    marked[join[deep]] = True
    return marked


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
    touching = joins.length <= ROUNDING
    on_line = joins.segment >= 0
    stop = _settled(chains, joins)
    moved = chains.xy.copy()
    moved[joins.vertex[touching]] = stop[touching]
    chains = Chains(xy=moved, offsets=chains.offsets)
    cut = split(chains, joins.segment[on_line], stop[on_line])
    real = np.flatnonzero(~touching)
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


def _noded(chains: Chains, source: IntArray) -> tuple[Arrangement, IntArray]:
    """Link joined chains; where a join runs over a line on its way, or a moved end does by rounding, node them anew."""
    graph = arrange(chains)
    drawn, added = (linestrings(take(chains, np.flatnonzero(k))) for k in (source < 0, source >= 0))
    if is_planar(graph) and not _run_over(added, drawn):
        return graph, source
    graph = node(chains)
    middle = np.asarray(shapely.points(middles(graph.chains, np.arange(len(graph.chains)))))
    place, line = shapely.STRtree(added).query_nearest(
        middle, max_distance=ROUNDING, all_matches=False
    )
    again = np.full(len(middle), -1, dtype=np.int64)
    again[place] = source[source >= 0][line]
    over, _ = shapely.STRtree(drawn).query(middle, predicate="dwithin", distance=ROUNDING)
    again[over] = -1
    return graph, again


def _run_over(added: Shapes, drawn: Shapes) -> bool:
    """Does the inside of a join meet a drawn line, its ends too?"""
    join, line = shapely.STRtree(drawn).query(added, predicate="intersects")
    across = shapely.relate_pattern(added[join], drawn[line], "T********")
    past = shapely.relate_pattern(added[join], drawn[line], "*T*******")
    return bool((across | past).any())


def _settled(chains: Chains, joins: Joins) -> FloatArray:
    """Where joins end; an end that touches a line cuts it there, or at a vertex if one is as near."""
    stop = joins.stop.copy()
    here = np.flatnonzero((joins.length <= ROUNDING) & (joins.segment >= 0))
    stop[here] = joins.start[here]
    for vertex in (joins.segment[here], joins.segment[here] + 1):
        near = np.hypot(*(chains.xy[vertex] - joins.start[here]).T) <= 2 * ROUNDING
        stop[here[near]] = chains.xy[vertex[near]]
    return stop


def _try(graph: Arrangement, joins: Joins) -> _Trial:
    """Make joins and see which part two fields, both wide enough against the gap."""
    joined, source = _joined(graph.chains, joins)
    noded, source = _noded(joined, source)
    chains, faces = noded.chains, find_faces(noded)
    made = np.flatnonzero(source >= 0)
    length = np.round(joins.length[source[made]], ALIKE)
    longest_first = made[np.lexsort((made, outward(chains, middles(chains, made)), -length))]
    kept = _prune(faces, longest_first.tolist(), joins.take(source[longest_first]))
    worth = joins.length <= ROUNDING
    worth[source[kept]] = True
    stays = source < 0
    stays[kept] = True
    return _Trial(graph=faces.graph, made=source >= 0, stays=stays, worth=worth)


def _prune(faces: Faces, made: list[int], joins: Joins) -> list[int]:
    """Take out joins that part nothing or leave a face too thin, in the order given; give the rest."""
    merged = Merging(faces)
    sides = faces.of.reshape(-1, 2).tolist()
    undrawn = _undrawn(faces, made)
    stays = list(zip(made, joins.length.tolist(), joins.straight.tolist(), strict=True))
    while True:
        left_over = []
        for chain, gap, straight in stays:
            a, b = merged.root(sides[chain][0]), merged.root(sides[chain][1])
            thin = a in undrawn or b in undrawn or a == b
            if thin or _thin(merged, a, gap, straight) or _thin(merged, b, gap, straight):
                merged.merge(a, b, float(faces.length[chain]))
                undrawn -= {a, b}
            else:
                left_over.append((chain, gap, straight))
        if len(left_over) == len(stays):
            return [chain for chain, _, _ in stays]
        stays = left_over


def _undrawn(faces: Faces, made: list[int]) -> set[int]:
    """List the faces that joins alone enclose."""
    drawn = np.ones(len(faces.graph.chains), dtype=bool)
    drawn[made] = False
    enclosed = np.bincount(faces.of[np.repeat(drawn, 2)] + 1, minlength=len(faces) + 1)[1:]
    return set(np.flatnonzero(enclosed == 0).tolist())


def _thin(merged: Merging, face: int, gap: float, straight: bool) -> bool:  # noqa: FBT001
    """Say whether a face is no more than the sliver that a join across `gap` cuts off."""
    width = merged.thickness(face) + ROUNDING
    if straight:
        return width < STRIP * gap
    if width >= WEDGE * gap:
        return False
    return width < FIELD * gap or merged.around(face) / 2 > NARROW * width
