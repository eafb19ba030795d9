"""Marks: fills, names, hatching, stipple and X marks."""

import numpy as np
import pytest
from shapely import Point

from filigree.drawing.handmarks import find_hand_marks
from filigree.drawing.svg import read_svg
from filigree.job import Sheet

FRAME = '<rect x="2" y="2" width="36" height="36" fill="none" stroke="black" stroke-width=".5"/>'


def read(body):
    art = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 40" width="40mm">{body}</svg>'
    return read_svg(art.encode(), sheet=Sheet())


@pytest.mark.parametrize("colour", ["#8a8a8a", "grey", "#ccc", "gold", "#c00", "rgb(0,128,255)"])
def test_a_grey_or_clear_fill_marks(colour):
    drawing = read(FRAME + f'<rect x="5" y="5" width="10" height="10" fill="{colour}"/>')
    assert [mark.says for mark in drawing.marks] == ["open"]
    assert drawing.marks[0].shape.area == pytest.approx(100)
    assert drawing.marks[0].colour.startswith("#")
    assert drawing.fields is None
    assert len(drawing.lines) == 1


@pytest.mark.parametrize("colour", ["#fefefe", "#fffff0", "white", "black", "#111"])
def test_light_and_the_lines_own_colour_mark_nothing(colour):
    assert read(FRAME + f'<rect x="5" y="5" width="10" height="10" fill="{colour}"/>').marks == ()


def test_the_page_is_no_mark():
    assert read('<rect width="40" height="40" fill="#cdb"/>' + FRAME).marks == ()


NAMED = [
    ('<circle id="open" cx="9" cy="9" r="2"/>', "open", 0),
    ('<g class="soft keep"><circle cx="9" cy="9" r="2"/></g>', "keep", 0),
    ('<g id="open"><path d="M8 8L10 10" stroke="red"/></g>', "open", 0),
    ('<path class="open" fill="none" stroke="black" d="M5 5H13V13H5Z"/>', "open", 1),
]


@pytest.mark.parametrize(("body", "says", "drawn"), NAMED)
def test_names_mark(body, says, drawn):
    drawing = read(FRAME + body)
    assert [mark.says for mark in drawing.marks] == [says]
    assert drawing.marks[0].shape.distance(Point(9, 9)) < 0.01
    assert drawing.solids.is_empty
    assert len(drawing.lines) == 1 + drawn


def line(*points):
    return np.array(points, float)


BOX = line((0, 0), (40, 0), (40, 40), (0, 40), (0, 0))


def circle(x, y, radius):
    turn = np.linspace(0, 2 * np.pi, 17)
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])


HATCHED = [line((0.1 + i, 0.1), (10 + i, 39.9)) for i in range(29)]
CROSSED = [line((5, 5 + i * 1.5), (25, 5 + i * 1.5)) for i in range(10)] + [
    line((6 + i * 1.5, 4), (6 + i * 1.5, 20)) for i in range(10)
]
DOTS = [circle(x, y, 0.3) for x, y in np.random.default_rng(7).uniform(5, 20, (60, 2))]
FOUND = [
    pytest.param(HATCHED, ["hatched"], id="hatching from edge to edge"),
    pytest.param(CROSSED, ["hatched", "hatched"], id="cross-hatching"),
    pytest.param([line((10, 10), (16, 16)), line((16, 10), (10, 16))], ["X"], id="X"),
    pytest.param(DOTS, ["stippled"], id="stipple"),
]
VEINS = [line((5, 20), (35, 20))] + [
    line((8 + i * 2, 20), (12 + i * 2, 20 + s * 8)) for i in range(10) for s in (-1, 1)
]
LATTICE = [line((i * 5, 0), (i * 5, 40)) for i in range(1, 8)] + [
    line((0, i * 5), (40, i * 5)) for i in range(1, 8)
]
TURNS = np.arange(0, 6.28, 0.12)
DASHES = [
    line(
        (20 + 10 * np.cos(t), 20 + 10 * np.sin(t)),
        (20 + 10 * np.cos(t + 0.06), 20 + 10 * np.sin(t + 0.06)),
    )
    for t in TURNS
]
PIECES = [
    line(
        (20 + 10 * np.cos(t), 20 + 10 * np.sin(t)),
        (20 + 10 * np.cos(t + 0.12), 20 + 10 * np.sin(t + 0.12)),
    )
    for t in TURNS
]
LADDER = [line((0, 10), (40, 10)), line((0, 16), (40, 16))] + [
    line((2 * i, 10), (2 * i, 16)) for i in range(1, 20)
]
TURNED = np.radians(np.arange(0, 360, 10))
RING_OF_RUNGS = [circle(20, 20, 12), circle(20, 20, 16)] + [
    line((20 + 12 * np.cos(t), 20 + 12 * np.sin(t)), (20 + 16 * np.cos(t), 20 + 16 * np.sin(t)))
    for t in TURNED
]
PLEATS = [line((14 + 1.2 * i, 0), (14 + 1.2 * i, 40)) for i in range(7)]
TWIGS = [line((26.0, 12.0), (27.9, 8.9)), line((29.3, 9.6), (24.9, 10.0))]
FEATHERS = [
    line((12.4, 18.3), (11.6, 25.0)),
    line((13.7, 9.6), (13.4, 11.8)),
    line((14.1, 26.2), (16.1, 8.5)),
    line((10.8, 11.0), (11.9, 25.2)),
    line((13.5, 25.9), (13.0, 10.0)),
]
LEFT = [
    pytest.param(LADDER, id="rungs of a ladder border"),
    pytest.param(RING_OF_RUNGS, id="rungs of a ring"),
    pytest.param(PLEATS, id="pleats with open field on both sides"),
    pytest.param(TWIGS, id="twigs that cross"),
    pytest.param(FEATHERS, id="a few quills"),
    pytest.param(VEINS, id="veins of a leaf"),
    pytest.param(LATTICE, id="lattice"),
    pytest.param([line((0, 0), (40, 40)), line((40, 0), (0, 40))], id="diagonals of a panel"),
    pytest.param(DASHES, id="dashed circle"),
    pytest.param(PIECES, id="circle in pieces"),
    pytest.param([circle(5 + i * 1.5, 5, 0.5) for i in range(15)], id="row of pearls"),
]


@pytest.mark.parametrize(("lines", "how"), FOUND)
def test_hand_marks_are_taken_out(lines, how):
    rest, marks = find_hand_marks((BOX, *lines))
    assert [mark.how for mark in marks] == how
    assert len(rest) == 1


@pytest.mark.parametrize("lines", LEFT)
def test_drawing_is_left_alone(lines):
    rest, marks = find_hand_marks((BOX, *lines))
    assert marks == ()
    assert len(rest) == 1 + len(lines)


def test_hatching_in_a_file_divides_nothing():
    hatch = "".join(
        f'<path d="M{3 + i} 3V37" fill="none" stroke="black" stroke-width=".2"/>' for i in range(34)
    )
    drawing = read(FRAME + hatch)
    assert len(drawing.lines) == 1
    assert drawing.marks[0].shape.area > 1000
