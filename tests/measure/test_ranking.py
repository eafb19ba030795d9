"""Ranking of strands: faces that are alike on both sides are told alike on both."""

import numpy as np
import pytest
import shapely
from shapely import Point, affinity

from filigree.job import Use
from filigree.measure import Asked, measure
from filigree.measure.ranking import mirrored, ranks
from filigree.measure.stiffness import load_of
from tests.make.shapes import circle, pattern, rectangle

STRAP = shapely.box(0, 0, 120, 40)


def pulled(face, pull="x"):
    measures = measure(face, wanted=3.0, asked=Asked(pull=pull))
    return load_of(face, measures, use=Use(pull=pull, work="always"), unasked=False).hardest


def images(at, *, about=(60.0, 20.0)):
    """A place and its images about the middle lines."""
    (x, y), (mx, my) = at, about
    return {(round(u, 1), round(v, 1)) for u in (x, 2 * mx - x) for v in (y, 2 * my - y)}


def test_both_sides_of_an_even_rim_rank_together():
    """Two openings stand symmetrically: the weakest way across runs through the rim of one of them alone."""
    face = pattern(rectangle(15, 9, 25, 22), rectangle(80, 9, 25, 22), outline=STRAP)
    found = pulled(face)
    first = {(round(s.at[0], 1), round(s.at[1], 1)) for s in found if s.rank == 1}
    assert first == images(found[0].at)
    assert len(first) == 4, "above and below, left and right"
    assert len({s.intensity for s in found if s.rank == 1}) == 1


@pytest.mark.parametrize("pull", ["x", "y"])
def test_mirror_images_of_round_openings_share_their_rank(pull):
    discs = [circle(x, y, 6, 1e-3) for x in (25, 43.5, 76.5, 95) for y in (12.2, 27.8)]
    found = pulled(pattern(*discs, outline=STRAP), pull)
    at = {(round(s.at[0], 1), round(s.at[1], 1)): s.rank for s in found}
    for place, rank in at.items():
        shared = {at.get(other) for other in images(place)}
        assert shared == {rank}, "every image is there, with the same rank"


def test_a_strap_drawn_aslant_has_its_images_along_the_pull_and_across():
    boxes = [rectangle(15, 9, 25, 22), rectangle(80, 9, 25, 22)]
    aslant = pattern(
        *(affinity.rotate(box, 30, origin=(0, 0)) for box in boxes),
        outline=affinity.rotate(STRAP, 30, origin=(0, 0)),
    )
    found = pulled(aslant, "30")
    first = [affinity.rotate(Point(s.at), -30, origin=(0, 0)) for s in found if s.rank == 1]
    at = {(round(p.x, 1), round(p.y, 1)) for p in first}
    assert at == images((first[0].x, first[0].y))
    assert len(at) == 4


def test_a_pull_aslant_of_the_middle_lines_makes_no_equals_of_mirror_images():
    """A plate even about both its middle lines is pulled at 45 degrees: only its half turn stays the same pull."""
    land = shapely.box(0, 0, 60, 40).difference(shapely.box(10, 12, 20, 28))
    ends = np.array([[[10.0, 20.0], [0.0, 20.0]]])
    assert len(mirrored(ends, land)[0]) == 2, (
        "mirrored across the middle of the height it is itself"
    )
    aslant = affinity.rotate(land, -45, origin=(0, 0))
    turned = shapely.get_coordinates(affinity.rotate(shapely.MultiPoint(ends[0]), -45, (0, 0)))
    assert len(mirrored(turned[None], aslant)[0]) == 1


def test_an_image_that_runs_through_an_opening_is_no_strand():
    """To the right a slit parts what to the left is one strand of 6 mm: its ends alone would be there."""
    holes = [(20, 10, 27, 30), (33, 10, 40, 30), (80, 10, 87, 30), (93, 10, 100, 30)]
    whole = shapely.box(0, 0, 120, 40).difference(
        shapely.union_all([shapely.box(*h) for h in holes])
    )
    ends = np.array([[[27.0, 20.0], [33.0, 20.0]]])
    assert len(mirrored(ends, whole)[0]) == 4
    slit = whole.difference(shapely.box(91, 10, 92, 30))
    found, of = mirrored(ends, slit)
    assert found[:, :, 0].max() == 33.0
    assert of.tolist() == [0, 0]


def test_a_side_that_is_weaker_ranks_before_the_other():
    """The right opening is 2 mm taller, so its rims are narrower than those of the left one."""
    face = pattern(rectangle(15, 9, 25, 22), rectangle(80, 8, 25, 24), outline=STRAP)
    found = pulled(face)
    assert all(s.at[0] > 60 for s in found if s.rank == 1)
    assert all(np.diff([s.rank for s in found]) >= 0)


def test_equals_share_a_place_and_the_next_counts_them():
    assert ranks([2.0, 2.0, 2.0, 1.0, 0.5, 0.5]) == (1, 1, 1, 4, 5, 5)
    assert ranks([]) == ()
