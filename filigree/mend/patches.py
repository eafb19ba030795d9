"""Patches: the leather that makes one narrow strand wide enough."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely import MultiLineString
from shapely.geometry.base import BaseGeometry

from filigree.geometry.middle import Discs, MiddleLine, middle_lines
from filigree.geometry.necks import NeckLines
from filigree.measure.model import Neck, Side

ARC = 32  # segments a quarter turn: 0.001 mm on a disc of radius 3 mm
EASED = 0.0005  # mm: lines are straightened by this much
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """Leather to add for one wish."""

    wish: Wish
    shape: BaseGeometry


def patches(
    found: NeckLines, wishes: Sequence[Wish], *, about: float, discs: Discs | None = None
) -> tuple[Patch, ...]:
    """Work out the leather for each wish, all at once.

    Even: discs of the wanted width along the strand's middle line, so that each side gives half of what
    is missing. One-sided: everything within the wanted width of the side that is spared. `about` is the
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
    ):
        lines.setdefault(line.neck, []).append(line)
    made: dict[tuple[bytes, float], BaseGeometry] = {}  # necks of one strand share its leather
    return tuple(
        Patch(wish=w, shape=_shape(w, lines.get(k, []), made)) for k, w in enumerate(wishes)
    )


def _shape(
    wish: Wish, lines: Sequence[MiddleLine], made: dict[tuple[bytes, float], BaseGeometry]
) -> BaseGeometry:
    if wish.spared is None:
        along, reach = MultiLineString([m.line for m in lines]), wish.width / 2
    else:
        along, reach = MultiLineString([m.side for m in lines]), wish.width
    key = along.wkb, reach
    if key not in made:
        eased = along.simplify(EASED, preserve_topology=False)
        made[key] = eased.buffer(reach, quad_segs=ARC)
    return made[key]


def _end(wish: Wish) -> int:
    """End of the neck that the middle line is found from: the spared side, else the first."""
    return 1 if wish.spared is not None and wish.neck.between[0] != wish.spared else 0
