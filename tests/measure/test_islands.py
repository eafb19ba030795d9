"""Islands: loose pieces of face, and the opening round each."""

import pytest

from filigree.measure.islands import islands
from filigree.measure.model import EDGE
from tests.make import circle, pattern, rectangle


@pytest.mark.parametrize("turned", [False, True])
def test_a_loose_piece_lies_in_the_innermost_opening_round_it(turned):
    """An opening round a loose part that has an opening of its own with a loose part in it."""
    outer = circle(0, 0, 30).difference(circle(0, 0, 20))
    inner = circle(0, 0, 12).difference(circle(0, 0, 4))
    found = islands(pattern(*([inner, outer] if turned else [outer, inner])))
    ring, disc = sorted(found, key=lambda i: -i.area_mm2)
    assert (ring.within, disc.within) == ((2, 1) if turned else (1, 2))
    assert ring.openings == ((1,) if turned else (2,))


def test_a_piece_beside_the_outline_lies_in_no_opening():
    parted = rectangle(10, -5, 4, 30)
    face = pattern(parted, outline=rectangle(0, 0, 40, 20))
    (loose,) = islands(face)
    assert loose.within == EDGE
