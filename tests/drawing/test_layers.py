"""Layers: paint over paint, fast for what nests, refused where it is beyond all measure."""

import numpy as np
import pytest
import shapely
from shapely import Point, box

from filigree.drawing import layers
from filigree.drawing.layers import seen_ink
from filigree.errors import FiligreeError


def resolved(shapes, paper):
    """One after the other, as a painter would: the plain way."""
    dark = shapely.MultiPolygon()
    for shape, is_paper in zip(shapes, paper, strict=True):
        dark = dark.difference(shape) if is_paper else dark.union(shape)
    return dark


def stack(seed, count, *, nested):
    dice = np.random.default_rng(seed)
    if nested:
        return [Point(20, 20).buffer(20 - 19 * k / count) for k in range(count)]
    return [Point(*dice.uniform(5, 35, 2)).buffer(dice.uniform(1, 12)) for _ in range(count)]


@pytest.mark.parametrize("nested", [True, False], ids=["nested", "at random"])
@pytest.mark.parametrize("deep", [0, 40], ids=["in pairs", "ink by ink"])
def test_what_is_seen_is_what_a_painter_leaves(nested, deep, monkeypatch):
    monkeypatch.setattr(layers, "DEEP", deep)
    for seed in range(4):
        shapes = stack(seed, 60, nested=nested)
        paper = np.random.default_rng(seed).random(60) < 0.5
        seen = seen_ink(shapes, paper, np.zeros(60, dtype=bool))
        wanted = resolved(shapes, paper)
        assert shapely.area(shapely.symmetric_difference(seen.broad, wanted)) < 1e-6


def test_two_papers_alike_both_count():
    """Of two equal papers neither may be left out for the other's sake: ink lies between them."""
    square = box(0, 0, 10, 10)
    paper = np.array([False, True, False, True])
    assert seen_ink([square] * 4, paper, np.zeros(4, dtype=bool)).broad.is_empty
    assert seen_ink([square] * 3, paper[:3], np.zeros(3, dtype=bool)).broad.area == 100


def test_too_many_layers_are_refused_in_one_line(monkeypatch):
    monkeypatch.setattr(layers, "MOST_OVER", 50)
    shapes = stack(1, 60, nested=False)
    with pytest.raises(FiligreeError, match=r"^vine\.svg: light shapes .* more than 50 times"):
        seen_ink(shapes, np.arange(60) % 2 == 1, np.zeros(60, dtype=bool), name="vine.svg")


def test_layers_are_counted_before_they_are_compared(monkeypatch):
    monkeypatch.setattr(layers, "MOST_NEAR", 50)
    monkeypatch.setattr(layers, "_stacked", None)  # never reached
    with pytest.raises(FiligreeError, match="more than 50 times"):
        seen_ink(stack(1, 60, nested=False), np.arange(60) % 2 == 1, np.zeros(60, dtype=bool))
