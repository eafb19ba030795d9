"""Inlays of the gallery in several colours: patches cover, do not overlap, and meet under leather."""

from functools import cache
from pathlib import Path

import pytest
import shapely

from filigree import pipeline
from filigree.colour.spreading import spread_colours
from filigree.job import load_job
from filigree.plies.inlay import patches

GALLERY = Path(__file__).parents[2] / "gallery"
COLOURS = ("red", "teal", "navy", "moss", "plum")
SEAM = 0.5  # mm: no seam runs nearer to an opening


@cache
def pattern_of_piece(name):
    art = GALLERY / name / f"{name}.svg"
    return pipeline.plan(art, load_job(art.with_name("job.toml"))).worked.pattern


@pytest.mark.parametrize("count", [2, 3, 5])
@pytest.mark.parametrize("name", ["bracer", "belt", "silhouette"])
def test_patches_of_a_piece(name, count):
    pattern = spread_colours(pattern_of_piece(name), COLOURS[:count], wanted=3.6)
    found = patches(pattern, "red")
    assert len(found) == count
    for k, one in enumerate(found):
        own = shapely.union_all([o.shape for o in pattern.openings if o.inlay == one.colour])
        assert own.difference(one.shape.buffer(1e-6)).area < 1e-6  # covers its own openings
        for other in found[:k]:
            assert one.shape.intersection(other.shape).area < 0.01
            seam = one.shape.boundary.intersection(other.shape.boundary.buffer(1e-3))
            if not seam.is_empty:
                openings = shapely.union_all([o.shape for o in pattern.openings])
                assert seam.distance(openings) > SEAM
