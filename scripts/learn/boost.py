"""Boosting: trees learnt one after another, each on some of the families and some of the cues.

A tree never sees all families, so that what carries from family to family weighs more than what tells
one family from another.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from filigree.geometry.types import BoolArray, FloatArray, IntArray
from filigree.regions.background.cues import NAMES
from filigree.regions.background.frame import framed
from filigree.regions.background.further import FURTHER_NAMES
from filigree.regions.background.trees import Trees, leaves
from scripts.learn.examples import Example

TREES = 320
DEPTH = 4
RATE = 0.1
COLUMNS = 0.35  # of the cues each tree may ask
SHARE = 0.6  # of the families each tree sees
BINS = 40
RIDGE = 1.0  # pulls leaves with little weight towards 0
LEAST = 2e-4  # of the whole weight that a leaf must hold
ROWS = 48  # of one drawing; more teach nothing new in a repeat
NEVER = 1e9  # a cut that sends every row left
BASE = 2**DEPTH - 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rows:
    """Cues, answers, weights and families of the rows learnt from."""

    cues: FloatArray
    truth: FloatArray
    weight: FloatArray
    family: npt.NDArray[np.str_]


def grow(found: list[Example], *, note: str = "", seed: int = 0) -> Trees:
    """Learn trees from examples; every drawing counts the same."""
    rng = np.random.default_rng(seed)
    rows = _rows(found, rng)
    edges = [
        np.unique(np.quantile(column, np.linspace(0, 1, BINS + 1)[1:-1])) for column in rows.cues.T
    ]
    codes = np.stack(
        [np.searchsorted(e, column) for e, column in zip(edges, rows.cues.T, strict=True)]
    )
    names, every = np.unique(rows.family), np.arange(len(rows.truth))
    held = np.zeros(len(rows.truth))
    trees = []
    for _ in range(TREES):
        some = rng.choice(names, max(1, round(SHARE * len(names))), replace=False)
        asked = np.sort(rng.choice(len(edges), round(COLUMNS * len(edges)), replace=False))
        seen = np.flatnonzero(np.isin(rows.family, some))
        likely = 1 / (1 + np.exp(-held[seen]))
        slope = (likely - rows.truth[seen]) * rows.weight[seen]
        bend = np.maximum(likely * (1 - likely), 1e-6) * rows.weight[seen]
        feature, cut = _tree(rows.cues[seen], codes[np.ix_(asked, seen)], asked, edges, slope, bend)
        leaf = leaves(rows.cues[seen], np.arange(len(seen)), feature, cut)
        top = np.bincount(leaf, slope, minlength=BASE + 1)
        value = -RATE * top / (np.bincount(leaf, bend, minlength=BASE + 1) + RIDGE)
        held += value[leaves(rows.cues, every, feature, cut)]
        trees.append((feature, cut, value))
    return Trees(
        note=note,
        cues=(*NAMES, *FURTHER_NAMES),
        feature=tuple(tuple(f.tolist()) for f, _, _ in trees),
        cut=tuple(tuple(np.round(c, 6).tolist()) for _, c, _ in trees),
        value=tuple(tuple(np.round(v, 5).tolist()) for _, _, v in trees),
    )


def _rows(found: list[Example], rng: np.random.Generator) -> _Rows:
    """Free rows of every drawing, at most ROWS each, weighted half by area and half by number."""
    cues, truth, weight, family = [], [], [], []
    for e in found:
        free = np.flatnonzero(~framed(e.seen.border, len(e.truth)))
        if len(free) == 0:
            continue
        each = 0.5 * e.area[free] / e.area[free].sum() + 0.5 / len(free)
        if len(free) > ROWS:
            free = rng.choice(free, ROWS, replace=False, p=each / each.sum())
            each = np.full(ROWS, 1 / ROWS)
        cues.append(e.seen.every[free])
        truth.append(e.truth[free])
        weight.append(each)
        family += [e.family] * len(free)
    whole = np.concatenate(weight)
    return _Rows(
        cues=np.vstack(cues),
        truth=np.concatenate(truth).astype(np.float64),
        weight=whole / whole.mean(),
        family=np.array(family),
    )


def _tree(
    cues: FloatArray,
    codes: IntArray,
    asked: IntArray,
    edges: list[FloatArray],
    slope: FloatArray,
    bend: FloatArray,
) -> tuple[IntArray, FloatArray]:
    """Grow one tree level by level: at each node the cut that gains most."""
    feature, cut = np.zeros(BASE, dtype=np.int64), np.full(BASE, NEVER)
    node, rows = np.zeros(len(cues), dtype=np.int64), np.arange(len(cues))
    least = LEAST * len(cues)
    for level in range(DEPTH):
        first, wide = 2**level - 1, 2**level
        gain = _gains(codes, node - first, wide, slope, bend, least)
        best = gain.argmax(axis=1)
        for k in range(wide):
            j, code = divmod(int(best[k]), BINS)
            edge = edges[asked[j]]
            if gain[k, best[k]] > 0 and code < len(edge):
                feature[first + k], cut[first + k] = asked[j], edge[code]
        node = 2 * node + 1 + (cues[rows, feature[node]] > cut[node])
    return feature, cut


def _gains(
    codes: IntArray, node: IntArray, wide: int, slope: FloatArray, bend: FloatArray, least: float
) -> FloatArray:
    """What each cut of each cue gains at each node of a level, `(wide, cues * BINS)`."""
    key = ((np.arange(len(codes))[:, None] * wide + node) * BINS + codes).ravel()
    shape = (len(codes), wide, BINS)

    def below(values: FloatArray) -> FloatArray:
        spread = np.broadcast_to(values, codes.shape).ravel()
        table = np.bincount(key, spread, minlength=len(codes) * wide * BINS)
        return np.asarray(table.reshape(shape).cumsum(axis=2))

    g, h = below(slope), below(bend)
    whole_g, whole_h = g[:, :, -1:], h[:, :, -1:]
    gain = g**2 / (h + RIDGE) + (whole_g - g) ** 2 / (whole_h - h + RIDGE)
    gain -= whole_g**2 / (whole_h + RIDGE)
    fair: BoolArray = (h > least) & (whole_h - h > least)
    return np.asarray(np.where(fair, gain, 0.0).transpose(1, 0, 2).reshape(wide, -1))
