"""Several colours over the openings."""

import pytest
from shapely import Point

from filigree.colour.spreading import colours_by_marks, spread_colours
from filigree.drawing.model import Mark
from tests.make.shapes import circle, pattern, square_grid


@pytest.fixture
def plate():
    return pattern(*[circle(x, y, 3) for x, y in square_grid(4, 3, 9)])


def mark(x, y, *, colour="", group=""):
    return Mark(shape=Point(x, y), says="open", how="group", colour=colour, group=group)


def test_neighbours_in_a_square_plate_differ_with_two_colours(plate):
    done = spread_colours(plate, ("red", "blue"), wanted=2.0)
    colour = {(round(o.at[0] / 9), round(o.at[1] / 9)): o.inlay for o in done.openings}
    assert all(
        colour[x, y] != colour[u, v]
        for (x, y) in colour
        for (u, v) in colour
        if abs(x - u) + abs(y - v) == 1
    )


def test_fills_of_marks_become_the_colours_behind(plate):
    done = colours_by_marks(plate, [mark(0, 0, colour="#40e0d0")], by="fill", colours=())
    assert [o.inlay for o in done.openings][:2] == ["#40e0d0", "red"]


def test_groups_named_for_a_colour_take_it_and_others_take_turns(plate):
    marks = [mark(0, 0, group="blue"), mark(9, 0, group="water"), mark(18, 0, group="reeds")]
    done = colours_by_marks(plate, marks, by="group", colours=("teal", "moss"))
    assert [o.inlay for o in done.openings][:4] == ["blue", "teal", "moss", "red"]
