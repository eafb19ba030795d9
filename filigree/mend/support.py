"""Support: a strand too long for its width is tied half-way across one of the openings beside it."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import LineString, Point, Polygon

from filigree.checks.bridges import limits_at
from filigree.geometry.medial import Branch, branches
from filigree.geometry.types import XY, FloatArray
from filigree.job import CutLoss, Limits, limits_in
from filigree.measure.finished import finished
from filigree.measure.strands import STEPS
from filigree.mend.account import Account
from filigree.mend.listed import NEAR, Listed
from filigree.mend.mirror import axes_of
from filigree.mend.model import Change, Unmended
from filigree.mend.taking import DUST, usable
from filigree.mend.ties import ALIKE, shaped
from filigree.pattern import Opening, as_area

HOW: Literal["support"] = "support"
SHARES = (
    0.5,
    0.46,
    0.54,
    0.42,
    0.58,
    0.38,
    0.62,
    0.34,
    0.66,
)  # of a strand's length: where it may be tied
OFF_MIDDLE = 2.0  # a tie this far off the middle, of the length, counts as longer by as much again
OVER = 0.004  # mm: arcs are written as chords
ROUNDS = 60  # strands tied
NOISE = 1e-6  # of a strand's length
TURNED = 0.8  # sine of the least angle at which a tie meets the edge across


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """A tie across an opening: from the strand to other leather, mm, ends to 0.0001 mm as they are listed."""

    start: XY
    end: XY
    opening: int
    cost: float

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)


def support(account: Account, limits: Limits, entries: Listed, *, loss: CutLoss) -> list[Unmended]:
    """Tie each slender strand about its middle, where that is shortest, until none is left.

    Ties that are as short on both sides are both made, and so are mirror images in a design that is its own
    mirror image. All that is asked for is what the job or an entry asks for. With a list of entries only
    those are tied, in the list's order.

    Returns:
        The strands that are still too slender.
    """
    if entries.only:
        _again(account, limits, entries, loss)
        return []
    if not limits.supporting:
        return []
    axes = axes_of(account.pattern)
    stuck: list[Branch] = []
    for _ in range(ROUNDS):
        slender = [b for b in _slender(account, limits, loss) if not _known(b, stuck)]
        if not slender:
            break
        strand = slender[0]
        made = False
        for way in _ways(account, strand, limits, loss):
            width = _width(way.start, limits, loss)
            if not entries.asks(HOW, way.start, width):
                break
            if not _tied(account, way, width, limits, within=True):
                continue
            made = True
            for axis in axes:
                image = _placed(account, axis.image(way.start), axis.image(way.end))
                if image is not None:
                    _tied(account, image, width, limits, within=True)
            alike = [
                w
                for w in _ways(account, strand, limits, loss)
                if w.opening != way.opening and w.cost <= way.cost * ALIKE
            ]
            for other in alike[:1]:
                if entries.asks(HOW, other.start, width):
                    _tied(account, other, width, limits, within=True)
            break
        if not made:
            stuck.append(strand)
    return [_left(b, limits) for b in _slender(account, limits, loss)]


def _again(account: Account, limits: Limits, entries: Listed, loss: CutLoss) -> None:
    """Tie the places that the entries name, one after the other, as they were tied before."""
    for number, entry in enumerate(entries.entries):
        if entry.how != HOW:
            continue
        if entry.as_drawn:
            entries.met[number] = True
        elif entry.end is not None:
            way = _placed(account, entry.at, entry.end)
            width = entry.width if entry.width is not None else _width(entry.at, limits, loss)
            entries.met[number] = way is not None and _tied(
                account, way, width, limits, within=False
            )


def _slender(account: Account, limits: Limits, loss: CutLoss) -> list[Branch]:
    """Strands of the finished face that are longer for their width than they may be, most slender first."""
    step = float(np.clip(limits.bridge.good / 3, *STEPS))
    found = [
        b
        for b in branches(finished(account.pattern, loss).land, step=step)
        if b.kind == "strand"
        and len(b.line) > 1
        and b.length > limits_in(limits, b.at).strand * b.mean * (1 + NOISE)
    ]
    return sorted(found, key=lambda b: (-b.length / b.mean, b.at))


def _known(strand: Branch, others: list[Branch]) -> bool:
    return any(math.dist(strand.at, o.at) <= NEAR for o in others)


def _width(at: XY, limits: Limits, loss: CutLoss) -> float:
    """Give the width as drawn that leaves a tie as wide as a bridge is wanted."""
    return round(limits_at(at, limits).good + 2 * loss.char - loss.bevel + OVER, 4)


def _ways(account: Account, strand: Branch, limits: Limits, loss: CutLoss) -> list[_Way]:
    """Ways from about the middle of a strand to other leather, best first: short, and near the middle."""
    line = LineString(strand.line)
    openings = account.pattern.openings
    if not openings:
        return []
    tree = shapely.STRtree([o.shape for o in openings])
    left, top, right, bottom = account.pattern.outline.bounds
    reach = math.hypot(right - left, bottom - top)
    found = []
    for share in SHARES:
        middle = np.array(line.interpolate(share, normalized=True).coords[0])
        ahead = np.array(line.interpolate(min(share + 0.05, 1.0), normalized=True).coords[0])
        behind = np.array(line.interpolate(max(share - 0.05, 0.0), normalized=True).coords[0])
        along = ahead - behind
        size = float(np.hypot(*along))
        if size <= NOISE:
            continue
        across = np.array([-along[1], along[0]]) / size
        for side in (across, -across):
            ray = LineString([middle, middle + side * reach])
            rows = sorted(tree.query(ray, predicate="intersects").tolist())
            chord = _first_chord(ray, [openings[k] for k in rows])
            if chord is None or chord[0] > strand.mean + 2 * loss.char:
                continue  # other leather stands between
            near, far, opening = chord
            ends = [
                (round(float(x), 4), round(float(y), 4))
                for x, y in (middle + side * near, middle + side * far)
            ]
            cost = (far - near) * (1 + OFF_MIDDLE * abs(share - 0.5))
            way = _Way(start=ends[0], end=ends[1], opening=opening.id, cost=cost)
            width = _width(way.start, limits, loss)
            slim = way.length <= limits_in(limits, way.start).strand * width
            if slim and _square_on(way, opening.shape):
                found.append(way)
    return sorted(found, key=lambda w: (round(w.cost, 6), w.start))


def _first_chord(ray: LineString, openings: list[Opening]) -> tuple[float, float, Opening] | None:
    """Give where a ray first enters and leaves an opening, mm along it."""
    start = Point(ray.coords[0])
    chords: list[tuple[float, float, Opening]] = []
    for opening in openings:
        for part in shapely.get_parts(ray.intersection(opening.shape)).tolist():
            if isinstance(part, LineString) and part.length > NEAR:
                ends = [float(start.distance(Point(c))) for c in (part.coords[0], part.coords[-1])]
                chords.append((min(ends), max(ends), opening))
    return min(chords, key=lambda c: (c[0], c[2].id), default=None)


def _square_on(way: _Way, hole: Polygon) -> bool:
    """Say whether a tie lands on the outer edge of its opening, and not at a slant."""
    end = Point(way.end)
    ring = hole.exterior
    if ring.distance(end) > NEAR / 10:
        return False  # on a part that is loose itself
    place = ring.project(end)
    ends: FloatArray = np.array(
        [ring.interpolate((place + d) % ring.length).coords[0] for d in (-NEAR, NEAR)]
    )
    edge, tie = ends[1] - ends[0], np.subtract(way.end, way.start)
    both = float(np.hypot(*edge)) * way.length
    return both > 0 and abs(float(edge[0] * tie[1] - edge[1] * tie[0])) >= TURNED * both


def _placed(account: Account, start: XY, end: XY) -> _Way | None:
    """Give the opening that a tie of these ends crosses; None when it crosses none from edge to edge."""
    one, other = ((round(x, 4), round(y, 4)) for x, y in (start, end))
    line = LineString([one, other])
    for opening in account.pattern.openings:
        if line.length > NEAR and line.intersection(opening.shape).length > line.length - NEAR / 10:
            edge = opening.shape.boundary
            if max(edge.distance(Point(one)), edge.distance(Point(other))) <= NEAR / 10:
                return _Way(start=one, end=other, opening=opening.id, cost=line.length)
    return None


def _tied(account: Account, way: _Way, width: float, limits: Limits, *, within: bool) -> bool:
    """Tie across an opening; False, and nothing done, when nothing comes of it or (`within`) it costs too much."""
    opening = next((o for o in account.pattern.openings if o.id == way.opening), None)
    if opening is None:
        return False
    added = shaped(np.array([way.start, way.end]), opening, account.pattern.land, width)
    rest = as_area(opening.shape.difference(added))
    lost = opening.area_mm2 - float(rest.area)
    parts = tuple(sorted(shapely.get_parts(rest).tolist(), key=lambda p: (-p.area, p.bounds)))
    whole = len(parts) > 1 and len(usable(rest, limits)) == len(parts)
    owner = account.owner[opening.id]
    over = account.lost.get(owner, 0.0) + lost > limits.change * account.drawn[owner]
    if lost <= DUST or not whole or (within and over):
        return False
    change = Change(
        how=HOW,
        at=way.start,
        why="The strand was too long for its width: tied about half-way.",
        before=0.0,
        after=width,
        lost=((opening.id, lost),),
        added=added,
        end=way.end,
    )
    account.record({opening.id: parts}, {opening.id: lost}, [change])
    return True


def _left(strand: Branch, limits: Limits) -> Unmended:
    return Unmended(
        at=strand.at,
        why="no tie beside this long strand is short enough, or the opening would lose more than it may",
        width=strand.mean,
        wanted=strand.length / limits_in(limits, strand.at).strand,
    )
