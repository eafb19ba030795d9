"""Examples: generated drawings as cues with the true answer."""

import pickle
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from filigree.geometry.types import BoolArray, FloatArray
from filigree.regions.background.look import Look, look
from filigree.regions.divide import divide
from filigree.regions.model import RegionMap
from tests.make.families import EVERY, varied

PURE = 0.98  # a region less of one kind than this has no clear truth and teaches nothing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Divided:
    """One drawing divided; `share` is how much of each region is true background."""

    family: str
    seed: int
    regions: RegionMap
    share: FloatArray
    ground: float  # mm2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Example:
    """One drawing: what is seen of it, which rows are background, their areas, mm2."""

    family: str
    seed: int
    seen: Look
    truth: BoolArray
    area: FloatArray
    pure: bool


def divided(family: str, seed: int, *, other_hand: bool = False) -> Divided:
    """Draw and divide."""
    made = varied(family, seed) if other_hand else EVERY[family](seed)
    regions = divide(made.drawing)
    shapes = shapely.make_valid(np.array([r.shape for r in regions.regions]))
    ground = shapely.union_all(made.background)
    share = shapely.area(shapely.intersection(shapes, ground))
    share /= np.maximum(shapely.area(shapes), 1e-9)
    return Divided(family=family, seed=seed, regions=regions, share=share, ground=ground.area)


def example(found: Divided) -> Example:
    """Look at a divided drawing."""
    area = np.array([r.area_mm2 for r in found.regions.regions])
    doubt = (found.share > 1 - PURE) & (found.share < PURE) & (area > 1.0)
    truth = found.share > 0.5
    whole = float(area[truth].sum()) / max(found.ground, 1e-9)
    return Example(
        family=found.family,
        seed=found.seed,
        seen=look(found.regions),
        truth=truth,
        area=area,
        pure=not doubt.any() and 0.99 < whole < 1.01,
    )


def examples(family: str, seeds: Iterable[int], store: Path) -> list[Example]:
    """Examples of one family, as drawn and by another hand; they are kept in `store` between runs."""
    found = []
    for seed in seeds:
        for other_hand in (False, True):
            kept = store / f"{family}-{seed}{'-other' if other_hand else ''}.pickle"
            if not kept.exists():
                kept.parent.mkdir(parents=True, exist_ok=True)
                made = example(divided(family, seed, other_hand=other_hand))
                kept.write_bytes(pickle.dumps(made))
            found.append(pickle.loads(kept.read_bytes()))
    return found
