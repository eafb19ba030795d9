"""Mending of odd faces: it never fails, moves nothing far from a change, and says what is left."""

import math

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from filigree.measure.necks import necks_of
from tests.make.shapes import circle, pattern, polygon, rectangle
from tests.mend.test_mend import limits, mended

STAR = polygon(
    *[
        (r * math.cos(k * math.pi / 5), r * math.sin(k * math.pi / 5))
        for k, r in enumerate([9.0, 3.5] * 5)
    ]
)
HOOK = polygon((0, 0), (14, 0), (14, 12), (3, 12), (3, 9), (11, 9), (11, 3), (0, 3))
RING = circle(0, 0, 9).difference(circle(0, 0, 4))
SHAPES = [STAR, HOOK, RING, rectangle(-8, -1, 16, 2.4), circle(0, 0, 1.2), circle(0, 0, 6)]
PLACED = st.tuples(
    st.sampled_from(SHAPES), st.floats(-22, 22), st.floats(-22, 22), st.floats(0, 360)
)


def edges(drawn):
    return shapely.MultiLineString([r for o in drawn.openings for r in shapely.get_rings(o.shape)])


def corners(lines, near):
    points = shapely.points(np.unique(shapely.get_coordinates(lines), axis=0))
    return {p.wkb for p in points[~shapely.intersects(near, points)].tolist()}


def face(placed):
    """Openings that keep clear of those before them; None when none is left."""
    taken, kept = shapely.Polygon(), []
    for shape, x, y, turn in placed:
        moved = affinity.translate(affinity.rotate(shape, turn, origin=(0, 0)), x, y)
        if moved.distance(taken) > 0.05 or taken.is_empty:
            kept.append(moved)
            taken = taken.union(moved)
    return pattern(*kept, margin=1.0)


@settings(max_examples=25, deadline=None)
@given(placed=st.lists(PLACED, min_size=1, max_size=7))
def test_odd_faces_are_mended_or_said(placed):
    drawn = face(placed)
    wanted = limits().bridge.good
    done = mended(drawn, strand=10)
    thin = [n for n in necks_of(done.pattern, under=2 * wanted) if n.width < wanted - 0.01]
    told = [u.at for u in done.unmended]
    assert [n for n in thin if all(math.dist(n.middle, at) > 0.5 for at in told)] == []
    assert all(o.shape.is_valid for o in done.pattern.openings)
    assert done.pattern.outline.equals(drawn.outline)
    left = {o.id for o in done.pattern.openings}
    assert {o.id for o in drawn.openings} - left == set(done.filled)


@settings(max_examples=25, deadline=None)
@given(placed=st.lists(PLACED, min_size=1, max_size=7))
def test_odd_faces_keep_every_edge_that_is_far_from_a_change(placed):
    drawn = face(placed)
    done = mended(drawn)
    gone = [o.shape for o in drawn.openings if o.id in done.filled]
    near = shapely.union_all([*(c.added for c in done.changes), *gone]).buffer(limits().bridge.good)
    before, after = edges(drawn), edges(done.pattern)
    assert corners(before, near) == corners(after, near)  # exactly
    # An edge that is cut short bends by a rounding error, 1e-15 mm.
    assert before.difference(near).difference(after.buffer(1e-9)).length < 1e-6
    assert after.difference(near).difference(before.buffer(1e-9)).length < 1e-6


@settings(max_examples=15, deadline=None)
@given(placed=st.lists(PLACED, min_size=2, max_size=6))
def test_the_list_of_an_odd_face_gives_the_same_bytes(placed):
    drawn = face(placed)
    once = mended(drawn, strand=10)
    if once.entries:
        again = mended(drawn, strand=10, listed=once.entries)
        assert [o.shape.wkb for o in again.pattern.openings] == [
            o.shape.wkb for o in once.pattern.openings
        ]
