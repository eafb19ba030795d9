"""Learnt: the table of weights that scores regions, and of how far its answers can be trusted.

`weights.json` is written by `python -m scripts.learn`; its note says from what.
"""

from functools import cache
from pathlib import Path
from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta, Struct

from filigree.geometry.types import FloatArray

TABLE = Path(__file__).with_name("weights.json")


class Cue(Struct, frozen=True, forbid_unknown_fields=True):
    """One cue: what is usual, how far it spreads, and what a spread more says for background."""

    mean: float
    spread: Annotated[float, Meta(gt=0)]
    weight: float


class Table(Struct, frozen=True, forbid_unknown_fields=True):
    """Weights of all cues, and the line from log odds to trust."""

    note: str
    cues: dict[str, Cue]
    bias: float
    clip: float
    blend: float  # log odds a unit of linear score, beside the trees
    heat: float  # log odds a unit of weighted score
    trust_slope: float
    trust_bias: float
    trust_most: float


@cache
def table() -> Table:
    """The table shipped with the package, read once."""
    return msgspec.json.decode(TABLE.read_bytes(), type=Table)


def scores(values: FloatArray, names: tuple[str, ...]) -> FloatArray:
    """Score of each row of cue values `(n, k)` for being background, `(n,)`."""
    known = table()
    mean = np.array([known.cues[n].mean for n in names])
    spread = np.array([known.cues[n].spread for n in names])
    weight = np.array([known.cues[n].weight for n in names])
    z = np.clip((values - mean) / spread, -known.clip, known.clip)
    return np.asarray(z @ weight + known.bias, dtype=np.float64)


def trust(margin: FloatArray) -> FloatArray:
    """How sure a choice is, 0.5 to 1, from the log odds that speak for it."""
    known = table()
    line = known.trust_slope * margin + known.trust_bias
    return np.asarray(np.clip(1 / (1 + np.exp(-line)), 0.5, known.trust_most), dtype=np.float64)
