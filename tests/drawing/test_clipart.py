"""Clip art as strangers draw it: every enclosed light area of the picture is a region, and no more are found.

A few pieces of `scripts/ornaments`, whose table stands beside it. Targets: 0.97 each way on real art.
"""

from tests.make.clipart import HABITS, clipart
from tests.make.enclosed import Score, score

STYLES = ("scrolls", "rosette", "emblem", "knot", "vine", "feathers", "border", "outlined", "beast")
SEED = 12


def test_regions_are_the_enclosed_light_areas_of_the_picture():
    total = Score()
    for style, habit in zip(STYLES, HABITS, strict=True):
        total.add(score(clipart(style, habit, SEED)))
    assert total.areas > 100
    assert total.recall >= 0.985
    assert total.precision >= 0.985
    assert total.torn <= 0.02 * total.areas
    assert min(total.placed) >= 0.95


def test_what_no_light_encloses_is_no_area():
    """Two dark shapes side by side on light paper enclose nothing; neither does the page."""
    art = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">'
        b'<rect width="40" height="30" fill="#FEFEFE"/><path d="M5 5H18V25H5Z"/><path d="M22 5H35V25H22Z"/></svg>'
    )
    seen = score(art)
    assert (seen.areas, seen.regions) == (0, 0)
