"""Strokes: strands joined through their junctions into the lines the hand drew, pixels."""

from dataclasses import dataclass, field

import numpy as np

from filigree.drawing.scan.along import even_each
from filigree.drawing.scan.centre import Strand, centre
from filigree.drawing.scan.corners import find_corners, split
from filigree.drawing.scan.ends import STUB, Way, clean_span, usual_width, ways_on
from filigree.drawing.scan.junctions import meet, with_vertex
from filigree.drawing.scan.light import Grey32
from filigree.drawing.scan.skeleton import Chains
from filigree.drawing.scan.tips import tip
from filigree.geometry.types import FloatArray

End = tuple[int, int]  # strand, 0 at its start or 1 at its end


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stroke:
    """One drawn line, pixels.

    Attributes:
        points: `(n, 2)`; a closed one repeats its first point at the end.
        width: width of its ink.
        free: whether its start and its end lie free.
        fixed: points of other lines' ends on it and its own ends on others, `(k, 2)`: they must stay.
        lead: how far the ink reaches beyond its start and its end.
    """

    points: FloatArray
    width: float
    free: tuple[bool, bool]
    fixed: FloatArray
    lead: tuple[float, float] = (0.0, 0.0)

    @property
    def closed(self) -> bool:
        """True when it ends where it begins."""
        return bool(np.array_equal(self.points[0], self.points[-1]))


@dataclass(slots=True, kw_only=True, eq=False)
class _Web:
    """Strands on their way to becoming strokes."""

    strands: list[Strand]
    width: list[float]
    clean: list[FloatArray]
    mate: dict[End, tuple[End, FloatArray]] = field(default_factory=dict)
    stop: dict[End, FloatArray] = field(default_factory=dict)
    free: set[End] = field(default_factory=set)
    lead: dict[End, float] = field(default_factory=dict)
    tees: list[tuple[End, FloatArray]] = field(default_factory=list)


def strokes(
    chains: Chains, calm: Grey32, *, usual: float, reach: float, soft: float, read: float
) -> list[Stroke]:
    """Strokes of one sheet, in the order of their first strand.

    Args:
        chains: thinned ink.
        calm: smoothed darkness.
        usual: the sheet's usual stroke width, pixels.
        reach: pixels read to each side of a line.
        soft: pixels over which a middle is evened out along the line, each way.
        read: pixels of clean line a way on is read from, at least.
    """
    raw = centre(chains, calm, reach=reach)
    strands, places = _cornered(raw, chains.places, usual, soft)
    web, members = _clean_web(strands, len(places), usual, soft)
    known = [end for ends in members.values() for end in ends]
    read_on = ways_on([_clean(web, e) for e in known], [web.width[k] for k, _ in known], read=read)
    ways = dict(zip(known, read_on, strict=True))
    for node, ends in sorted(members.items()):
        if len(ends) == 1:
            web.free.add(ends[0])
            web.stop[ends[0]], web.lead[ends[0]] = tip(ways[ends[0]], calm)
        else:
            _join(web, ends, [ways[e] for e in ends], _place(ends, web, places, node), calm)
    return _assembled(web)


def _cornered(
    raw: list[Strand], places: FloatArray, usual: float, soft: float
) -> tuple[list[Strand], FloatArray]:
    """Cut every strand at its corners."""
    strands, known = [], [places]
    count = len(places)
    evened = even_each([s.points for s in raw], [s.closed for s in raw], soft, order=2)
    for strand, points in zip(raw, evened, strict=True):
        at = find_corners(strand, points, usual_width(strand, usual))
        pieces, new = split(strand, at, count)
        strands += pieces
        known.append(new)
        count += len(new)
    return strands, np.vstack(known)


def _clean_web(
    strands: list[Strand], nodes: int, usual: float, soft: float
) -> tuple[_Web, dict[int, list[End]]]:
    """Keep strands that are somewhere clean; the others hold their nodes together."""
    degree = np.zeros(nodes, int)
    for s in strands:
        if not s.closed:
            degree[s.nodes[0]] += 1
            degree[s.nodes[1]] += 1
    parent = list(range(nodes))

    def root(n: int) -> int:
        while parent[n] != n:
            parent[n] = parent[parent[n]]
            n = parent[n]
        return n

    web = _Web(strands=[], width=[], clean=[])
    for s in strands:
        width = usual_width(s, usual)
        if s.closed:
            span: tuple[int, int] | None = (0, len(s.points) - 1)
        else:
            free = (degree[s.nodes[0]] == 1, degree[s.nodes[1]] == 1)
            span = clean_span(s, width, free)
            if span is not None and free[0] != free[1] and _reach(s) < STUB * width:
                span = None
        if span is None:
            parent[root(s.nodes[1])] = root(s.nodes[0])
            continue
        web.strands.append(s)
        web.width.append(width)
        web.clean.append(s.points[span[0] : span[1] + 1])
    web.clean = even_each(web.clean, [s.closed for s in web.strands], soft, order=2)
    members: dict[int, list[End]] = {}
    for k, s in enumerate(web.strands):
        if not s.closed:
            members.setdefault(root(s.nodes[0]), []).append((k, 0))
            members.setdefault(root(s.nodes[1]), []).append((k, 1))
    return web, members


