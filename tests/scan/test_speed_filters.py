"""Filters written for speed: the same values as the plain ones."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter, label

from filigree.drawing.scan.calm import calmed
from filigree.drawing.scan.ink import without_holes
from filigree.drawing.scan.light import block_max, block_mean


def noise(seed, size=(83, 121)):
    return np.random.default_rng(seed).normal(size=size).astype(np.float32)


@pytest.mark.parametrize("size", [(83, 121), (32, 40), (64, 16), (16, 97), (16, 7)])
@pytest.mark.parametrize("width", [0.5, 0.83, 1.65, 3.3])
def test_calmed_is_a_gaussian(width, size):
    values = noise(1, size)
    wanted = gaussian_filter(values.astype(float), width, truncate=2.5)
    assert np.abs(calmed(values, width) - wanted).max() < 1e-5


@pytest.mark.parametrize("step", [1, 2, 5, 6])
def test_blocks(step):
    values = noise(2)
    down, across = np.arange(0, 83, step), np.arange(0, 121, step)
    wanted = np.maximum.reduceat(np.maximum.reduceat(values, down, axis=0), across, axis=1)
    assert np.array_equal(block_max(values, step), wanted)
    rows, columns = 83 // step, 121 // step
    whole = values[: rows * step, : columns * step].reshape(rows, step, columns, step)
    assert np.abs(block_mean(values, step) - whole.mean((1, 3))).max() < 1e-5


@pytest.mark.parametrize("soft", [0.0, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("least", [0.5, 2.0, 8.4, 33.0])
def test_holes_are_patches_of_paper_that_are_small(soft, least):
    mask = gaussian_filter(noise(3), soft) > -0.1 / (1 + soft)
    names, _ = label(~mask)
    small = np.bincount(names.ravel()) < least
    small[0] = False
    filled = without_holes(mask, least)
    assert np.array_equal(filled, mask | small[names])
    assert least < 2 or (filled & ~mask).any()
