"""Drawings that are too much are refused, with the limit named, before memory is used up."""

import numpy as np
import pytest
import shapely

from filigree.errors import FiligreeError
from filigree.regions.chains import pack
from filigree.regions.divide import divide
from filigree.regions.limits import estimate_crossings
from tests.regions.draw import circle, drawing, lattice, line


def long_lines(count, seed=0):
    return list(np.random.default_rng(seed).uniform(0, 200, (count, 2, 2)))


def test_fifteen_hundred_crossing_lines_are_refused_before_noding(monkeypatch):
    # left to itself this makes a quarter of a million faces
    monkeypatch.setattr("filigree.regions.divide.node", None)
    with pytest.raises(FiligreeError, match=r"about 300,000 faces, the limit is 100,000"):
        divide(drawing(long_lines(1500)))


def test_segments_over_the_limit_are_refused():
    with pytest.raises(FiligreeError, match=r"test\.svg: 64 line segments, the limit is 60"):
        divide(drawing([circle(10, 10, 5, 64)]), most_segments=60)


def test_faces_are_counted_exactly_after_noding():
    with pytest.raises(FiligreeError, match="enclose 12 faces, the limit is 11"):
        divide(drawing(lattice(3, 4)), most_faces=11)
    assert len(divide(drawing(lattice(3, 4)), most_faces=12).regions) == 12


@pytest.mark.parametrize("count", [40, 200, 700])
def test_crossings_are_estimated_within_a_fifth(count):
    lines = long_lines(count, seed=count)
    parts = np.array([shapely.LineString(points) for points in lines])
    truth = shapely.STRtree(parts).query(parts, predicate="crosses").shape[1] / 2
    assert estimate_crossings(pack(lines)) == pytest.approx(truth, rel=0.2)


def test_limits_of_gap_and_coordinates():
    with pytest.raises(ValueError, match="gap"):
        divide(drawing([]), gap=-1)
    with pytest.raises(ValueError, match="not finite"):
        divide(drawing([line((0, 0), (np.inf, 1))]))
