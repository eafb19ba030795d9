"""Perforated plates through the plies: open shares of the published formulas, from the paths that are cut.

Shares are of whole cells: the holes' cut area over the number of holes times the area of a cell.
"""

import math

import pytest

from filigree.geometry.path import signed_area
from filigree.job import Job
from filigree.measure.necks import necks_of
from filigree.plies.build import build
from tests.make.shapes import circle, pattern, polygon, square_grid, staggered

STAGGERED = math.sqrt(3) / 2  # cell of a 60-degree pattern, pitches squared
INCH = 25.4
PLATES = [  # diameter, pitch, centres, cell, share in %, tolerance
    pytest.param(3, 5, staggered, STAGGERED, 32.6484, 0.02, id="row 52"),
    pytest.param(3, 5, square_grid, 1.0, 28.2743, 0.02, id="row 54"),
    pytest.param(INCH / 8, 3 * INCH / 16, staggered, STAGGERED, 40.307, 0.02, id="row 57"),
    pytest.param(0.066 * INCH, 0.125 * INCH, staggered, STAGGERED, 25.283, 0.01, id="row 58"),
]


def cut_area(plate):
    """Area inside the paths of the openings in the face file, mm2."""
    face = build(plate, Job())[0]
    cut = next(c for c in face.cuts if c.name == "openings")
    return sum(abs(signed_area(path)) for path in cut.paths)


@pytest.mark.parametrize(("diameter", "pitch", "centres", "cell", "share", "tolerance"), PLATES)
def test_open_share_of_whole_cells(diameter, pitch, centres, cell, share, tolerance):
    spots = centres(6, 5, pitch)
    plate = pattern(*[circle(x, y, diameter / 2, 1e-4 * diameter) for x, y in spots])
    found = 100 * cut_area(plate) / (len(spots) * cell * pitch**2)
    assert found == pytest.approx(share, abs=tolerance)


@pytest.mark.parametrize(
    ("centres", "cell", "count"), [(staggered, STAGGERED, 46188), (square_grid, 1.0, 40000)]
)
def test_holes_in_a_square_metre(centres, cell, count):
    """Row 55: the density of centres of the plates that the other tests use."""
    spots = centres(40, 40, 5)
    (left, top), (right, bottom) = spots.min(axis=0), spots.max(axis=0)
    rows, columns = 39, 39 + (centres is staggered) / 2
    density = columns * rows / ((right - left) * (bottom - top)) * 1e6
    assert density == pytest.approx(count, rel=1e-3)
    assert density == pytest.approx(1e6 / (cell * 25), abs=1)


def test_ligament_efficiency_of_a_row():
    """Row 59: (p - d) / p from the narrowest neck of a row of holes."""
    pitch, diameter = 3 * INCH / 16, INCH / 8
    row = pattern(*[circle(x * pitch, 0, diameter / 2) for x in range(4)])
    bridge = necks_of(row, under=pitch)[0].width
    assert bridge / pitch == pytest.approx(0.33333, abs=1e-5)


def test_a_lens_is_cut_with_its_area():
    """Row 37: two circles of radius 1, centres 1 apart, share 1.228370 (made ten times as large)."""
    lens = circle(0, 0, 10, 1e-5).intersection(circle(10, 0, 10, 1e-5))
    edge = lens.length * 0.02 / 100  # curves without a source are fitted within 0.02 mm
    assert cut_area(pattern(lens)) / 100 == pytest.approx(1.228370, abs=edge / 10)


def test_a_polygon_of_64_sides_is_not_taken_for_its_circle():
    """Row 51: 0.9983944 of the circle (made twenty times as large)."""
    points = [
        (20 * math.cos(2 * math.pi * k / 64), 20 * math.sin(2 * math.pi * k / 64))
        for k in range(64)
    ]
    assert polygon(*points).area / (math.pi * 400) == pytest.approx(0.9983944, abs=1e-6)
