"""A strand between the tip of an opening that gives nothing and another opening is widened from the other alone."""

import numpy as np
import pytest
import shapely
import shapely.affinity

from filigree.job import CutLoss, Job, Mend, limits_of
from filigree.measure.necks import neck_lines, necks_of
from filigree.mend.account import Account
from filigree.mend.listed import Listed
from filigree.mend.mend import mend
from filigree.mend.patches import Wish, patches
from filigree.mend.taking import take
from filigree.mend.widen import Aim, still_narrow
from tests.make.shapes import pattern, rectangle

NOTHING = CutLoss(kerf=0, char=0, bevel=0)
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


def test_tips_that_touch_in_a_point_are_joined():
    """The land comes to nothing there, so that no strand runs through that could be widened."""
    upper = shapely.Polygon([(10, 10), (50, 10), (30, 30)])
    lower = shapely.Polygon([(30, 30), (50, 50), (10, 50)])
    drawn, limits = pattern(upper, lower), limits_of(Job())
    assert necks_of(drawn, under=1.0)[0].width == 0
    done = mend(drawn, limits, loss=NOTHING, first_free=9)
    assert not necks_of(done.pattern, under=limits.bridge.good - 1e-6)
    assert not done.unmended
    again = mend(drawn, limits, loss=NOTHING, first_free=9, listed=done.entries)
    assert again.pattern.land.equals(done.pattern.land)


def test_a_place_that_is_kept_gets_that_as_its_reason():
    drawn, limits = pattern(rectangle(10, 10, 20, 20), rectangle(32, 10, 20, 20)), limits_of(Job())
    narrow = necks_of(drawn, under=limits.bridge.good)[0]
    wide = Mend(how="fill", at=(60.0, 60.0), as_drawn=True)
    kept = Mend(how="widen", at=narrow.middle, as_drawn=True)
    account = Account.of(drawn, first_free=9)
    aim = Aim(width=lambda _: limits.bridge.good, most=limits.bridge.good)
    for entries, why in (([kept], "the job leaves it as drawn"), ([wide], "the openings beside")):
        left = still_narrow(account, aim, Listed.of(entries), widened=drawn, eased=False)
        assert left[0].why.startswith(why)
