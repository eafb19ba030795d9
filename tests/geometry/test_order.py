"""Order of cuts: inside before outside, small before large, neighbours after each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from filigree.geometry.order import STEP, cutting_order
from tests.make.shapes import circle, square


def test_inside_before_outside_whatever_their_sizes():
    rings = [square(0, 0, 100), square(10, 10, 60), square(20, 20, 5), square(80, 80, 3)]
    order = cutting_order(rings)
    assert order.index(2) < order.index(1) < order.index(0)
    assert order.index(3) < order.index(0)


def test_small_before_large():
    rings = [square(0, 0, 20), square(30, 0, 2), square(60, 0, 7)]
    assert cutting_order(rings) == [1, 2, 0]


def test_neighbours_after_each_other():
    columns, rows = 8, 6
    rings = [circle(10 * i, 10 * j, 3) for i in range(columns) for j in range(rows)]
    mixed = [rings[k] for k in np.random.default_rng(4).permutation(len(rings))]
    order = cutting_order(mixed)
    spots = np.array([mixed[k].centroid.coords[0] for k in order])
    way = np.hypot(*np.diff(spots, axis=0).T)
    assert sorted(order) == list(range(len(rings)))
    assert np.median(way) == pytest.approx(10)  # the pitch
    assert way.sum() < 1.5 * 10 * (len(rings) - 1)  # no crossing of the sheet for each cut


@given(
    boxes=st.lists(
        st.tuples(st.integers(0, 8), st.integers(0, 8), st.floats(0.5, 9)), min_size=1, max_size=20
    )
)
def test_every_cut_once_and_sizes_ascend(boxes):
    seen = {}
    for i, j, side in boxes:
        seen[(i, j)] = square(10 * i, 10 * j, side)
    rings = list(seen.values())
    order = cutting_order(rings)
    assert sorted(order) == list(range(len(rings)))
    steps = [np.floor(np.log(rings[k].area) / np.log(STEP)) for k in order]
    assert steps == sorted(steps)


def test_no_cuts_no_order():
    assert cutting_order([]) == []