def _reach(strand: Strand) -> float:
    return float(np.hypot(*(strand.points[-1] - strand.points[0])))


def _clean(web: _Web, end: End) -> FloatArray:
    """Clean points of a strand, the given end first."""
    points = web.clean[end[0]]
    return points if end[1] == 0 else points[::-1]


def _place(ends: list[End], web: _Web, places: FloatArray, node: int) -> FloatArray:
    """Middle of the skeleton's nodes that became one."""
    own = {web.strands[k].nodes[side] for k, side in ends}
    return np.asarray(places[sorted(own)].mean(0)) if own else np.asarray(places[node])


def _join(web: _Web, ends: list[End], ways: list[Way], place: FloatArray, calm: Grey32) -> None:
    """Work out one junction and write down what becomes of its strands' ends."""
    met = meet(ways, place, [_clean(web, e) for e in ends], calm)
    for i, j, bridge in met.through:
        web.mate[ends[i]] = (ends[j], bridge)
        web.mate[ends[j]] = (ends[i], bridge[::-1])
    for k, points in met.stop.items():
        web.stop[ends[k]] = points
        if met.on[k] >= 0:
            web.tees.append((ends[met.through[met.on[k]][0]], points[-1]))


def _assembled(web: _Web) -> list[Stroke]:
    """Follow strands through their junctions."""
    done = [False] * len(web.strands)
    out: list[tuple[End, int, FloatArray, list[int]]] = []
    owner: dict[int, int] = {}
    starts = sorted(e for e in web.stop) + [(k, 0) for k in range(len(done))]
    for start in starts:
        if done[start[0]]:
            continue
        points, held = _follow(web, start, done)
        for k in held:
            owner[k] = len(out)
        last = held[-1]
        out.append((start, last, points, held))
    fixed: dict[int, list[FloatArray]] = {}
    lines = [p for _, _, p, _ in out]
    for (k, _), point in web.tees:
        n = owner[k]
        lines[n] = with_vertex(lines[n], point)
        fixed.setdefault(n, []).append(point)
    result = []
    for n, (start, _, _, held) in enumerate(out):
        far = _far_end(web, start, held)
        free = (start in web.free, far in web.free)
        lead = (web.lead.get(start, 0.0), web.lead.get(far, 0.0))
        own = [lines[n][0]] * (not free[0]) + [lines[n][-1]] * (not free[1])
        keep = np.array([*fixed.get(n, []), *own]).reshape(-1, 2)
        width = float(np.median([web.width[k] for k in held]))
        result.append(Stroke(points=lines[n], width=width, free=free, fixed=keep, lead=lead))
    return result


def _far_end(web: _Web, start: End, held: list[int]) -> End:
    """The end at which a walk over `held` strands from `start` stopped."""
    now = start
    for _ in held[1:]:
        now = web.mate[(now[0], 1 - now[1])][0]
    return (now[0], 1 - now[1])


def _follow(web: _Web, start: End, done: list[bool]) -> tuple[FloatArray, list[int]]:
    """Points of one stroke from an end on, and the strands it took."""
    parts: list[FloatArray] = []
    held: list[int] = []
    now = start
    if start in web.stop:
        parts.append(web.stop[start][::-1])
    while True:
        k, side = now
        done[k] = True
        held.append(k)
        strand = web.strands[k]
        if strand.closed:
            return np.vstack([web.clean[k], web.clean[k][:1]]), held
        inner = _clean(web, now)
        parts.append(inner[1:-1])
        far = (k, 1 - side)
        if far not in web.mate:
            parts.append(web.stop[far])
            break
        following, bridge = web.mate[far]
        parts.append(bridge)
        if done[following[0]]:
            points = np.vstack(parts)
            return np.vstack([points, points[:1]]), held
        now = following
    return np.vstack(parts), held
