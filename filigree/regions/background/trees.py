"""Trees: many small decision trees over the cues, each adding a little to the log odds of background."""

from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

import msgspec
import numpy as np
from msgspec import Struct

from filigree.geometry.types import BoolArray, FloatArray, IntArray

GROWN = Path(__file__).with_name("trees.json")
AT_ONCE = 50_000  # places in trees followed at once


class Tree(Struct, frozen=True, forbid_unknown_fields=True, array_like=True):
    """One tree: `k` inner nodes, root first, and `k + 1` leaves.

    Attributes:
        feature: column asked at each inner node.
        cut: a row goes on to `above` when its cue lies above the cut, else to `below`.
        below: the next inner node, or `-1 - leaf`.
        above: the same.
        value: log odds at each leaf.
    """

    feature: tuple[int, ...]
    cut: tuple[float, ...]
    below: tuple[int, ...]
    above: tuple[int, ...]
    value: tuple[float, ...]


class Trees(Struct, frozen=True, eq=False, forbid_unknown_fields=True):
    """What was learnt.

    Attributes:
        note: what the trees were learnt from.
        cues: names of the cues, in the order of the columns.
        trees: the trees; their log odds are added up.
    """

    note: str
    cues: tuple[str, ...]
    trees: tuple[Tree, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Forest:
    """All nodes of all trees in one row, leaves too, which lead to themselves."""

    root: IntArray
    feature: IntArray
    cut: FloatArray
    next: IntArray  # below and above, in pairs
    leaf: BoolArray
    value: FloatArray


@cache
def grown() -> Trees:
    """The trees shipped with the package, read once."""
    return msgspec.json.decode(GROWN.read_bytes(), type=Trees)


def odds(trees: Trees, values: FloatArray) -> FloatArray:
    """Log odds of each row of cue values `(n, k)`, `(n,)`."""
    if not trees.trees:
        return np.zeros(len(values))
    forest = _forest(trees)
    parts = 1 + len(values) * len(forest.root) // AT_ONCE
    return np.concatenate([_odds(forest, some) for some in np.array_split(values, parts)])


def _odds(forest: _Forest, values: FloatArray) -> FloatArray:
    """Follow each row down every tree; a way that has come to its leaf is followed no more."""
    node = np.tile(forest.root, len(values))
    end, way = node.copy(), np.arange(len(node))
    start = np.repeat(np.arange(len(values)) * values.shape[1], len(forest.root))
    cues = values.ravel()
    while len(way):
        over = cues[start + forest.feature[node]] > forest.cut[node]
        node = forest.next[2 * node + over]
        on = ~forest.leaf[node]
        end[way[~on]] = node[~on]
        node, start, way = node[on], start[on], way[on]
    return np.asarray(forest.value[end].reshape(len(values), len(forest.root)).sum(axis=1))


@lru_cache(maxsize=4)  # trees are told apart by identity
def _forest(trees: Trees) -> _Forest:
    """Lay all trees in one row: inner nodes of a tree, then its leaves."""
    inner = np.array([len(t.feature) for t in trees.trees])
    first = np.concatenate([[0], np.cumsum(2 * inner + 1)])
    count = int(first[-1])
    feature, cut, value = np.zeros(count, dtype=np.int64), np.zeros(count), np.zeros(count)
    below = np.arange(count)
    above = np.arange(count)
    for tree, k, start in zip(trees.trees, inner.tolist(), first[:-1].tolist(), strict=True):
        here = slice(start, start + k)
        feature[here], cut[here] = tree.feature, tree.cut
        for side, to in ((below, tree.below), (above, tree.above)):
            place = np.array(to, dtype=np.int64)
            side[here] = start + np.where(place < 0, k - 1 - place, place)
        value[start + k : start + 2 * k + 1] = tree.value
    return _Forest(
        root=first[:-1],
        feature=feature,
        cut=cut,
        next=np.stack([below, above], axis=1).ravel(),
        leaf=below == np.arange(count),
        value=value,
    )
