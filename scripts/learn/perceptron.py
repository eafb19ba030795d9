"""Structured perceptron: weights learnt through the same exact choice that uses them.

Learning from one draw of families after another and averaging (each on half of the families) makes
the weights carry over to styles that were in none of them.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import FloatArray
from filigree.regions.background.decide import decide
from filigree.regions.background.frame import framed
from scripts.learn.examples import Example

CLIP = 4.0
MARGIN = 1.0  # a wrong region must lose by this much
DECAY = 1e-4
DRAWS = 6
SHARE = 0.5  # of the families in one draw
ROUNDS = 6
RATE = 0.5
SIZE = 5.0  # length of the weights


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weights:
    """Linear scores: `clip((cue - mean) / spread) @ weight + bias`."""

    mean: FloatArray
    spread: FloatArray
    weight: FloatArray
    bias: float

    def laid(self, cues: FloatArray) -> FloatArray:
        """Cues in spreads from their means, clipped, with a column of ones, `(n, k + 1)`."""
        z = np.clip((cues - self.mean) / self.spread, -CLIP, CLIP)
        return np.column_stack([z, np.ones(len(z))])

    def scores(self, cues: FloatArray) -> FloatArray:
        """Score of each row for being background, `(n,)`."""
        return np.asarray(self.laid(cues) @ np.append(self.weight, self.bias))


def learn(found: list[Example], *, draws: int = DRAWS) -> Weights:
    """Learn from examples; every drawing counts the same, whatever its number of regions."""
    every = np.vstack([e.seen.every for e in found])
    each = np.concatenate([np.full(len(e.truth), 1 / len(e.truth)) for e in found])
    mean = np.average(every, axis=0, weights=each)
    spread = np.sqrt(np.average((every - mean) ** 2, axis=0, weights=each)) + 1e-6
    blank = Weights(mean=mean, spread=spread, weight=np.zeros(len(mean)), bias=0.0)
    laid = [blank.laid(e.seen.every) for e in found]
    families = sorted({e.family for e in found})
    total = np.zeros(len(mean) + 1)
    for draw in range(draws):
        rng = np.random.default_rng(draw)
        some = set(rng.choice(families, max(1, round(SHARE * len(families))), replace=False))
        rows = [k for k, e in enumerate(found) if e.family in some]
        w = _averaged([found[k] for k in rows], [laid[k] for k in rows], rng)
        total += w / np.linalg.norm(w[:-1])
    w = total / draws * SIZE
    return Weights(mean=mean, spread=spread, weight=w[:-1], bias=float(w[-1]))


def _averaged(found: list[Example], laid: list[FloatArray], rng: np.random.Generator) -> FloatArray:
    """One run of the averaged perceptron."""
    w = np.zeros(laid[0].shape[1])
    total = np.zeros_like(w)
    for lap in range(ROUNDS):
        for k in rng.permutation(len(found)):
            w = _step(w, found[k], laid[k], RATE / (1 + lap))
            if lap >= ROUNDS // 3:
                total += w
    return total


def _step(w: FloatArray, e: Example, z: FloatArray, rate: float) -> FloatArray:
    shut = framed(e.seen.border, len(z))
    none = np.zeros(len(z), dtype=bool)
    size = e.seen.weight
    toll = np.where(e.truth, -MARGIN, MARGIN)
    chosen = decide(size * (z @ w + toll), e.seen, opened=none, shut=shut)
    truth = e.truth & ~shut
    miss = (truth.astype(float) - chosen) * size
    if not miss.any():
        return w
    return np.asarray(w * (1 - rate * DECAY) + rate * (miss @ z) / size[~shut].sum())
