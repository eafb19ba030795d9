"""Trees: many small decision trees over the cues, each adding a little to the log odds of background."""

from functools import cache
from pathlib import Path

import msgspec
import numpy as np
from msgspec import Struct

from filigree.geometry.types import FloatArray, IntArray

GROWN = Path(__file__).with_name("trees.json")


class Trees(Struct, frozen=True, forbid_unknown_fields=True):
    """Full binary trees of one depth; a node sends a row right when its cue lies above the cut.

    Attributes:
        note: what the trees were learnt from.
        cues: names of the cues, in the order of the columns.
        feature: column asked at each inner node, root first, level by level, a list a tree.
        cut: the cut at each inner node.
        value: log odds at each leaf, left to right.
    """

    note: str
    cues: tuple[str, ...]
    feature: tuple[tuple[int, ...], ...]
    cut: tuple[tuple[float, ...], ...]
    value: tuple[tuple[float, ...], ...]


@cache
def grown() -> Trees:
    """The trees shipped with the package, read once."""
    return msgspec.json.decode(GROWN.read_bytes(), type=Trees)


def odds(trees: Trees, values: FloatArray) -> FloatArray:
    """Log odds of each row of cue values `(n, k)`, `(n,)`."""
    feature = np.array(trees.feature, dtype=np.int64)
    cut, value = np.array(trees.cut), np.array(trees.value)
    rows, found = np.arange(len(values)), np.zeros(len(values))
    for asked, at, says in zip(feature, cut, value, strict=True):
        found += says[leaves(values, rows, asked, at)]
    return found


def leaves(values: FloatArray, rows: IntArray, feature: IntArray, cut: FloatArray) -> IntArray:
    """Leaf of one tree that each row comes to, `(n,)`."""
    node = np.zeros(len(values), dtype=np.int64)
    for _ in range(int(np.log2(len(feature) + 1))):
        node = 2 * node + 1 + (values[rows, feature[node]] > cut[node])
    return node - len(feature)
