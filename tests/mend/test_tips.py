"""A strand between the tip of an opening that gives nothing and another opening is widened from the other alone."""

import numpy as np
import pytest
import shapely
import shapely.affinity

from filigree.job import Job, limits_of
from filigree.measure.necks import neck_lines
from filigree.mend.patches import Wish, patches
from filigree.mend.taking import take
from tests.make.shapes import pattern, rectangle

TIP = shapely.Polygon([(20, 20), (20, 30), (30, 25)])  # points at the rectangle, 2.2 mm off


@pytest.mark.parametrize("turn", [0.0, 0.3])
def test_the_side_of_a_tip_is_found_by_the_opening_across(turn):
    """Closed form: all within 2.4 mm of the tip is leather, so the rectangle loses a segment of that disc."""
    shapes = [
        shapely.affinity.rotate(s, turn, (0, 0), use_radians=True)
        for s in (TIP, rectangle(32.2, 10, 20, 30))
    ]
    face = pattern(*shapes)
    found, rows, necks = neck_lines(face, under=3.0)
    row, neck = min(zip(rows, necks, strict=True), key=lambda pair: pair[1].width)
    assert (neck.between, round(neck.width, 6)) == ((1, 2), 2.2)
    (patch,) = patches(found, [Wish(row=row, neck=neck, width=2.4, spared=1)], about=3.0)
    taken = take(face.openings, [patch], limits_of(Job()), spared={1})
    half = np.arccos(2.2 / 2.4)
    assert taken.lost == {2: pytest.approx(2.4**2 * (half - np.sin(2 * half) / 2), rel=0.01)}
