"""Trust: from log odds to how sure an answer is.

A fitted sigmoid was timid (of the answers at 0.9 and more 99.2 % right, but only 70 % of all there), so the line
is set: on families left out of learning 98.2 % of the answers at 0.9 and more are right, and 78 % reach it; on all
families' held-back seeds 99.4 and 83 %.
"""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray
from filigree.regions.background.frame import framed
from filigree.regions.background.guess import margins
from scripts.learn.examples import Example
from scripts.learn.model import Model

MOST = 0.995


@dataclass(frozen=True, slots=True, kw_only=True)
class Trust:
    """`heat` is log odds a unit of weighted score; trust is a sigmoid of `slope * margin + bias`."""

    heat: float
    slope: float
    bias: float

    def sure(self, margin: FloatArray) -> FloatArray:
        """How sure each answer is, 0.5 to MOST."""
        return np.clip(1 / (1 + np.exp(-(self.slope * margin + self.bias))), 0.5, MOST)


LINE = Trust(heat=0.5, slope=1.0, bias=0.5)


def margin_of(model: Model, e: Example, heat: float) -> tuple[FloatArray, BoolArray]:
    """Margins of the free rows of an example, and whether each answer is right."""
    shut = framed(e.seen.border, len(e.truth))
    none = np.zeros(len(e.truth), dtype=bool)
    chosen = model.choose(e)
    odds = heat * e.seen.weight * model.scores(e.seen.every)
    found = margins(odds, e.seen, chosen, opened=none, shut=shut)
    return found[~shut], (chosen == e.truth)[~shut]


def gather(
    held: list[tuple[Model, list[Example]]], heat: float
) -> tuple[FloatArray, BoolArray, FloatArray]:
    """Margins, rights and weights of all rows."""
    parts = [margin_of(w, e, heat) for w, found in held for e in found]
    each = np.concatenate([np.full(len(m), 1 / max(len(m), 1) ** 0.5) for m, _ in parts])
    return np.concatenate([m for m, _ in parts]), np.concatenate([r for _, r in parts]), each
