"""A plate pierced by many shapes, without a rim: the shapes come out, for without the plate nothing is held."""

import itertools

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, affinity, box

from filigree.regions.background.choose import choose
from filigree.regions.divide import divide
from tests.make.families.scene import adrift, on_page

PLATE = box(0, 0, 120, 70)


def disc(x, y):
    return Point(x, y).buffer(4.0, quad_segs=24)


def star(x, y):
    turn = np.linspace(0, 2 * np.pi, 11)[:-1]
    far = np.where(np.arange(10) % 2, 2.2, 4.5)
    return Polygon(np.column_stack([x + far * np.cos(turn), y + far * np.sin(turn)]))


def lozenge(x, y):
    return affinity.translate(Polygon([(-4, 0), (0, -3), (4, 0), (0, 3)]), x, y)


@pytest.mark.parametrize("shape", [disc, star, lozenge])
def test_holes_come_out_of_a_plate(shape):
    holes = [
        shape(x, y) for x, y in itertools.product(np.linspace(12, 108, 6), np.linspace(12, 58, 4))
    ]
    lines = [LineString(p.exterior) for p in (PLATE, *holes)]
    drawing = on_page("plate", PLATE, lines, holes).drawing
    found = divide(drawing)
    kinds = [c.kind for c in choose(found, drawing)]
    plate = int(np.argmax([r.area_mm2 for r in found.regions]))
    assert kinds[plate] != "background"
    assert kinds.count("background") == len(holes)


def test_one_motif_stays_though_its_ground_is_the_edge():
    """A motif that runs from side to side holds by itself once a rim is put round it."""
    wave = LineString([(x, 35 + 18 * np.sin(x / 9)) for x in np.linspace(0, 120, 200)]).buffer(5)
    lines = [LineString(PLATE.exterior)]
    lines += [LineString(p.coords) for p in (wave.exterior & PLATE).geoms]
    made = on_page("wave", PLATE, lines, list((PLATE - wave).geoms))
    found = divide(made.drawing)
    open_ = [c.kind == "background" for c in choose(found, made.drawing)]
    ground = shapely.union_all(made.background)
    assert open_ == [r.shape.intersection(ground).area > 0.5 * r.area_mm2 for r in found.regions]
    assert open_.count(True) == 2


def test_the_generator_draws_no_face_of_islands_alone():
    assert adrift(_strewn(8))
    assert not adrift(_strewn(3))


def _strewn(count):
    """Separate discs in a row."""
    return MultiPolygon([disc(12 * k, 0) for k in range(count)])


@pytest.mark.parametrize("band", [3.0, 7.5])
def test_a_plain_band_beside_the_rim_stays(band):
    """Cut out, it would part the rim from everything inside, whether narrower or wider than the rim."""
    rim = PLATE.buffer(-4.0, join_style="mitre")
    field = rim.buffer(-band, join_style="mitre")
    bar = box(0, 30, 120, 38) & field
    edges = [PLATE.exterior, rim.exterior, field.exterior]
    lines = [LineString(e) for e in edges] + [
        LineString([(0, y), (120, y)]) & field for y in (30, 38)
    ]
    made = on_page("banded", PLATE, lines, list((field - bar).geoms))
    found = divide(made.drawing)
    ring = [k for k, r in enumerate(found.regions) if len(r.shape.interiors) == 1]
    kinds = [c.kind for c in choose(found, made.drawing)]
    assert len(ring) == 2
    assert [kinds[k] for k in ring] == ["rim", "rim"]
