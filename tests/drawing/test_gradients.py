"""Gradients as the eye sees them: areas in closed form, and what slits and hairs part."""

import math

import pytest
import shapely
from shapely import Point, box

from filigree.drawing.fields import fields_of
from filigree.drawing.gradients import Gradient
from filigree.drawing.paints import Paint
from filigree.drawing.shades import spans_by_tone
from filigree.drawing.svg import read_svg
from filigree.drawing.variables import with_variables
from filigree.job import Sheet

BLACK, WHITE = Paint((0.0, 0.0, 0.0)), Paint((1.0, 1.0, 1.0))
HARD = '<stop offset=".5" stop-color="#000"/><stop offset=".5" stop-color="#fff"/>'
LIGHT_FIRST = '<stop offset=".5" stop-color="#fff"/><stop offset=".5" stop-color="#000"/>'
SQUARE = '<rect x="10" y="10" width="40" height="40" fill="url(#g)"/>'
FRAME = '<path fill-rule="evenodd" d="M5 5H55V55H5ZM10 10H50V50H10Z"/>'
AREAS = [  # gradient, light areas it leaves in the square of 40 mm (by construction)
    pytest.param(f'<linearGradient id="g">{HARD}</linearGradient>', [800], id="half"),
    pytest.param(
        f'<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="10" x2="30" spreadMethod="repeat">{HARD}</linearGradient>',
        [400, 400],
        id="repeat",
    ),
    pytest.param(
        f'<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="10" x2="30" spreadMethod="reflect">{HARD}</linearGradient>',
        [800],
        id="reflect",
    ),
    pytest.param(
        f'<radialGradient id="g">{LIGHT_FIRST}</radialGradient>', [math.pi * 100], id="disc"
    ),
    pytest.param(
        f'<radialGradient id="g" fx=".3" fy=".6">{LIGHT_FIRST}</radialGradient>',
        [math.pi * 100],
        id="focus: half way to a circle of 20 mm is one of 10 mm",
    ),
    pytest.param(
        '<linearGradient id="g"><stop offset="0"/><stop offset="1" stop-color="#fff"/></linearGradient>',
        [800],
        id="even change: half the length is lighter than half",
    ),
]


@pytest.mark.parametrize(("gradient", "areas"), AREAS)
def test_light_parts_of_a_gradient(gradient, areas):
    art = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">'
        f"<defs>{gradient}</defs>{FRAME}{SQUARE}</svg>"
    )
    drawing = read_svg(art.encode(), sheet=Sheet())
    assert sorted(field.shape.area for field in drawing.fields) == pytest.approx(areas, rel=1e-3)


def test_tones_change_where_the_colour_crosses_half():
    gradient = Gradient("linearGradient", {}, (0.0, 0.2, 1.0), (BLACK, BLACK, WHITE))
    spans = spans_by_tone(gradient, lambda paint: "ink" if paint.lightness < 0.5 else "paper")
    assert spans["ink"] == (pytest.approx((0.0, 0.6)),)
    assert spans["paper"] == (pytest.approx((0.6, 1.0)),)
    assert gradient.mean.lightness == pytest.approx(0.4)


@pytest.mark.parametrize(("slit", "fields"), [(0.05, 2), (0.08, 0)])
def test_a_slit_parts_when_it_is_seen(slit, fields):
    """Seen in half of all pictures from 0.064 mm (measured on two renderers, 0.05 mm pixels)."""
    halves = [box(5, 5, 15, 15), box(15 + slit, 5, 25, 15)]
    ink = shapely.union_all(halves) - Point(15, 8).buffer(1) - Point(15, 12).buffer(1)
    assert len(fields_of(ink, box(0, 0, 30, 30))) == fields


@pytest.mark.parametrize(("hair", "fields"), [(0.03, 1), (0.05, 2)])
def test_a_hair_parts_when_it_is_seen(hair, fields):
    """Seen in half of all pictures from 0.042 mm (measured on two renderers, 0.05 mm pixels)."""
    ring = Point(15, 15).buffer(8) - Point(15, 15).buffer(6)
    ink = ring | box(8, 15, 22, 15 + hair)
    assert len(fields_of(ink, box(0, 0, 30, 30))) == fields


def test_fields_are_what_the_ink_leaves_inside():
    """Rings in rings, and ink that leaves the page: the same as taking the ink off the page."""
    centre = Point(12, 15)
    rings = [centre.buffer(r) - centre.buffer(r - 1) for r in (2, 5, 8, 11, 14)]
    page, ink = box(0, 0, 30, 30), shapely.union_all([*rings, box(3, 14, 6, 16)])
    left = [part for part in (page - ink).geoms if not part.intersects(page.exterior)]
    found = [field.shape for field in fields_of(ink, page)]
    assert sorted(f.area for f in found) == pytest.approx(sorted(p.area for p in left), rel=1e-3)
    assert len(found) == 4


def test_variables_that_name_each_other_are_left_out_at_once():
    ring = {f"--v{k}": f"var(--v{(k + 1) % 40}) var(--v{(k + 2) % 40}, none)" for k in range(40)}
    assert with_variables({"fill": "var(--v0)"}, ring).get("fill", "") != "var(--v0)"
    assert with_variables({"fill": "var(--a)"}, {"--a": "var(--a)"}) == {}
