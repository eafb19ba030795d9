"""Ridges between places; the values are worked out by hand, and by another library's Voronoi diagram."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import Voronoi

from filigree.geometry.ridges import ridges


def test_one_ridge_between_two_triangles():
    found = ridges(np.array([[0.0, 0.0], [4.0, 0.0], [2.0, 3.0], [2.0, -3.0]]))
    assert found.between.tolist() in ([[0, 1]], [[1, 0]])
    # middle of the circle through (0, 0), (4, 0), (2, 3): (2, y) with 4 + y2 = (3 - y)2, so y = 5/6
    assert sorted(found.ends[0, :, 1].tolist()) == pytest.approx([-5 / 6, 5 / 6])
    assert found.ends[0, :, 0] == pytest.approx(2.0)


@pytest.mark.parametrize("places", [[], [[0.0, 0.0]], [[0.0, 0.0], [1.0, 0.0]]])
def test_too_few_places_have_none(places):
    assert not len(ridges(np.array(places).reshape(-1, 2)).between)


@given(seed=st.integers(0, 10**6))
def test_the_same_ridges_as_a_voronoi_diagram(seed):
    points = np.random.default_rng(seed).uniform(0, 50, (40, 2))
    found = ridges(points)
    mine = {
        tuple(sorted(pair)): np.sort(ends, axis=0)
        for pair, ends in zip(found.between.tolist(), found.ends, strict=True)
    }
    diagram = Voronoi(points)
    theirs = {
        tuple(sorted(pair)): np.sort(diagram.vertices[ridge], axis=0)
        for pair, ridge in zip(diagram.ridge_points.tolist(), diagram.ridge_vertices, strict=True)
        if min(ridge) >= 0
    }
    long = {pair for pair, ends in theirs.items() if np.ptp(ends, axis=0).max() > 0.05}
    near = {pair for pair in long if np.abs(theirs[pair]).max() < 200}  # flat triangles at the rim
    assert near <= set(mine)
    for pair in near:
        assert mine[pair] == pytest.approx(theirs[pair], abs=1e-6)
