"""Paths, shapes, arcs and flattening. "row n" is row n of the check table, which holds the source."""

import math

import numpy as np
import pytest
import svgpathtools
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

from filigree.drawing.boxes import curve_box
from filigree.drawing.fills import fill_area
from filigree.drawing.pathdata import draw_path
from filigree.drawing.svg import read_svg
from filigree.drawing.trace import Pen, trace
from filigree.geometry.arcs import arc_cubics, ellipse_cubics
from filigree.geometry.flatten import flatten
from filigree.job import Sheet

FINE = 1e-7  # tolerance that makes flattened areas exact enough for their rows


def drawn(data):
    pen = Pen()
    wrong = draw_path(data, pen)
    return trace(pen), wrong


def points(data, tolerance=FINE):
    found, wrong = drawn(data)
    assert not wrong
    chords = flatten(found.cubics, found.straight, tolerance)
    return np.concatenate([chords.starts, chords.ends[-1:]])


def test_arc_with_too_small_radii():
    assert Polygon(points("M0 0 A1 1 0 0 1 10 0")).area == pytest.approx(
        39.26991, abs=1e-4
    )  # row 20


@pytest.mark.parametrize(("rule", "area"), [("nonzero", 100), ("evenodd", 64)])
def test_fill_rules(rule, area):
    big = np.array([(0, 0), (10, 0), (10, 10), (0, 10)], float)
    small = np.array([(2, 2), (8, 2), (8, 8), (2, 8)], float)
    assert fill_area([big, small], rule).area == pytest.approx(area, abs=1e-9)  # row 21
    shifted = small + np.array((5.0, 0.0))  # crosses: 100 + 36 - 18 or, where wound twice, none
    assert fill_area([big, shifted], rule).area == pytest.approx(
        118 if rule == "nonzero" else 100, abs=1e-9
    )


def test_cubic():
    path = points("M0 0C0 10 10 10 10 0")
    found, _ = drawn("M0 0C0 10 10 10 10 0")
    _x, y, _wide, high = curve_box(found.cubics)
    assert (y + high) == pytest.approx(7.5, abs=1e-6)  # row 22
    assert LineString(path).length == pytest.approx(20, abs=1e-3)  # row 22
    assert Polygon(path).area == pytest.approx(60, abs=1e-3)  # row 22


def test_circle_of_four_cubics():
    k = 0.5522847498
    data = f"M1 0C1 {k} {k} 1 0 1S-1 {k} -1 0S{-k} -1 0 -1S1 {-k} 1 0Z"
    assert Polygon(points(data)).area == pytest.approx(3.1424723, abs=1e-5)  # row 23


@pytest.mark.parametrize(("radius", "least"), [(20, 45), (200, 141)])
def test_chords_of_a_circle(radius, least):
    cubics = ellipse_cubics((0, 0), radius, radius)
    chords = flatten(cubics, np.zeros(12, bool), 0.05)
    middles = (chords.starts + chords.ends) / 2
    sagitta = radius - np.hypot(*middles.T)
    assert len(chords.piece) >= least  # row 24
    assert sagitta.max() <= 0.05 + 1e-6 * radius
    assert len(chords.piece) <= 1.6 * math.pi / math.acos(
        1 - 0.05 / radius
    )  # closed form: least possible


def test_ellipse_area():
    chords = flatten(ellipse_cubics((3, 4), 5, 3), np.zeros(12, bool), 5e-7)
    assert Polygon(chords.starts).area == pytest.approx(
        47.12389, abs=1e-4
    )  # row 34; 12 cubics: 4e-7 r


@given(
    rx=st.floats(0.5, 50),
    ry=st.floats(0.5, 50),
    turn=st.floats(0, 360),
    large=st.booleans(),
    sweep=st.booleans(),
    x=st.floats(-60, 60),
    y=st.floats(5, 60),
)
def test_arcs_agree_with_an_outside_reader(rx, ry, turn, large, sweep, x, y):
    ours = arc_cubics((1, 2), rx=rx, ry=ry, rotation=turn, large=large, sweep=sweep, end=(x, y))
    theirs = svgpathtools.Arc(1 + 2j, complex(rx, ry), turn, large, sweep, complex(x, y))
    middle = theirs.point(0.5)
    chords = flatten(ours, np.zeros(len(ours), bool), 1e-4)
    line = LineString(np.concatenate([chords.starts, chords.ends[-1:]]))
    from shapely import Point

    size = max(rx, ry, math.hypot(x - 1, y - 2))
    assert line.distance(Point(middle.real, middle.imag)) < 2e-4 + 1e-6 * size


COMMANDS = "M1 2l3 4h5v-6c1 2 3 4 5 6s1 2 3 4q1 2 3 4t5 6a4 5 6 0 1 7 8z m1 1L9 9H2V3C1 2 3 4 5 6S3 2 1 0Q4 4 5 1T9 8"


