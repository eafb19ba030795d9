"""Triangles between places: they do not hang on the order in which the places come."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from filigree.geometry.mesh import triangles


@given(seed=st.integers(0, 10**6), columns=st.integers(2, 9), rows=st.integers(2, 9))
def test_places_on_a_grid_are_joined_alike_in_any_order(seed, columns, rows):
    grid = np.stack(np.meshgrid(np.arange(columns), np.arange(rows)), axis=-1) * 2.0
    points = grid.reshape(-1, 2)
    order = np.random.default_rng(seed).permutation(len(points))
    one = {frozenset(map(tuple, points[t])) for t in triangles(points)}
    two = {frozenset(map(tuple, points[order][t])) for t in triangles(points[order])}
    assert one == two
    # by Euler's formula; some at the hull may be missing, which no boundary of a face runs along
    assert 2 * (columns - 3) * (rows - 3) <= len(one) <= 2 * (columns - 1) * (rows - 1)
