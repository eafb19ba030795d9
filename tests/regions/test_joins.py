"""Joins that run over a drawn line on their way: every region stays a valid polygon."""

import numpy as np
import pytest
import shapely

from filigree.regions.divide import divide
from tests.make.families import EVERY, varied


@pytest.mark.parametrize(
    "made",
    [EVERY["carved"](18), varied("grapes", 4), varied("bees", 7)],
    ids=["carved", "grapes", "bees"],
)
def test_a_join_over_a_line_is_noded(made):
    """A vein's end beside a leaf's edge, a stub shorter than rounding: each ran a join over a line."""
    shapes = np.array([r.shape for r in divide(made.drawing).regions])
    assert shapely.is_valid(shapes).all()
    whole = shapely.union_all(shapes).area
    assert shapely.area(shapes).sum() == pytest.approx(
        whole, abs=1e-4
    )  # no two lie over one another
