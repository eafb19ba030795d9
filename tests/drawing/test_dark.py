"""Dark: wide ink that is leather, and wide ink that marks what is cut out."""

import pytest

from filigree.drawing.svg import read_svg
from filigree.job import Sheet
from tests.make.clipart import clipart
from tests.make.darks import CUT, LEATHER, family_darks
from tests.make.families import FAMILIES

SEEDS = range(2, 12)
KNOWN = [(make, "leather") for make in LEATHER.values()] + [(make, "cut") for make in CUT.values()]


def read(svg):
    return read_svg(svg, sheet=Sheet(), name="dark")


@pytest.mark.parametrize(("make", "truth"), KNOWN, ids=[*LEATHER, *CUT])
def test_what_dark_means_is_told_from_the_whole_drawing(make, truth):
    found = [read(make(seed)) for seed in SEEDS]
    assert [drawing.dark for drawing in found].count(truth) >= 9
    assert all(drawing.dark_sure < 0.8 for drawing in found if drawing.dark != truth)


@pytest.mark.parametrize("style", ["linework", "feathers", "lattice", "vine"])
def test_lines_that_swell_and_bars_that_cross_are_never_surely_cut(style):
    for habit in ("plain", "sheet"):
        drawing = read(clipart(style, habit, 6))
        assert not (drawing.dark == "cut" and drawing.dark_sure >= 0.8)


@pytest.mark.parametrize("dark", ["leather", "cut"])
def test_the_maker_has_the_last_word(dark):
    drawing = read_svg(CUT["pockets"](3), sheet=Sheet(), name="dark", dark=dark)
    assert (drawing.dark, drawing.dark_sure) == (dark, 1.0)


@pytest.mark.parametrize("name", ["lilies", "reeds", "knot", "fish", "herons", "frieze", "letters"])
def test_black_leather_and_black_ground_of_one_design_are_told_apart(name):
    """In most families one outline runs round both; what reaches it is the leather (truth by construction)."""
    for way, svg in family_darks(FAMILIES[name](7001)).items():
        drawing = read(svg)
        assert drawing.dark == ("leather" if way == "leather black" else "cut"), way
        assert drawing.dark_sure >= 0.6
