"""Mending. "row n" is row n of the check table; bounds are closed forms given beside them."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from filigree.checks import judge
from filigree.errors import FiligreeError
from filigree.job import CutLoss, Face, Job, LimitSettings, Mend, limits_of
from filigree.measure import measure
from filigree.measure.necks import necks_of
from filigree.mend.mend import mend
from tests.make.shapes import circle, pattern, rectangle, square, square_grid, staggered

NOTHING = CutLoss(kerf=0, char=0, bevel=0)
FREE = 1000


def limits(thickness="5-6 oz", **own):
    return limits_of(Job(face=Face(thickness=thickness), limits=LimitSettings(**own)))


def mended(drawn, thickness="5-6 oz", *, listed=(), loss=NOTHING, **own):
    return mend(drawn, limits(thickness, **own), loss=loss, first_free=FREE, listed=listed)


def taken(before, after):
    return sum(o.area_mm2 for o in before.openings) - sum(o.area_mm2 for o in after.openings)


def narrowest(face, under):
    return min((n.width for n in necks_of(face, under=under)), default=under)


def test_two_parallel_edges_lose_exactly_the_missing_strip():
    drawn = pattern(rectangle(10, 10, 30, 20), rectangle(10, 33, 30, 20))
    wanted = limits().bridge.good
    done = mended(drawn)
    assert taken(drawn, done.pattern) == pytest.approx(30 * (wanted - 3.0), abs=30 * 0.007)
    lost = dict(done.changes[0].lost)
    assert lost[1] == pytest.approx(lost[2], abs=1e-6)  # from both sides evenly
    assert narrowest(done.pattern, wanted) >= wanted - 1e-6


def test_two_corners_lose_two_triangles():
    """Squares corner to corner 2 sqrt(2) apart (row 42): each loses a right triangle."""
    drawn = pattern(square(0, 0, 6), square(8, 8, 6))
    wanted = limits().bridge.good
    height = (wanted + 0.006 - 2 * math.sqrt(2)) / 2  # strands are made 0.006 mm wider
    assert taken(drawn, mended(drawn).pattern) == pytest.approx(2 * height**2, rel=0.01)


def test_two_circles_lose_two_segments():
    """Equal circles: each loses the segment beyond the line half the width from the middle line.

    Where the line meets the circle the edge is led over, which may take a tenth more.
    """
    radius, gap = 8.0, 2.5
    drawn = pattern(circle(0, 0, radius, 0.0005), circle(2 * radius + gap, 0, radius, 0.0005))
    height = (limits().bridge.good - gap) / 2
    angle = 2 * math.acos(1 - height / radius)
    segment = radius**2 / 2 * (angle - math.sin(angle))
    assert 2 * segment <= taken(drawn, mended(drawn).pattern) <= 2.25 * segment


def test_an_edge_gives_nothing():
    drawn = pattern(rectangle(0, 0, 30, 20), margin=2.5)
    done = mended(drawn, change=1.0)
    wanted = limits().bridge.good
    lifted = 2 * (wanted + 0.006 - 2.5)
    inner = (30 - lifted) * (20 - lifted)
    assert done.pattern.outline.equals(drawn.outline)
    assert done.pattern.openings[0].area_mm2 == pytest.approx(inner, rel=1e-6)


@pytest.mark.parametrize(
    ("centres", "pitch"),
    [(square_grid(6, 4, 9), 9), (staggered(6, 4, 9), 9)],
    ids=["square plate", "60-degree plate"],
)
def test_perforated_plates_lose_segments_alone(centres, pitch):
    """Holes on a pitch: each of its bridges costs a hole one circle segment (closed form)."""
    radius = 3.2
    drawn = pattern(*[circle(x, y, radius, 0.001) for x, y in centres], margin=12)
    wanted = limits().bridge.good
    bridges = sum(
        math.dist(a, b) < pitch * 1.01 for k, a in enumerate(centres) for b in centres[:k]
    )
    height = (wanted - (pitch - 2 * radius)) / 2
    angle = 2 * math.acos(1 - height / radius)
    bound = 2 * bridges * radius**2 / 2 * (angle - math.sin(angle))
    done = mended(drawn, change=1.0)
    assert len(done.changes) == bridges
    assert bound * 0.99 <= taken(drawn, done.pattern) <= bound * 1.25
    assert narrowest(done.pattern, wanted) >= wanted - 1e-6


def test_contact_in_a_point_is_opened_up():
    drawn = pattern(square(0, 0, 10), square(10, 10, 10))  # row 103
    done = mended(drawn)
    assert not [
        f for f in judge(measure(done.pattern, wanted=3.6), limits()) if f.severity == "stop"
    ]
    assert done.pattern.land.geom_type == "Polygon"


def test_nothing_to_do_gives_the_same_pattern():
    drawn = pattern(square(0, 0, 10), square(20, 0, 10))
    done = mended(drawn)
    assert done.pattern is drawn
    assert (done.changes, done.unmended, done.entries) == ((), (), ())


def test_an_opening_that_would_lose_too_much_stays_as_drawn_and_is_said():
    small, large = rectangle(0, 0, 2.4, 30), rectangle(3.4, 0, 40, 30)
    drawn = pattern(small, large)
    done = mended(drawn)
    left = {o.id: o for o in done.pattern.openings}
    assert left[1].shape.equals(small)  # it would lose more than 12 %: its neighbour gives instead
    assert narrowest(done.pattern, 3.6) >= limits().bridge.good - 1e-6
    both_small = pattern(rectangle(0, 0, 4, 30), rectangle(5, 0, 4, 30))
    refused = mended(both_small)
    assert refused.unmended
    assert refused.unmended[0].width < refused.unmended[0].wanted
    assert "lose more" in refused.unmended[0].why


def test_only_edges_near_a_change_move():
    centres = square_grid(5, 3, 12)
    shapes = [circle(x, y, 4.0) for x, y in centres]
    shapes[0] = circle(0.0, 0.0, 5.0)  # one is too near its neighbours
    drawn = pattern(*shapes, margin=15)
    done = mended(drawn)
    wanted = limits().bridge.good
    added = shapely.union_all([c.added for c in done.changes])
    near = added.buffer(wanted)
    before = shapely.union_all([o.shape.boundary for o in drawn.openings])
    after = shapely.union_all([o.shape.boundary for o in done.pattern.openings])
    assert before.difference(near).equals(after.difference(near))
    changed = {
        o.id for o, n in zip(drawn.openings, done.pattern.openings, strict=True) if o is not n
    }
    assert changed == {1, 2, 6}


@pytest.mark.parametrize("thickness", ["2-3 oz", "4-5 oz", "7-8 oz"])
def test_mending_again_changes_nothing(thickness):
    drawn = pattern(*[circle(x, y, 3.4) for x, y in staggered(5, 3, 9)], margin=8)
    once = mended(drawn, thickness, change=1.0)
    assert mended(once.pattern, thickness, change=1.0).pattern is once.pattern


def test_thicker_leather_never_loses_less():
    drawn = pattern(*[circle(x, y, 3.4) for x, y in staggered(5, 3, 9)], margin=8)
    lost = [
        taken(drawn, mended(drawn, t, change=1.0).pattern) for t in ("2 oz", "4 oz", "5 oz", "6 oz")
    ]
    assert lost == sorted(lost)
    assert lost[-1] > lost[0]


def test_a_small_loose_part_is_tied():
    ring = circle(0, 0, 10).difference(circle(0, 0, 2.0))  # 12.6 mm2, 4 mm wide: no glue (row 101)
    drawn = pattern(ring)
    done = mended(drawn)
    assert done.pattern.land.geom_type == "Polygon"
    assert next(c.how for c in done.changes) == "tie"
    assert narrowest(done.pattern, 3.6) >= limits().bridge.good - 1e-6


def test_a_loose_part_that_can_be_glued_is_left():
    ring = circle(0, 0, 14).difference(circle(0, 0, 4))
    assert mended(pattern(ring)).changes == ()


def test_a_tie_joins_without_a_sharp_corner():
    ring = square(0, 0, 24).difference(square(10, 10, 4))
    done = mended(pattern(ring), change=1.0)
    tie = next(c for c in done.changes if c.how == "tie")
    for part in shapely.get_parts(tie.added):
        wide = part.intersection(shapely.box(-50, -50, 50, 50))
        left, top, right, bottom = wide.bounds
        assert max(right - left, bottom - top) > limits().bridge.good  # flares at both ends


def test_an_opening_too_small_to_read_is_filled_and_said():
    drawn = pattern(square(0, 0, 1.5), square(20, 0, 10))
    done = mended(drawn)
    assert done.filled == (1,)
    assert [c.how for c in done.changes] == ["fill"]


def test_the_list_of_changes_gives_the_same_result_again():
    shapes = [circle(x, y, 3.4) for x, y in staggered(5, 3, 9)]
    drawn = pattern(rectangle(-9, -20, 2.4, 60), *shapes, margin=8)
    once = mended(drawn)
    again = mended(drawn, listed=once.entries)
    assert [o.shape.wkb for o in again.pattern.openings] == [
        o.shape.wkb for o in once.pattern.openings
    ]


def test_a_dropped_change_stays_as_drawn():
    drawn = pattern(rectangle(0, 0, 20, 20), rectangle(23, 0, 20, 20), rectangle(46, 0, 20, 20))
    entries = list(mended(drawn).entries)
    assert len(entries) == 2
    entries[0] = Mend(how="widen", at=entries[0].at, as_drawn=True)
    done = mended(drawn, listed=entries)
    assert done.pattern.openings[0].shape.equals(drawn.openings[0].shape)
    assert not done.pattern.openings[2].shape.equals(drawn.openings[2].shape)


def test_a_list_that_no_longer_fits_names_the_entry():
    drawn = pattern(square(0, 0, 10), square(30, 0, 10))
    with pytest.raises(FiligreeError, match=r"entry 1 \(widen at 5, 5\)"):
        mended(drawn, listed=[Mend(how="widen", at=(5.0, 5.0), width=3.6)])


def test_char_is_made_up_for():
    drawn = pattern(rectangle(0, 0, 30, 20), rectangle(0, 23, 30, 20))
    done = mended(drawn, loss=CutLoss(kerf=0.2, char=0.2, bevel=0))
    wanted = limits().bridge.good + 0.4
    assert narrowest(done.pattern, wanted) >= wanted - 1e-6


@settings(max_examples=25, deadline=None)
@given(
    turn=st.floats(0, 360),
    apart=st.floats(0.2, 3.4),
    lean=st.floats(-20, 20),
)
def test_any_two_openings_end_wide_enough(turn, apart, lean):
    one = affinity.rotate(rectangle(0, 0, 30, 12), lean, origin=(15, 12))
    other = rectangle(0, 12 + apart, 30, 12)
    other = other.difference(one.buffer(apart))
    drawn = pattern(
        *[affinity.rotate(shape, turn, origin=(0, 0)) for shape in (one, other)], margin=15
    )
    done = mended(drawn, change=1.0)
    wanted = limits().bridge.good
    assert narrowest(done.pattern, wanted) >= wanted - 1e-6
    assert done.unmended == ()


@pytest.mark.parametrize("axis", ["x", "y"])
def test_mirror_images_are_mended_alike(axis):
    rng = np.random.default_rng(5)
    half = [
        circle(-12 - 9 * k, 9 * j + rng.uniform(-1, 1), 3.3) for k in range(3) for j in range(3)
    ]
    whole = [*half, *(affinity.scale(s, -1, 1, origin=(0, 0)) for s in half)]
    if axis == "y":
        whole = [affinity.rotate(s, 90, origin=(0, 0)) for s in whole]
    done = mended(pattern(*whole, margin=10), change=1.0)
    cut = shapely.union_all([o.shape for o in done.pattern.openings])
    flip = (-1, 1) if axis == "x" else (1, -1)
    mirror = affinity.scale(cut, *flip, origin=(0, 0))
    assert cut.symmetric_difference(mirror).area < 1e-3 * cut.area
