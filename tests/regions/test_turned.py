"""A drawing that is turned, mirrored or moved is divided into the same fields."""

import dataclasses
import functools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from filigree.regions.chains import pack
from filigree.regions.divide import divide
from filigree.regions.runs import ROUNDING
from filigree.regions.settling import settle, touches
from tests.make.families import FAMILIES
from tests.regions.draw import box, drawing, line

AREA = 0.05  # mm2 and
SHARE = 2e-3  # of the area: what merged lines may take from one field and give to another
LINE = 0.1  # mm: neighbours share at least this much line
PLACED = {  # families whose lines end on others, cross in one point, lie nearly double or leave gaps
    "frieze": 2001,
    "foliage": 3003,
    "leaves": 3003,
    "scroll": 48,
    "girih": 2001,
    "beasts": 3003,
    "broken_plait": 7,
    "knot": 7,
    "panels": 48,
}


def turned(art, *, turn, mirror, shift):
    """Turn a drawing by `turn` degrees, mirror it and move it, mm."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    matrix = np.array([[c, -s], [s, c]]) @ np.diag([-1.0 if mirror else 1.0, 1.0])
    lines = tuple(np.asarray(xy) @ matrix.T + shift for xy in art.lines)
    return dataclasses.replace(art, lines=lines), (matrix, np.array(shift))


def match(plain, moved, placing):
    """Number of each field of `plain` in `moved`: the field that holds its middle, of the same area."""
    matrix, shift = placing
    tree = shapely.STRtree([r.shape for r in moved.regions])
    at = np.array([r.at for r in plain.regions]) @ matrix.T + shift
    _, holder = tree.query(shapely.points(at), predicate="within")
    return {r.id: moved.regions[k].id for r, k in zip(plain.regions, holder, strict=True)}


def neighbours(found):
    long = found.shared > LINE
    return {frozenset(pair) for pair in found.pairs[long].tolist()}


MOVES = st.fixed_dictionaries(
    {
        "turn": st.one_of(st.floats(0, 360), st.sampled_from([45.0, 60.0, 90.0, 180.0])),
        "mirror": st.booleans(),
        "shift": st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    }
)


@functools.cache
def family(name):
    art = FAMILIES[name](PLACED[name]).drawing
    return art, divide(art)


def assert_alike(art, move, *, gap=1.0, plain=None):
    plain = plain or divide(art, gap=gap)
    other, placing = turned(art, **move)
    moved = divide(other, gap=gap)
    assert len(moved.regions) == len(plain.regions)
    number = match(plain, moved, placing)
    assert len(set(number.values())) == len(plain.regions)
    area = {r.id: r.area_mm2 for r in moved.regions}
    for region in plain.regions:
        assert area[number[region.id]] == pytest.approx(region.area_mm2, rel=SHARE, abs=AREA)
    joined = {frozenset(number[k] for k in pair) for pair in neighbours(plain)}
    assert joined == neighbours(moved)


@settings(max_examples=30, deadline=None)
@given(name=st.sampled_from(sorted(PLACED)), move=MOVES)
def test_turning_a_drawing_changes_no_field(name, move):
    art, plain = family(name)
    assert_alike(art, move, plain=plain)


POINTS = st.tuples(st.integers(0, 8), st.integers(0, 8))
STROKES = st.lists(
    st.lists(POINTS, min_size=2, max_size=6).filter(lambda points: len(set(points)) > 1),
    min_size=1,
    max_size=8,
)


@settings(max_examples=150, deadline=None)
@given(strokes=STROKES, move=MOVES)
def test_lines_that_touch_cross_and_overlap_exactly_stay_so_when_turned(strokes, move):
    """Ends and corners on a grid lie on other lines everywhere, and lines run along each other."""
    art = drawing([box(-1, -1, 10, 10), *(line(*points) for points in strokes)])
    assert_alike(art, move, gap=0.0)


@pytest.mark.parametrize("gap", [0.5, 1.0])
@settings(max_examples=15, deadline=None)
@given(move=MOVES)
def test_a_gap_just_as_wide_as_the_limit_is_closed_when_turned(gap, move):
    walls = [line((x, 0), (x, 6 - gap)) for x in (3, 7)] + [line((12, 6), (12, gap))]
    art = drawing([box(0, 0, 20, 6), *walls])
    assert len(divide(art, gap=gap).regions) == 4
    assert_alike(art, move, gap=gap)


@settings(max_examples=60, deadline=None)
@given(strokes=STROKES, move=MOVES)
def test_settled_lines_touch_at_vertices_alone(strokes, move):
    art, _ = turned(drawing([line(*points) for points in strokes]), **move)
    before = pack(art.lines)
    after = settle(before)
    assert not len(touches(after)[0])
    assert len(after) == len(before)
    places = shapely.MultiPoint(before.xy)
    assert shapely.hausdorff_distance(places, shapely.MultiPoint(after.xy)) <= 10 * ROUNDING


@pytest.mark.parametrize("turn", [0, 17, 45, 90, 203])
@pytest.mark.parametrize(("gap", "fields"), [(0.0, 3), (0.04, 3), (0.06, 5)])
def test_strips_side_by_side_are_no_field(turn, gap, fields):
    """Three lines a hairline apart are one line; two hairlines make no field."""
    lines = [line((0, y), (40, y)) for y in (5 - gap, 5, 5 + gap, 8)]
    art, _ = turned(drawing([box(0, 0, 40, 10), *lines]), turn=turn, mirror=False, shift=(0.0, 0.0))
    assert len(divide(art, sliver=0.05).regions) == fields
