"""Reading: does the inlay read behind the face from across a room, for every eye?

Thresholds are common practice (handbook 7.2): a difference of 20 and a lightness step of 15, a warning
under 10. Screen colours of leather are only a guide.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from filigree.colour.palette import PALETTE, hex_of
from filigree.colour.science import VISIONS, Vision, contrast, difference, lab, seen, srgb
from filigree.geometry.types import IntArray
from filigree.job.defaults import default

HUES = 12  # sectors of the hue circle that a proposal is spread over
GREY = 8.0  # chroma under which a colour has no hue of its own


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """How far two colours lie apart: CIEDE2000 and difference of L*."""

    difference: float
    lightness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """Face and inlay side by side.

    Attributes:
        face: name or `#rrggbb`, as given.
        inlay: name or `#rrggbb`, as given.
        normal: the step for normal vision.
        contrast: WCAG 2 contrast ratio, 1 to 21.
        seen_as: the step for each kind of colour-blind eye.
        says: what falls short, in words; empty when it reads for every eye.
    """

    face: str
    inlay: str
    normal: Step
    contrast: float
    seen_as: dict[Vision, Step]
    says: tuple[str, ...]

    @property
    def reads(self) -> bool:
        """True when nothing falls short."""
        return not self.says


def reading(face: str, inlay: str) -> Reading:
    """Compare a face and an inlay colour.

    Raises:
        FiligreeError: a colour is neither a name of the palette nor `#rrggbb`.
    """
    one, other = srgb(hex_of(face)), srgb(hex_of(inlay))
    normal = _step(one, other)
    eyes = {vision: _step(seen(one, vision), seen(other, vision)) for vision in VISIONS}
    said = [("", normal), *((f" for {vision} eyes", step) for vision, step in eyes.items())]
    return Reading(
        face=face,
        inlay=inlay,
        normal=normal,
        contrast=contrast(one, other),
        seen_as=eyes,
        says=tuple(words for eye, step in said for words in _short(eye, step)),
    )


def propose(face: str, count: int) -> tuple[str, ...]:
    """Name the `count` colours of the palette that read best behind a face, spread over hue.

    The best of each sector of the hue circle comes first, then the second best, and so on; colours that
    read for every eye go before those that do not.

    Raises:
        ValueError: `count` is under 1.
    """
    if count < 1:
        raise ValueError(f"{count} colours asked for")
    names = [name for name in PALETTE if hex_of(name) != hex_of(face)]
    found = {name: reading(face, name) for name in names}
    best = sorted(names, key=lambda name: (not found[name].reads, -_least(found[name]), name))
    turns: dict[int, int] = {}
    rank = {}
    for name in best:
        sector = _sector(name)
        turns[sector] = turns.get(sector, 0) + 1
        rank[name] = (not found[name].reads, turns[sector], -_least(found[name]), name)
    return tuple(sorted(best, key=lambda name: rank[name])[:count])


def spread(ids: Iterable[int], neighbours: IntArray, colours: int) -> dict[int, int]:
    """Give each opening one of `colours` colours so that neighbours differ where that is possible.

    Openings choose in smallest-last order (Matula and Beck 1983), so that openings in a row or a tree
    never clash with two colours; each takes the colour least used round it, then least used over all.

    Args:
        ids: opening ids.
        neighbours: pairs of ids, shape `(k, 2)`.
        colours: how many colours there are, at least 1.

    Returns:
        Colour index from 0 by opening id.
    """
    beside: dict[int, set[int]] = {i: set() for i in sorted(ids)}
    for a, b in neighbours.tolist():
        if a != b:
            beside[a].add(b)
            beside[b].add(a)
    given: dict[int, int] = {}
    used = [0] * colours
    for i in _smallest_last(beside):
        near = [sum(given.get(j) == c for j in beside[i]) for c in range(colours)]
        given[i] = min(range(colours), key=lambda c: (near[c], used[c], c))
        used[given[i]] += 1
    return dict(sorted(given.items()))


def _smallest_last(beside: dict[int, set[int]]) -> list[int]:
    left = {i: set(near) for i, near in beside.items()}
    order = []
    while left:
        i = min(left, key=lambda i: (len(left[i]), i))
        for j in left.pop(i):
            left[j].discard(i)
        order.append(i)
    return order[::-1]


def _step(one: np.ndarray, other: np.ndarray) -> Step:
    a, b = lab(one), lab(other)
    return Step(difference=float(difference(a, b)), lightness=abs(float(a[0] - b[0])))


def _short(eye: str, step: Step) -> list[str]:
    says = []
    if step.difference < default("colour.difference_warn"):
        says.append(f"does not read{eye}: the colours are {step.difference:.0f} apart")
    elif step.difference < default("colour.difference"):
        says.append(f"reads only close by{eye}: the colours are {step.difference:.0f} apart")
    if step.lightness < default("colour.lightness"):
        says.append(f"little light and dark{eye}: lightness {step.lightness:.0f} apart")
    return says


def _least(found: Reading) -> float:
    """Give the least difference over every kind of eye."""
    return min(found.normal.difference, *(s.difference for s in found.seen_as.values()))


def _sector(name: str) -> int:
    _, a, b = (float(part) for part in lab(srgb(hex_of(name))))
    if np.hypot(a, b) < GREY:
        return HUES  # greys share a sector of their own
    return int(np.degrees(np.arctan2(b, a)) % 360 // (360 / HUES))
