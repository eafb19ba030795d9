"""Structured perceptron: weights learnt through the same exact choice that uses them."""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray
from filigree.regions.background.decide import decide
from filigree.regions.background.frame import framed
from scripts.learn.examples import Example

CLIP = 4.0
MARGIN = 1.0  # a wrong region must lose by this much
DECAY = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weights:
    """Linear scores: `(clip((cue - mean) / spread)) @ weight + bias`."""

    mean: FloatArray
    spread: FloatArray
    weight: FloatArray
    bias: float

    def scores(self, cues: FloatArray) -> FloatArray:
        """Score of each row for being background, `(n,)`."""
        z = np.clip((cues - self.mean) / self.spread, -CLIP, CLIP)
        return np.asarray(z @ self.weight + self.bias)


def learn(found: list[Example], *, rounds: int = 12, rate: float = 0.5, seed: int = 7) -> Weights:
    """Learn from examples; every drawing counts the same."""
    every = np.vstack([e.seen.cues for e in found])
    each = np.concatenate([np.full(len(e.truth), 1 / len(e.truth)) for e in found])
    mean = np.average(every, axis=0, weights=each)
    spread = np.sqrt(np.average((every - mean) ** 2, axis=0, weights=each)) + 1e-6
    laid = [np.clip((e.seen.cues - mean) / spread, -CLIP, CLIP) for e in found]
    laid = [np.column_stack([z, np.ones(len(z))]) for z in laid]
    rng = np.random.default_rng(seed)
    w = np.zeros(every.shape[1] + 1)
    total = np.zeros_like(w)
    steps = 0
    for lap in range(rounds):
        for k in rng.permutation(len(found)):
            w = _step(w, found[k], laid[k], rate / (1 + lap))
            if lap >= rounds // 3:
                total += w
                steps += 1
    w = total / max(steps, 1)
    return Weights(mean=mean, spread=spread, weight=w[:-1], bias=float(w[-1]))


def _step(w: FloatArray, e: Example, z: FloatArray, rate: float) -> FloatArray:
    shut = framed(e.seen.border, len(z))
    none = np.zeros(len(z), dtype=bool)
    size = e.seen.weight
    toll = np.where(e.truth, -MARGIN, MARGIN)
    guess = decide(size * (z @ w + toll), e.seen, opened=none, shut=shut)
    truth = e.truth & ~shut
    miss = (truth.astype(float) - guess) * size
    if not miss.any():
        return w
    return np.asarray(w * (1 - rate * DECAY) + rate * (miss @ z) / size[~shut].sum())


def guess(weights: Weights, e: Example) -> BoolArray:
    """Unmarked choice for an example."""
    shut = framed(e.seen.border, len(e.truth))
    none = np.zeros(len(e.truth), dtype=bool)
    return decide(e.seen.weight * weights.scores(e.seen.cues), e.seen, opened=none, shut=shut)
