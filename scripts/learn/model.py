"""Model: linear scores and trees together, as the guess uses them."""

from dataclasses import dataclass

from filigree.geometry.types import BoolArray, FloatArray
from filigree.regions.background.decide import decide
from filigree.regions.background.frame import framed
from filigree.regions.background.trees import Trees, odds
from scripts.learn.boost import grow
from scripts.learn.examples import Example
from scripts.learn.perceptron import Weights, learn

BLEND = 0.5  # log odds a unit of linear score; best of 0, 0.5, 1, 1.5 on families left out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Model:
    """Linear weights and trees; `scores` are log odds of background."""

    weights: Weights
    trees: Trees

    def scores(self, cues: FloatArray) -> FloatArray:
        """Score of each row of all cues, `(n,)`."""
        return odds(self.trees, cues) + BLEND * self.weights.scores(cues)

    def choose(self, e: Example) -> BoolArray:
        """Unmarked choice for an example."""
        shut = framed(e.seen.border, len(e.truth))
        none = shut & ~shut
        return decide(e.seen.weight * self.scores(e.seen.every), e.seen, opened=none, shut=shut)


def taught(found: list[Example], note: str = "") -> Model:
    """Learn both from examples."""
    return Model(weights=learn(found), trees=grow(found, note=note))
