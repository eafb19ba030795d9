"""Polylines evened out together: as each by itself, and as the closed form says."""

import numpy as np
import pytest

from filigree.drawing.scan.along import even_all, even_each, kernel, normals
from filigree.drawing.scan.centre import even


def walks(seed, sizes=(1, 2, 3, 4, 5, 7, 9, 40)):
    rng = np.random.default_rng(seed)
    return [np.cumsum(rng.normal(size=(n, 2)), axis=0) for n in sizes]


def plain(points, half, closed, order):
    """Padding and convolution of one polyline."""
    half = min(half, (len(points) - 1) // 2)
    if half < 1 or len(points) < 4:
        return points
    if closed:
        wide = np.vstack([points[-half:], points, points[:half]])
    else:
        wide = np.vstack(
            [
                2 * points[0] - points[half:0:-1],
                points,
                2 * points[-1] - points[-2 : -half - 2 : -1],
            ]
        )
    return np.column_stack([np.convolve(wide[:, c], kernel(half, order), "valid") for c in (0, 1)])


@pytest.mark.parametrize("order", [0, 2])
@pytest.mark.parametrize("half", [1, 3, 7])
def test_together_as_apart(half, order):
    lines = walks(half)
    closed = [k % 2 == 1 for k in range(len(lines))]
    for line, shut, found in zip(
        lines, closed, even_each(lines, closed, half, order=order), strict=True
    ):
        assert found == pytest.approx(plain(line, half, shut, order), abs=1e-12)
        assert np.array_equal(found, even(line, half, closed=shut, order=order))


def test_a_fit_of_order_two_leaves_a_parabola_as_it_is():
    x = np.arange(30.0)
    line = np.column_stack([x, 0.05 * x * x])
    found = even_all(line, np.array([0, 30]), np.array([False]), 4, order=2)
    assert found[4:-4] == pytest.approx(line[4:-4], abs=1e-9)  # away from the ends' reflection
    assert found[[0, -1]] == pytest.approx(line[[0, -1]], abs=1e-9)


def test_normals_of_a_circle_point_along_its_radius():
    turn = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    ring = np.column_stack([np.cos(turn), np.sin(turn)])
    both = np.vstack([ring, [[3.0, 3.0]], ring])
    found = normals(both, np.array([0, 60, 61, 121]), np.array([True, False, False]))
    assert np.abs((found[:60] * ring).sum(1)) == pytest.approx(np.ones(60), abs=1e-12)
    assert found[60].tolist() == [1.0, 0.0]  # a lone point
    assert np.abs((found[63:119] * ring[2:-2]).sum(1)) == pytest.approx(np.ones(56), abs=1e-12)
