"""Stiffness against closed forms and published figures. "row n" is row n of the check table."""

import numpy as np
import pytest
import shapely

from filigree.job import Use
from filigree.measure import Asked, measure
from filigree.measure.necks import necks_of
from filigree.measure.raster import coverage
from filigree.measure.stiffness import ELEMENT, load, load_of
from tests.make.shapes import circle, pattern, rectangle, square_grid

STRIP = shapely.box(0, 0, 30, 10)


def test_a_uniform_plate_is_as_stiff_as_itself():
    assert load(pattern(circle(15, 5, 1e-3), outline=STRIP), pull="x").stiffness == pytest.approx(1)


@pytest.mark.parametrize(("share", "expected"), [(0.2, 0.968), (0.5, 0.789)])
def test_strip_with_a_round_hole(share, expected):
    """Two finite-element programs agree on a 30 x 10 mm strip (calculated for the check table)."""
    strip = pattern(circle(15, 5, 5 * share, 1e-4), outline=STRIP)
    assert load(strip, pull="x").stiffness == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize("share", [0.2, 0.5])
def test_a_finer_grid_changes_little(share):
    strip = pattern(circle(15, 5, 5 * share, 1e-4), outline=STRIP)
    coarse, fine = (load(strip, pull="x", step=s).stiffness for s in (0.25, 0.125))
    assert fine == pytest.approx(coarse, rel=0.02)


def test_stress_beside_a_hole_in_a_wide_plate():
    """Kirsch: 1.21875 and 1.074074 at two and three radii (row 62), within 3 %."""
    plate = pattern(circle(60, 60, 3, 1e-4), outline=shapely.box(0, 0, 120, 120))
    found = load(plate, pull="x", step=0.5)
    column = round((60 - found.left) / found.step)
    beside = (found.stress[:, column, 0] + found.stress[:, column - 1, 0]) / 2
    y = found.top + (np.arange(len(beside)) + 0.5) * found.step
    for radii, expected in ((2, 1.21875), (3, 1.074074)):
        assert np.interp(60 + 3 * radii, y, beside) == pytest.approx(expected, rel=0.03)


def test_staggered_slots_are_soft_across_and_stiff_along():
    """Direction matters for slots (handbook 6.5): ligaments along the pull carry it straight."""
    slots = [rectangle(x, y, 8, 2) for x in (4, 16, 28) for y in (4, 10, 16)]
    plate = pattern(*slots, outline=shapely.box(0, 0, 40, 22))
    assert load(plate, pull="x").stiffness > load(plate, pull="y").stiffness + 0.2


def test_square_plate_lies_between_its_ligaments_and_its_solid_share():
    """A square pattern pulled along its rows: at least the straight ligaments, at most the solid share."""
    plate = pattern(
        *[circle(x + 2.5, y + 2.5, 1.5, 1e-3) for x, y in square_grid(8, 8, 5)],
        outline=shapely.box(0, 0, 40, 40),
    )
    found = load(plate, pull="x").stiffness
    assert 2 / 5 < found < 1 - np.pi * 1.5**2 / 25


def test_two_strands_share_the_pull_by_their_width():
    strap = pattern(rectangle(10, 4, 40, 4), outline=shapely.box(0, 0, 60, 10))
    found = load(strap, pull="x", necks=necks_of(strap, under=9), step=0.25)
    shares = sorted(strand.share for strand in found.hardest)
    assert shares == pytest.approx([1 / 3, 2 / 3], abs=0.04)


def test_a_turned_piece_is_as_stiff():
    strap = pattern(rectangle(10, 4, 40, 4), outline=shapely.box(0, 0, 60, 10))
    turned = pattern(rectangle(4, 10, 4, 40), outline=shapely.box(0, 0, 10, 60))
    one, other = load(strap, pull="x"), load(turned, pull="y")
    assert other.stiffness == pytest.approx(one.stiffness, abs=0.01)


def test_a_loose_part_carries_nothing():
    ring = circle(30, 10, 8, 0.001).difference(circle(30, 10, 3, 0.001))
    strip = shapely.box(0, 0, 60, 20)
    with_part = load(pattern(ring, outline=strip), pull="x").stiffness
    without = load(pattern(circle(30, 10, 8, 0.001), outline=strip), pull="x").stiffness
    assert with_part == pytest.approx(without, abs=1e-6)


def test_the_element_moves_freely_and_stretches_rightly():
    """Rigid shifts and turning cost nothing; pure stretch of a unit square gives E / (1 - nu^2)."""
    x, y = np.array([0, 1, 1, 0]), np.array([0, 0, 1, 1])
    for u, v in ((x * 0 + 1, y * 0), (x * 0, y * 0 + 1), (-y, x)):
        assert np.abs(ELEMENT @ np.c_[u, v].ravel()).max() < 1e-12
    stretch = np.c_[x, y * 0].ravel()
    assert stretch @ ELEMENT @ stretch == pytest.approx(1 / (1 - 0.09))


def test_coverage_sums_to_the_area():
    disc = circle(5, 5, 3.3, 1e-4)
    cells = coverage(disc, left=0, top=0, step=0.5, columns=20, rows=20)
    assert cells.sum() * 0.25 == pytest.approx(disc.area, rel=2e-3)
    assert coverage(shapely.box(1, 1, 2, 2), left=0, top=0, step=1, columns=3, rows=3)[1, 1] == 1


def test_the_strand_that_carries_the_pull_ranks_first_however_wide():
    """A strap with a rim of 12 mm above and a slit one of 3 mm, which a cut parts, below its opening."""
    strap = pattern(
        rectangle(10, 12, 60, 15),
        rectangle(38, 26, 4, 4),  # parts the lower strand
        outline=shapely.box(0, 0, 80, 30),
    )
    measures = measure(strap, wanted=3.0, asked=Asked(pull="x"))
    assert all(neck.width < 12 for neck in measures.necks)
    found = load_of(strap, measures, use=Use(pull="x", work="always"), unasked=False)
    first = found.hardest[0]
    assert first.at[1] == pytest.approx(6, abs=0.5)  # the middle of the rim
    assert first.share == pytest.approx(1, abs=0.05)
    # all that is left of the pull, stretched alike, on 12 of 30 mm
    assert first.intensity == pytest.approx(found.stiffness * 30 / 12, rel=0.1)


def test_a_pull_along_a_line_works_no_strand_across_it():
    """A plate with a slot along the pull: the neck from slot to slot lies along the pull, and nothing passes it."""
    plate = pattern(
        rectangle(8, 9, 10, 2), rectangle(22, 9, 10, 2), outline=shapely.box(0, 0, 40, 20)
    )
    found = load(plate, pull="x", necks=necks_of(plate, under=6), step=0.25)
    between = [s for s in found.hardest if s.at == pytest.approx((20, 10), abs=0.6)]
    assert len(between) == 1
    assert between[0].intensity < 0.3
    assert tuple(found.along) == pytest.approx((1, 0))
