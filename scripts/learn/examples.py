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
from tests.make.families import FAMILIES

PURE = 0.98  # a region less of one kind than this has no clear truth and teaches nothing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Example:
    """One drawing: what is seen of it, which rows are background, their areas, mm2."""

    family: str
    seed: int
    seen: Look
    truth: BoolArray
    area: FloatArray
    pure: bool


def example(family: str, seed: int) -> Example:
    """Draw, divide and look."""
    made = FAMILIES[family](seed)
    regions = divide(made.drawing)
    shapes = shapely.make_valid(np.array([r.shape for r in regions.regions]))
    area = shapely.area(shapes)
    ground = shapely.union_all(made.background)
    share = shapely.area(shapely.intersection(shapes, ground)) / np.maximum(area, 1e-9)
    doubt = (share > 1 - PURE) & (share < PURE) & (area > 1.0)
    whole = area[share > 0.5].sum() / max(ground.area, 1e-9)
    return Example(
        family=family,
        seed=seed,
        seen=look(regions),
        truth=share > 0.5,
        area=area,
        pure=not doubt.any() and 0.99 < whole < 1.01,
    )


def examples(families: Iterable[str], seeds: Iterable[int], store: Path | None = None) -> list[Example]:
    """Examples of many seeds, kept in `store` between runs."""
    seeds = list(seeds)
    found = []
    for family in families:
        kept = store / f"{family}-{seeds[0]}-{seeds[-1]}.pickle" if store else None
        if kept and kept.exists():
            found.extend(pickle.loads(kept.read_bytes()))
            continue
        fresh = [example(family, seed) for seed in seeds]
        if kept:
            kept.parent.mkdir(parents=True, exist_ok=True)
            kept.write_bytes(pickle.dumps(fresh))
        found.extend(fresh)
    return found
