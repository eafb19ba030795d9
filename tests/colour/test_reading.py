"""Reading: thresholds are common practice (handbook 7.2); "row n" is row n of the check table."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from filigree.colour.palette import PALETTE, hex_of
from filigree.colour.reading import propose, reading, spread
from filigree.errors import FiligreeError


def test_red_on_green_is_told_for_deutan_eyes():
    found = reading("#b22222", "#228b22")  # row 97
    assert found.normal.difference == pytest.approx(67.01, abs=0.3)
    assert found.seen_as["deutan"].difference == pytest.approx(5.44, abs=0.3)
    assert any("deutan" in words and "does not read" in words for words in found.says)


def test_natural_and_black_read_for_every_eye():
    assert reading("natural", "black").reads


def test_the_same_colour_twice_does_not_read():
    assert any(words.startswith("does not read:") for words in reading("tan", "tan").says)


def test_proposals_read_and_are_spread_over_hue():
    names = propose("natural", 6)
    assert len(set(names)) == 6
    assert all(reading("natural", name).reads for name in names)
    assert len(names) == len(set(names)) <= len(PALETTE)


def test_an_unknown_colour_names_the_nearest():
    with pytest.raises(FiligreeError, match="turquoise"):
        hex_of("turquoize")


@given(
    st.integers(2, 5),
    st.lists(st.tuples(st.integers(1, 12), st.integers(1, 12)), max_size=30),
)
def test_a_tree_of_neighbours_never_gets_equal_neighbours(colours, links):
    root = list(range(13))

    def top(i):
        while root[i] != i:
            i = root[i]
        return i

    tree = []
    for a, b in links:
        if top(a) != top(b):
            root[top(a)] = top(b)
            tree.append((a, b))
    pairs = np.array(tree, dtype=np.int64).reshape(-1, 2)
    given_colour = spread(range(1, 13), pairs, colours)
    clashes = sum(given_colour[a] == given_colour[b] for a, b in tree)
    assert set(given_colour) == set(range(1, 13))
    assert clashes == 0
