"""A slice of the survey of mending, so that its figures cannot drift unseen; `scripts/mend/SURVEY.md` has the rest."""

import statistics

import pytest

from scripts.mend.plates import PLATES, drilled
from scripts.mend.survey import Piece, drawn_pattern, survey

DRAWINGS = [
    ("vine", 0, "4-5 oz"),
    ("leaves", 0, "7-8 oz"),
    ("reeds", 0, "2-3 oz"),
    ("foliage", 0, "4-5 oz"),
]


@pytest.fixture(scope="module")
def rows():
    return [survey(f, s, t, drawn_pattern(f, s)) for f, s, t in DRAWINGS]


def test_what_is_left_is_told_and_nothing_else_is_touched(rows):
    for row in rows:
        assert (row.untold, row.cut, row.far, row.again, row.vanished) == (0, 0, 0, 0, 0)
        assert row.unmended or not (row.stops or row.thin)


def test_area_taken_is_near_the_bound(rows):
    ratios = [row.ratio for row in rows if row.ratio is not None]
    assert len(ratios) >= 3
    assert statistics.median(ratios) < 1.5
    assert min(ratios) > 0.95  # else the bound asks for more than mending must take


@pytest.mark.parametrize("kind", PLATES)
@pytest.mark.parametrize("thickness", ["2-3 oz", "7-8 oz"])
def test_plates_lose_little_more_than_their_closed_form(kind, thickness):
    drawn, free, bound = drilled(kind, 1, thickness)
    row = survey(kind, 1, thickness, Piece(pattern=drawn, free=free, bound=bound))
    assert row.necks > 0
    assert (row.stops, row.thin, row.untold, row.unmended, row.filled) == (0, 0, 0, 0, 0)
    assert 0.99 <= row.ratio <= 1.25
