"""Kerf gauge. "row n" is row n of the check table, which holds the source."""

import pytest

from filigree.geometry.path import bounds
from filigree.job import Job
from filigree.plies.gauge import kerf_gauge, kerf_of


def test_nine_cuts():
    assert kerf_of(before=100, after=98.2, cuts=9) == pytest.approx(
        0.2, abs=1e-9
    )  # row 49, not by 10


def test_the_gauge_tells_an_example_of_its_sum():
    assert "98.2 mm left are a kerf of 0.2 mm" in kerf_gauge(Job()).note  # row 49


def test_the_strip_is_parted_into_ten():
    (cut,) = kerf_gauge(Job()).cuts
    places = [bounds(path)[0] for path in cut.paths]
    assert places == pytest.approx([10, 20, 30, 40, 50, 60, 70, 80, 90])


@pytest.mark.parametrize(("after", "cuts"), [(98, 0), (101, 9), (0, 9)])
def test_what_cannot_be_is_refused(after, cuts):
    with pytest.raises(ValueError, match=r"gauge|longer"):
        kerf_of(before=100, after=after, cuts=cuts)
