"""The finished face, worked by hand: what a bevel and the char of a beam leave (handbook 2.1, 2.3, 2.6)."""

import math

import pytest
import shapely

from filigree.job import CutLoss
from filigree.measure.finished import finished
from filigree.measure.necks import necks_of
from tests.make.shapes import pattern, rectangle

PLATE = shapely.box(0, 0, 100, 60)


def plate():
    """Two openings of 20 x 20 mm, 10 mm apart and 20 mm from the nearest edge."""
    return pattern(rectangle(25, 20, 20, 20), rectangle(55, 20, 20, 20), outline=PLATE)


def narrowest(face):
    return necks_of(face, under=30)[0].width


def test_of_a_bevelled_strand_the_flat_top_and_half_of_each_bevel_count():
    """Drawn 10 mm wide, with bevels of 2 mm outside the lines: 10 + 1 + 1."""
    face = finished(plate(), CutLoss(kerf=0, char=0, bevel=2))
    assert narrowest(face) == pytest.approx(12, abs=1e-6)
    for opening in face.openings:  # cut 16 x 16, grown round by 1
        assert opening.area_mm2 == pytest.approx(16 * 16 + 4 * 16 + math.pi, abs=0.01)
    assert face.outline.equals(PLATE)


def test_char_takes_its_width_from_every_edge_the_outline_too():
    """Strands lose it on both sides, the kerf is made good by the paths."""
    face = finished(plate(), CutLoss(kerf=0.2, char=0.3, bevel=0))
    assert narrowest(face) == pytest.approx(10 - 2 * 0.3, abs=1e-6)
    assert face.outline.bounds == pytest.approx((0.3, 0.3, 99.7, 59.7))
    assert face.outline.area == pytest.approx(99.4 * 59.4, abs=1e-6)
    rim = min(o.shape.distance(face.outline.exterior) for o in face.openings)
    assert rim == pytest.approx(20 - 2 * 0.3, abs=1e-6)
