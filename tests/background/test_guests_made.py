"""The guests among the generated drawings keep what is promised of them: a truth that a cut can follow."""

from functools import cache

import numpy as np
import pytest
import shapely

from filigree.regions.divide import divide
from tests.make.families import GUESTS, varied

SEEDS = (3, 11)
CLEAR = 0.02  # share of a region that may lie on the wrong side, as flattening leaves it


@cache
def guest(family, seed):
    """A drawing, made once for all tests."""
    return GUESTS[family](seed)


def shares(made):
    """Areas of the regions, mm2, and the share of each that is true background."""
    shapes = np.array([r.shape for r in divide(made.drawing).regions])
    area = shapely.area(shapes)
    return area, shapely.area(shapes & shapely.union_all(made.background)) / area


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("family", GUESTS)
def test_every_field_is_wholly_ground_or_wholly_motif(family, seed):
    made = guest(family, seed)
    area, share = shares(made)
    assert len(area) >= 6
    assert np.minimum(share, 1 - share)[area > 1].max() < CLEAR
    ground = sum(p.area for p in made.background)
    assert area[share > 0.5].sum() == pytest.approx(ground, rel=0.01)
    assert 0.1 <= ground / (ground + sum(p.area for p in made.motif)) <= 0.75
    assert min(p.area for p in made.background) > 1.9


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("family", GUESTS)
def test_openings_keep_apart(family, seed):
    fields = np.array(guest(family, seed).background)
    first, second = shapely.STRtree(fields).query(fields, predicate="dwithin", distance=0.1)
    near = shapely.buffer(fields, 0.1)
    both = shapely.area(near[first[first < second]] & near[second[first < second]])
    assert both.max(initial=0) < 0.2  # mm2: corners may come near, lines are not shared


@pytest.mark.parametrize("family", GUESTS)
def test_another_hand_keeps_the_truth(family):
    made = varied(family, SEEDS[0])
    area, share = shares(made)
    assert np.minimum(share, 1 - share)[area > 1].max() < 0.1
    assert area[share > 0.5].sum() == pytest.approx(sum(p.area for p in made.background), rel=0.02)


def test_leather_mostly_holds_together():
    """At most one piece in six keeps islands, as beginners draw them."""
    drawings = [guest(family, seed) for family in GUESTS for seed in SEEDS]
    parts = [shapely.get_parts(shapely.union_all(m.motif).buffer(-0.1)) for m in drawings]
    whole = [sum(p.area > 1 for p in bits) == 1 for bits in parts]
    assert np.mean(whole) >= 5 / 6
