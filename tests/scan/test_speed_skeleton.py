"""The skeleton, worked out island by island: the same pixels and chains as on the whole picture."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter
from skimage.morphology import skeletonize

from filigree.drawing.scan.skeleton import chains_of
from filigree.drawing.scan.thinned import thinned


def blobs(seed, soft, level, size=(70, 110)):
    return gaussian_filter(np.random.default_rng(seed).normal(size=size), soft) > level


def sparse(seed):
    """Islands of ink on a large sheet, some of whose boxes overlap."""
    rng = np.random.default_rng(seed)
    mask = np.zeros((900, 1300), bool)
    for k, (y, x) in enumerate([(40, 60), (30, 700), (500, 500), (640, 1000)]):
        mask[y : y + 70, x : x + 110] = blobs(10 * seed + k, 1.5, 0.02)
    y, x = np.mgrid[:900, :1300]
    at = rng.uniform(200, 260)
    return mask | (np.abs(np.hypot(y - 450, x - 950) - at) < 4)


@pytest.mark.parametrize(
    "mask", [*(blobs(k, 0.7 + k / 2, 0.02) for k in range(4)), sparse(1), sparse(2)]
)
def test_the_same_pixels_as_on_the_whole_picture(mask):
    found = np.zeros(mask.size, bool)
    found[thinned(mask)] = True
    whole = skeletonize(np.pad(mask, 1))[1:-1, 1:-1]
    assert np.array_equal(found.reshape(mask.shape), whole)


@pytest.mark.parametrize("seed", range(6))
def test_chains_hold_every_pixel_once_and_step_to_neighbours(seed):
    mask = blobs(seed, 0.7 + seed / 3, 0.05)
    bones = thinned(mask)
    chains = chains_of(bones, mask.shape)
    inner = []
    for a, b, (start, end) in zip(chains.starts[:-1], chains.starts[1:], chains.nodes, strict=True):
        points = chains.points[a:b]
        assert np.abs(np.diff(points, axis=0)).max(initial=0) <= 1
        if start < 0:
            assert np.abs(points[0] - points[-1]).max() == 1
            inner.append(points)
        else:
            inner.append(points[1:-1])
            assert np.abs(points[0] - chains.places[start]).max() < 4  # a node is a few pixels
            assert np.abs(points[-1] - chains.places[end]).max() < 4
    x, y = np.vstack(inner).astype(int).T
    at = y * mask.shape[1] + x
    assert len(np.unique(at)) == len(at)
    assert np.isin(at, bones).all()
    x, y = chains.points.astype(int).T
    seen = np.union1d(y * mask.shape[1] + x, at)
    alone = np.setdiff1d(
        bones, seen
    )  # only junctions' own inner pixels and lone ones are in no chain
    padded = np.zeros((mask.shape[0] + 2, mask.shape[1] + 2), int)
    padded[bones // mask.shape[1] + 1, bones % mask.shape[1] + 1] = 1
    around = sum(np.roll(padded, (dy, dx), (0, 1)) for dy in (-1, 0, 1) for dx in (-1, 0, 1))[
        1:-1, 1:-1
    ].ravel()[alone]
    assert np.all((around == 1) | (around >= 4))


def test_a_ring_is_one_closed_chain_from_its_lowest_pixel():
    y, x = np.mgrid[:60, :60]
    mask = np.abs(np.hypot(x - 30, y - 30) - 20) < 2
    bones = thinned(mask)
    chains = chains_of(bones, mask.shape)
    assert chains.nodes.tolist() == [[-1, -1]]
    assert len(chains.points) == len(bones)
    assert chains.points[0].tolist() == [bones[0] % 60, bones[0] // 60]


def test_an_empty_sheet_has_no_chains():
    chains = chains_of(thinned(np.zeros((20, 30), bool)), (20, 30))
    assert len(chains.points) == 0
    assert chains.starts.tolist() == [0]
    assert len(chains.nodes) == 0