def test_every_command_agrees_with_an_outside_reader():
    theirs = svgpathtools.parse_path(COMMANDS)
    ours = points(COMMANDS.split("m1 1")[0])
    assert ours[-1] == pytest.approx((theirs[0].start.real, theirs[0].start.imag))
    found, _ = drawn(COMMANDS)
    length = sum(
        LineString(np.concatenate([c.starts, c.ends[-1:]])).length
        for c in (
            flatten(found.cubics[a:b], found.straight[a:b], 1e-6)
            for a, b in zip(found.firsts[:-1], found.firsts[1:], strict=True)
        )
    )
    assert length == pytest.approx(theirs.length(error=1e-7), rel=1e-5)


WRITTEN = [  # the same line, as editors write it
    "M10-5L.5.5-1e1,5",
    "m10,-5 -9.5,5.5 -10.5,4.5",
    "M 10 -5\nL\t0.5 0.5 L -10 +5",
    "M10-5 .5.5-10 5.",
]


@pytest.mark.parametrize("data", WRITTEN)
def test_numbers_run_together(data):
    assert points(data) == pytest.approx(np.array([(10, -5), (0.5, 0.5), (-10, 5)]))


def test_flags_run_together():
    assert points("M0 0a5 5 0 0110 0").tolist() == points("M0 0A5 5 0 0 1 10\n0").tolist()


BROKEN = [
    ("M0 0L10 0L10 x10", 1, "stands among the numbers"),
    ("M0 0L10 0 10", 1, "lacks numbers"),
    ("M0 0H5A1 1 0 2 0 4 4", 1, "wrong flag"),
    ("L5 5", 0, "instead of M"),
    ("M0 0H5 1e999", 1, "not finite"),
    ("", 0, ""),
]


@pytest.mark.parametrize(("data", "pieces", "says"), BROKEN)
def test_a_broken_path_keeps_what_comes_before(data, pieces, says):
    found, wrong = drawn(data)
    assert len(found.straight) == pieces
    assert says in wrong
    assert bool(wrong) == bool(says)


@given(st.lists(st.tuples(*[st.floats(-100, 100)] * 8), min_size=1, max_size=6), st.floats(1e-3, 1))
def test_chords_stay_within_tolerance_and_end_exactly(numbers, tolerance):
    cubics = np.array(numbers).reshape(-1, 4, 2)
    chords = flatten(cubics, np.zeros(len(cubics), bool), tolerance)
    for i, cubic in enumerate(cubics):
        own = chords.piece == i
        assert (chords.starts[own][0] == cubic[0]).all()
        assert (chords.ends[own][-1] == cubic[3]).all()
        assert (chords.starts[own][1:] == chords.ends[own][:-1]).all()
        middle = chords.spans[own].mean(axis=1)[:, None]
        on = (1 - middle) ** 3 * cubic[0] + 3 * (1 - middle) ** 2 * middle * cubic[1]
        on += 3 * (1 - middle) * middle**2 * cubic[2] + middle**3 * cubic[3]
        away = np.hypot(*(on - (chords.starts[own] + chords.ends[own]) / 2).T)
        assert away.max() <= tolerance * (1 + 1e-9) + 1e-12


def test_chords_in_the_table_are_floats_of_the_lines():
    art = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 50 50" width="50mm"><g fill="none" stroke="#000"
        transform="rotate(10 25 25)"><circle cx="25" cy="25" r="15"/><path d="M5 5C20 5 30 45 45 45H10"/></g></svg>"""
    drawing = read_svg(art, sheet=Sheet())
    there = {
        (*a, *b)
        for line in drawing.lines
        for a, b in zip(line[:-1].tolist(), line[1:].tolist(), strict=True)
    }
    table = drawing.curves
    held = {(*a, *b) for a, b in zip(table.starts.tolist(), table.ends.tolist(), strict=True)}
    assert held <= there
    assert len(there - held) == 1  # the straight piece
    assert len(table.cubics) == 13


@given(
    st.lists(st.tuples(*[st.floats(-1e4, 1e4, allow_subnormal=False)] * 2), min_size=1, max_size=8),
    st.sampled_from(["L", " L ", " ", "\nL"]),
    st.sampled_from([",", " ", " , "]),
    st.booleans(),
)
def test_straight_paths_read_at_once_are_those_read_piece_by_piece(places, between, comma, shut):
    text = "M" + between.join(f"{x!r}{comma}{y!r}" for x, y in places) + "Z" * shut
    at_once, wrong = drawn(text)
    by_piece, _ = drawn(text + "M0 0L1 1")  # a second subpath takes the long way
    assert not wrong
    assert at_once.closed.tolist() == by_piece.closed[:1].tolist()
    np.testing.assert_array_equal(at_once.cubics, by_piece.cubics[:-1])
