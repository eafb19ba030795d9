"""Lines astray: where an end stops short of a side, and what runs outside the outline; lengths are those drawn."""

import pytest

from filigree.drawing.svg import read_svg
from filigree.job import Sheet
from filigree.regions.astray import outside_lines, short_ends
from filigree.regions.divide import divide

BOX = '<path d="M10 10H110V70H10Z"/>'


def regions(body: str):
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80" '
    )
    svg = f'{head}fill="none" stroke="#000" stroke-width="0.4">{body}</svg>'
    return divide(read_svg(svg.encode(), sheet=Sheet()))


@pytest.mark.parametrize("gap", [1.5, 2.5, 7.5])
def test_an_end_that_stops_short_of_a_side(gap):
    found = short_ends(regions(f'{BOX}<path d="M10 40H{110 - gap}"/>'))
    assert [width for _, width in found] == pytest.approx([gap], abs=1e-6)
    assert found[0][0] == pytest.approx((110 - gap / 2, 40), abs=1e-6)


def test_both_ends_are_told_narrowest_first():
    found = short_ends(regions(f'{BOX}<path d="M13 40H108"/>'))
    assert [width for _, width in found] == pytest.approx([2, 3], abs=1e-6)


@pytest.mark.parametrize(
    "line",
    ["M10 40H110", "M30 40H60", "M20 40H26", "M50 20C60 30 60 40 50 50"],
    ids=["across", "far from any side", "a short stroke", "a vein"],
)
def test_lines_that_are_not_meant_to_close_are_not_told(line):
    assert short_ends(regions(f'{BOX}<path d="{line}"/>')) == ()


def test_a_gap_between_two_ends_is_one_gap():
    found = short_ends(regions(f'{BOX}<path d="M20 40H58"/><path d="M61 40H100"/>'))
    assert [width for _, width in found] == pytest.approx([3], abs=1e-6)


def test_an_open_edge_is_outside():
    edge = '<path d="M2 40V2H118V78H2V50"/>'
    found = outside_lines(regions(BOX + edge))
    assert [length for _, length in found] == pytest.approx([38 + 116 + 76 + 116 + 28], abs=1e-6)


@pytest.mark.parametrize("line", ["M10 40H60", "M110 40H117", "M10 9.7H110"])
def test_veins_tails_and_an_outline_drawn_twice_are_not_outside(line):
    assert outside_lines(regions(f'{BOX}<path d="{line}"/>')) == ()
