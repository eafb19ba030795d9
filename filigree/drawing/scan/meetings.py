"""Meetings: how the strokes of a scan hold together: free ends, ends on a line, corners, and connected pieces."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.drawing.scan.beside import Lines
from filigree.geometry.groups import connected
from filigree.geometry.types import BoolArray, IntArray

INNER = 0.06  # share at each end of a line's chord where meeting another is no crossing
SAME = 0.05  # mm: ends nearer than this to a line or an end meet it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meetings:
    """What each line meets.

    Attributes:
        onto: the line on whose run its start and its end lie, `(n, 2)`; -1 for none.
        corner: whether its start and its end meet ends of others, `(n, 2)`.
        crosses: how many others it crosses.
        hosts: how many ends of others lie on its run.
        piece: number of the connected piece it belongs to.
    """

    onto: IntArray
    corner: BoolArray
    crosses: IntArray
    hosts: IntArray
    piece: IntArray


def meetings(lines: Lines) -> Meetings:
    """Read what meets what from the lines' geometry."""
    count = len(lines.length)
    tips = np.stack([lines.starts, lines.ends], axis=1).reshape(-1, 2)
    tree = shapely.STRtree(lines.shapes)
    tip, line = tree.query(shapely.points(tips), predicate="dwithin", distance=SAME)
    other = line != tip // 2
    tip, line = tip[other], line[other]
    to_start = np.hypot(*(tips[tip] - lines.starts[line]).T)
    to_end = np.hypot(*(tips[tip] - lines.ends[line]).T)
    at_end = np.minimum(to_start, to_end) <= 2 * SAME
    onto, corner = np.full(2 * count, -1), np.zeros(2 * count, bool)
    onto[tip[~at_end]] = line[~at_end]
    corner[tip[at_end]] = True
    hosts = np.bincount(line[~at_end], minlength=count)
    first, second = tree.query(lines.shapes, predicate="dwithin", distance=SAME)
    pair = first != second
    inner = np.empty(count, object)
    inner[:] = shapely.linestrings(
        np.stack([lines.starts, lines.ends], axis=1) * (1 - INNER)
        + np.stack([lines.ends, lines.starts], axis=1) * INNER
    )
    crossed = shapely.crosses(inner[first[pair]], inner[second[pair]])
    return Meetings(
        onto=onto.reshape(-1, 2),
        corner=corner.reshape(-1, 2),
        crosses=np.bincount(first[pair][crossed], minlength=count),
        hosts=hosts,
        piece=connected(count, first, second),
    )
