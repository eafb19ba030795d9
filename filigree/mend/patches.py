"""Patches: the leather that makes one narrow strand wide enough."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiLineString
from shapely.geometry.base import BaseGeometry

from filigree.geometry.middle import Discs, MiddleLine, middle_lines
from filigree.geometry.necks import NeckLines
from filigree.geometry.types import XY
from filigree.measure.model import Neck, Side
from filigree.mend.axis import Axis

ARC = 32  # segments a quarter turn: 0.001 mm on a disc of radius 3 mm
EASED = 0.0005  # mm: lines are straightened by this much
ROOM = 0.01  # mm: strands are widened to no more than this over the usual width
CONTACT = (
    0.001  # mm: no strand runs through a place so narrow, which is then opened from its middle
)
DOT = 1e-6  # mm: length of a side that is one corner
FINE = 16  # points along a strand for each wanted width


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A neck to widen.

    Attributes:
        row: its row in the neck lines.
        neck: the neck.
        width: wanted, mm.
        spared: the side that must not lose anything, or None to take from both sides evenly.
    """

    row: int
    neck: Neck
    width: float
    spared: Side | None


class Leather:
    """Leather along a line, worked out when it is first asked for.

    Attributes:
        line: middle or side of a strand, mm.
        reach: how far the leather goes from the line, mm.
    """

    def __init__(
        self, line: MultiLineString, reach: float, of: "tuple[Leather, Axis] | None" = None
    ) -> None:
        """Take a line, and for a mirror image what it is an image `of`."""
        self.line = line
        self.reach = reach
        self._of = of
        self._shape: BaseGeometry | None = None

    @property
    def shape(self) -> BaseGeometry:
        """The area, mm."""
        if self._shape is None:
            if self._of is None:
                eased = self.line.simplify(EASED, preserve_topology=False)
                self._shape = eased.buffer(self.reach, quad_segs=ARC)
            else:
                whole, axis = self._of
                self._shape = axis.flipped(whole.shape)
        return self._shape

    def image(self, axis: Axis) -> "Leather":
        """Give the mirror image."""
        flipped = axis.flipped(self.line)
        return Leather(
            MultiLineString(shapely.get_parts(flipped).tolist()), self.reach, (self, axis)
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """Leather to add for one wish."""

    wish: Wish
    leather: Leather


def patches(
    found: NeckLines, wishes: Sequence[Wish], *, about: float, discs: Discs | None = None
) -> tuple[Patch, ...]:
    """Work out the leather for each wish, all at once.

    Even: discs of the wanted width along the strand's middle line, so that each side gives half of what
    is missing. One-sided: everything within the wanted width of the side that is spared. Where two openings
    touch in a point, leather is laid round that point. `about` is the
    usual width, mm, by which strands are sampled; what a wish gets does not hang on the others. `discs`
    are those grown before on the same boundary.
    """
    if not wishes:
        return ()
    rows = np.array([w.row for w in wishes], dtype=np.int64)
    side = np.array([_end(w) for w in wishes], dtype=np.int64)
    width = np.array([w.width for w in wishes])
    lines: dict[int, list[MiddleLine]] = {}
    for line in middle_lines(
        discs if discs is not None else Discs(found.rings),
        ring=found.rings.ring[found.edge[rows, side]],
        way=found.way[rows, side],
        width=width,
        step=about / FINE,
        most=about + ROOM,
    ):
        lines.setdefault(line.neck, []).append(line)
    made: dict[tuple[tuple[int, ...], float], Leather] = {}  # necks of one strand share its leather
    return tuple(
        Patch(wish=w, leather=_leather(w, lines.get(k, []), made)) for k, w in enumerate(wishes)
    )


def _leather(
    wish: Wish,
    lines: Sequence[MiddleLine],
    made: dict[tuple[tuple[int, ...], float], Leather],
) -> Leather:
    if wish.spared is None:
        along, reach = [m.line for m in lines], wish.width / 2
    else:
        along, reach = [m.side for m in lines], wish.width
    if not along and wish.neck.width <= CONTACT:
        at = wish.neck.middle if wish.spared is None else _side(wish)
        return Leather(MultiLineString([_drawn(LineString([at, at]))]), reach)
    key = tuple(id(line) for line in along), reach
    if key not in made:
        made[key] = Leather(MultiLineString([_drawn(line) for line in along]), reach)
    return made[key]


def _drawn(line: LineString) -> LineString:
    """Give a side that is one sharp corner a length: a line without one is near nothing to a prepared search."""
    if line.length > 0:
        return line
    x, y = line.coords[0]
    return LineString([(x, y), (x + DOT, y)])


def _side(wish: Wish) -> XY:
    """End of the neck on the spared side."""
    return wish.neck.start if _end(wish) == 0 else wish.neck.end


def _end(wish: Wish) -> int:
    """End of the neck that the middle line is found from: the spared side, else the first."""
    return 1 if wish.spared is not None and wish.neck.between[0] != wish.spared else 0
