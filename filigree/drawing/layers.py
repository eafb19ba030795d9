"""Layers: what stays visible of each ink under the opaque paint above it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from filigree.drawing.fills import EMPTY, Shapes, only_areas
from filigree.errors import FiligreeError
from filigree.geometry.types import Area, BoolArray, IntArray

ONE_BY_ONE = (
    12  # papers over an ink that are taken off it singly, largest first; the others together
)
DEEP = 40  # papers over one ink, on average, from which whole stacks are merged in pairs
MOST_OVER = 300_000  # pairs of a light shape over a dark one; about half a minute of reading
MOST_NEAR = 4_000_000  # pairs whose boxes meet; about 0.1 GB
BATCH = 2_000  # light shapes whose boxes are counted at once


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """Visible ink.

    Attributes:
        thin: of strokes that are lines.
        broad: of fills and of strokes too wide to be lines.
        covering: indexes of the papers that lie over earlier ink.
        hidden: indexes of the inks of which nothing is seen; empty where that was not looked at.
    """

    thin: Area
    broad: Area
    covering: tuple[int, ...]
    hidden: frozenset[int] = frozenset()


def seen_ink(areas: Sequence[Area], paper: BoolArray, thin: BoolArray, *, name: str = "") -> Seen:
    """Resolve painting order.

    Args:
        areas: of each coat in painting order, mm.
        paper: True where the coat is paper, else it is ink; shape `(n,)`.
        thin: True where the coat is a stroke narrow enough to be a line; shape `(n,)`.
        name: of the drawing, for messages.

    Raises:
        FiligreeError: too many light shapes lie over dark ones; found before time is lost.
    """
    shapes = np.array(areas, dtype=object)
    ink, light = np.flatnonzero(~paper), np.flatnonzero(paper)
    if not len(ink):
        return Seen(thin=EMPTY, broad=EMPTY, covering=())
    _refuse_deep(_near(shapes, ink, light), MOST_NEAR, name)
    over, under = _stacked(shapes, ink, light)
    _refuse_deep(len(over), MOST_OVER, name)
    covering = tuple(np.unique(over).tolist())
    if len(over) > DEEP * len(ink):
        merged_thin, merged_broad = _merged(shapes, paper, thin)
        return Seen(thin=merged_thin, broad=merged_broad, covering=covering)
    order = np.lexsort((over, under))
    over, under = over[order], under[order]
    visible = shapes.copy()
    for group in np.split(np.arange(len(under)), np.flatnonzero(np.diff(under)) + 1):
        if len(group):
            i = under[group[0]]
            visible[i] = _uncovered(shapes[i], shapes[over[group]])
    return Seen(
        thin=only_areas(shapely.disjoint_subset_union_all(visible[~paper & thin])),
        broad=only_areas(shapely.disjoint_subset_union_all(visible[~paper & ~thin])),
        covering=covering,
        hidden=frozenset(ink[shapely.is_empty(visible[ink])].tolist()),
    )


def _near(shapes: Shapes, ink: IntArray, light: IntArray) -> int:
    """Count the pairs of a light shape and a dark or a light one whose boxes meet, as far as the limit."""
    count = 0
    for tree in (shapely.STRtree(shapes[ink]), shapely.STRtree(shapes[light])):
        for first in range(0, len(light), BATCH):
            count += len(tree.query(shapes[light[first : first + BATCH]])[0])
            if count > 2 * MOST_NEAR:
                return count
    return count // 2


def _refuse_deep(count: int, most: int, name: str) -> None:
    if count > most:
        raise FiligreeError(
            f"light shapes are laid over dark ones more than {most:,} times",
            remedy="unite what is seen in a drawing program, and leave out what lies hidden",
            where=name,
        )


def _stacked(shapes: Shapes, ink: IntArray, light: IntArray) -> tuple[IntArray, IntArray]:
    """Pairs of a paper and an ink beneath it that share some area."""
    if not len(light):
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    shapely.prepare(shapes)
    above, below = shapely.STRtree(shapes[ink]).query(shapes[light], predicate="intersects")
    over, under = light[above], ink[below]
    later = over > under
    over, under = over[later], under[later]
    needed = under >= _wrapped(shapes, light)[over]
    over, under = over[needed], under[needed]
    real = ~shapely.touches(shapes[over], shapes[under])
    return over[real], under[real]


def _uncovered(ink: Area, papers: Shapes) -> shapely.Geometry:
    """What the papers above leave of an ink; most often a few large ones leave little or nothing."""
    left: shapely.Geometry = ink
    papers = papers[np.argsort(-shapely.area(papers), kind="stable")]
    few = ONE_BY_ONE if len(papers) > 1 else 0
    for paper in papers[:few]:
        left = shapely.difference(left, paper)
        if shapely.is_empty(left):
            return left
    rest = papers[few:]
    if few:
        rest = rest[shapely.intersects(rest, left)]
    if not len(rest):
        return left
    return shapely.difference(left, rest[0] if len(rest) == 1 else shapely.union_all(rest))


def _wrapped(shapes: Shapes, light: IntArray) -> IntArray:
    """For each paper the last paper that holds it, or -1: over what lies below both, the larger one is enough.

    Nested stacks, each paper of which lies over every ink before it, come down to a pair an ink.
    """
    last = np.full(len(shapes), -1, dtype=np.int64)
    papers = shapes[light]
    inner, outer = shapely.STRtree(papers).query(papers, predicate="within")
    larger = shapely.area(papers[outer]) > shapely.area(papers[inner])  # of two alike both count
    np.maximum.at(last, light[inner[larger]], light[outer[larger]])
    return last


def _merged(shapes: Shapes, paper: BoolArray, thin: BoolArray) -> tuple[Area, Area]:
    """Merge neighbours of a deep stack in pairs: log2 n rounds over the whole drawing."""
    stacks: list[tuple[Area, Area, Area]] = [
        (EMPTY, EMPTY, shape)
        if is_paper
        else (shape, EMPTY, EMPTY)
        if is_thin
        else (EMPTY, shape, EMPTY)
        for shape, is_paper, is_thin in zip(shapes, paper.tolist(), thin.tolist(), strict=True)
    ]
    while len(stacks) > 1:
        pairs = [_pair(low, high) for low, high in zip(stacks[::2], stacks[1::2], strict=False)]
        stacks = pairs + stacks[len(pairs) * 2 :]
    return stacks[0][0], stacks[0][1]


def _pair(low: tuple[Area, Area, Area], high: tuple[Area, Area, Area]) -> tuple[Area, Area, Area]:
    """Lay one stack on another: thin ink, broad ink and paper that stay visible."""
    thin, broad, paper = high
    dark = shapely.union_all([thin, broad])
    return (
        only_areas(shapely.union(shapely.difference(low[0], paper), thin)),
        only_areas(shapely.union(shapely.difference(low[1], paper), broad)),
        only_areas(shapely.union(shapely.difference(low[2], dark), paper)),
    )
