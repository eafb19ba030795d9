"""Trust: from log odds to how sure an answer is, fitted on families left out of learning."""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray
from filigree.regions.background.frame import framed
from filigree.regions.background.guess import margins
from scripts.learn.examples import Example
from scripts.learn.model import Model

HEATS = (0.2, 0.3, 0.4, 0.5, 0.7, 1.0)
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


def margin_of(model: Model, e: Example, heat: float) -> tuple[FloatArray, BoolArray]:
    """Margins of the free rows of an example, and whether each answer is right."""
    shut = framed(e.seen.border, len(e.truth))
    none = np.zeros(len(e.truth), dtype=bool)
    chosen = model.choose(e)
    odds = heat * e.seen.weight * model.scores(e.seen.every)
    found = margins(odds, e.seen, chosen, opened=none, shut=shut)
    return found[~shut], (chosen == e.truth)[~shut]


def fit(held: list[tuple[Model, list[Example]]]) -> Trust:
    """Fit on examples with weights that never saw their families; every drawing counts the same."""
    best, least = Trust(heat=1.0, slope=1.0, bias=0.0), np.inf
    for heat in HEATS:
        margin, right, each = gather(held, heat)
        slope, bias, loss = _sigmoid(margin, right, each)
        if loss < least:
            best, least = Trust(heat=heat, slope=slope, bias=bias), loss
    return best


def gather(
    held: list[tuple[Model, list[Example]]], heat: float
) -> tuple[FloatArray, BoolArray, FloatArray]:
    """Margins, rights and weights of all rows."""
    parts = [margin_of(w, e, heat) for w, found in held for e in found]
    each = np.concatenate([np.full(len(m), 1 / max(len(m), 1) ** 0.5) for m, _ in parts])
    return np.concatenate([m for m, _ in parts]), np.concatenate([r for _, r in parts]), each


def _sigmoid(margin: FloatArray, right: BoolArray, each: FloatArray) -> tuple[float, float, float]:
    """Logistic regression of `right` on `margin` by Newton's method; slope, bias and mean loss."""
    x = np.column_stack([np.clip(margin, -12, 12), np.ones(len(margin))])
    w = np.array([0.5, 0.0])
    for _ in range(30):
        p = 1 / (1 + np.exp(-np.clip(x @ w, -40, 40)))
        slope = x.T @ (each * (right - p)) - 1e-3 * w
        bend = (x.T * (each * p * (1 - p))) @ x + 1e-3 * np.eye(2)
        w = w + np.linalg.solve(bend, slope)
    p = 1 / (1 + np.exp(-np.clip(x @ w, -20, 20)))
    loss = -np.average(np.where(right, np.log(p), np.log(1 - p)), weights=each)
    return float(w[0]), float(w[1]), float(loss)
