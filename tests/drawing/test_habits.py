"""Habits of real drawings, each in a small file of its own, with the fields they enclose by construction.

The same files are drawn by two renderers that are not ours, and what the picture shows is compared.
"""

from pathlib import Path

import numpy as np
import pytest
import shapely

from filigree.drawing.svg import read_svg
from filigree.job import Sheet
from filigree.regions.divide import divide
from tests.drawing.eye import AREA, RADIUS, agreement

HABITS = Path(__file__).parent / "habits"
FIELDS = [
    ("white-on-black-stack", 2),
    ("compound-even-odd", 2),
    ("compound-opposite-turns", 2),
    ("star-crossing-itself-nonzero", 0),
    ("lines-as-thin-filled-shapes", 2),
    ("cream-page-under-lines", 4),
    ("strokes-as-bands", 3),
    ("strokes-of-one-millimetre", 4),
    ("white-leaves-over-stems", 6),
    ("white-without-outline-over-lines", 6),
    ("style-sheet-classes", 2),
    ("transforms-on-everything", 2),
    ("clip-path-through-use", 1),
    ("symbols-in-symbols", 2),
    ("markers-at-vertices", 4),
    ("gradients-light-and-dark", 1),
    ("pattern-of-rings", 33),
    ("mask-with-a-hole", 1),
    ("dashed-frame-encloses-nothing", 1),
    ("faint-group-and-solid-group", 1),
    ("switch-with-extension", 1),
    ("page-in-points", 1),
    ("page-in-percent", 1),
    ("no-view-box", 1),
    ("no-size-at-all", 1),
    ("huge-view-box-turned-over", 1),
    ("tiny-view-box", 1),
    ("art-leaves-the-page", 1),
    ("caps-close-the-frame", 2),
    ("mitre-joins", 2),
    ("tiles-with-hairline-gaps", 1),
    ("over-and-under-by-white-strokes", 1),
    ("white-lines-on-black", 2),
    ("hidden-and-shown-again", 1),
    ("use-recoloured", 2),
    ("nested-svg-slice-and-none", 2),
    ("arcs-with-flags-run-together", 1),
    ("smooth-commands", 1),
    ("overlapping-outlined-shapes", 19),
    ("strokes-that-merge", 26),
    ("near-white-spellings", 4),
    ("hairline-round-a-fill", 1),
    ("dark-blue-ink", 1),
    ("paint-order-stroke-first", 1),
    ("stroke-stretched-by-transform", 2),
    ("stroke-width-kept-under-scale", 1),
    ("clip-path-of-boxes", 1),
    ("clip-path-even-odd", 1),
    ("gradient-borrows-stops", 1),
    ("defs-after-use", 1),
    ("use-of-a-use", 2),
    ("important-beats-attribute", 1),
    ("current-colour", 1),
    ("prefixed-elements", 1),
    ("old-doctype-and-entities", 1),
    ("lines-hidden-under-paper", 5),
    ("silhouette-with-light-fields", 3),
    ("negative-origin", 2),
    ("frame-at-the-page-edge", 2),
    ("only-the-page-would-close-it", 1),
    ("letters-of-a-stencil", 2),
    ("even-odd-in-style-attribute", 1),
    ("percent-in-nested-page", 1),
    ("mask-cut-to-its-region", 1),
    ("mask-by-alpha", 2),
    ("clip-path-with-a-group-in-it", 1),
    ("marker-in-the-colour-of-its-line", 1),
    ("markers-along-arcs", 15),
    ("dots-that-run-together", 3),
    ("turned-about-an-origin", 2),
    ("gradient-with-hard-stops-repeated", 5),
    ("gradient-with-hard-stops-reflected", 3),
    ("radial-gradient-in-rings", 7),
    ("radial-gradient-with-a-focus", 1),
    ("gradient-chain-with-transform", 5),
    ("gradient-along-a-stroke", 11),
    ("gradient-clear-in-part-over-lines", 3),
    ("gradient-of-three-bands", 2),
    ("gradient-steep-but-smooth", 1),
    ("gradient-without-length", 1),
    ("gradient-of-a-flat-box-paints-nothing", 1),
    ("mask-fading-from-a-gradient", 1),
    ("mask-of-greys", 1),
    ("mask-of-faint-paint", 1),
    ("markers-on-a-rounded-box", 9),
    ("markers-on-a-circle", 5),
    ("markers-turned-by-an-angle", 3),
    ("marker-sliced-to-its-box", 1),
    ("marker-beyond-its-box", 3),
    ("markers-carry-no-markers", 3),
    ("pattern-along-a-stroke", 73),
    ("pattern-by-the-box", 17),
    ("pattern-too-faint-to-see", 1),
    ("pattern-with-a-corner-of-its-own", 26),
    ("places-in-a-style-sheet", 1),
    ("radius-in-a-style-sheet", 1),
    ("path-data-in-a-style-sheet", 1),
    ("variables-of-a-style-sheet", 2),
    ("turned-about-its-own-box", 2),
    ("turn-move-and-scale-apart", 1),
    ("paint-order-of-three", 1),
    ("dashes-of-a-stated-length", 1),
    ("dashes-in-em", 1),
    ("mask-of-a-mask", 2),
    ("clip-path-of-a-clip-path", 1),
    ("links-by-another-prefix", 1),
    ("style-sheet-elsewhere", 1),
    ("every-other-child", 2),
    ("style-sheet-for-print", 1),
    ("white-lines-cut-a-disc", 1),
    ("star-with-a-stroke-even-odd", 1),
    ("unclosed-subpaths-filled", 2),
    ("moves-after-a-close", 5),
    ("chains-of-h-and-v", 2),
    ("view-box-sliced-to-a-corner", 1),
    ("faint-paint-stacked", 1),
    ("inherit-and-initial", 1),
    ("moved-by-a-share-of-its-box", 1),
]
OWN_WAY = {
    ("no-size-at-all", "librsvg"),  # crops the page to the art
    ("turned-about-an-origin", "librsvg"),  # does not know transform-origin
    ("markers-along-arcs", "resvg"),  # marks places inside an arc
    ("markers-along-arcs", "librsvg"),  # draws markers on paths alone
    ("stroke-width-kept-under-scale", "resvg"),  # does not know vector-effect
    ("markers-on-a-rounded-box", "librsvg"),
    ("markers-on-a-circle", "librsvg"),
    ("places-in-a-style-sheet", "resvg"),  # does not know these properties
    ("radius-in-a-style-sheet", "resvg"),
    ("path-data-in-a-style-sheet", "resvg"),
    ("path-data-in-a-style-sheet", "librsvg"),
    ("variables-of-a-style-sheet", "resvg"),
    ("variables-of-a-style-sheet", "librsvg"),
    ("turned-about-its-own-box", "resvg"),
    ("turned-about-its-own-box", "librsvg"),
    ("turn-move-and-scale-apart", "resvg"),
    ("turn-move-and-scale-apart", "librsvg"),
    ("moved-by-a-share-of-its-box", "resvg"),
    ("moved-by-a-share-of-its-box", "librsvg"),
    ("every-other-child", "resvg"),
    ("style-sheet-for-print", "resvg"),
    ("style-sheet-for-print", "librsvg"),
}


def lit(drawing, divided):
    """Light regions `(shape, inscribed radius)`: of the reader, or of the rooms after it."""
    if divided:
        shapes = [region.shape for region in divide(drawing).regions if not region.solid]
    else:
        shapes = (
            [field.shape for field in drawing.fields]
            if drawing.fields is not None
            else faces(drawing)
        )
    return [
        (shape, shapely.length(shapely.maximum_inscribed_circle(shape, 0.02))) for shape in shapes
    ]


def faces(drawing):
    """Faces of a drawing of strokes alone."""
    noded = shapely.union_all([shapely.LineString(line) for line in drawing.lines])
    return list(shapely.get_parts(shapely.polygonize(shapely.get_parts(noded))))


@pytest.mark.parametrize(("name", "count"), FIELDS)
def test_known_fields(name, count):
    drawing = read_svg(HABITS / f"{name}.svg", sheet=Sheet())
    found = [
        shape
        for shape, radius in lit(drawing, divided=False)
        if radius >= RADIUS and shape.area >= AREA
    ]
    assert len(found) == count
    if drawing.fields is not None:
        assert all(shapely.contains_xy(field.shape, *field.at) for field in drawing.fields)
        inside = shapely.box(0, 0, drawing.width, drawing.height)
        assert all(shapely.covers(inside, shapely.LineString(line)) for line in drawing.lines)


@pytest.mark.parametrize("renderer", ["resvg", "librsvg"])
def test_every_picture_shows_the_same_fields(renderer):
    missed, invented, must, ours = 0, 0, 0, 0
    for name, _ in FIELDS:
        if (name, renderer) in OWN_WAY:
            continue
        art = (HABITS / f"{name}.svg").read_bytes()
        drawing = read_svg(art, sheet=Sheet())
        counts = agreement(
            art, drawing.width, drawing.height, lit(drawing, divided=False), renderer
        )
        missed, invented = missed + len(counts[0]), invented + len(counts[1])
        must, ours = must + counts[2], ours + counts[3]
    assert must > 150
    assert 1 - missed / must >= 0.99
    assert 1 - invented / ours >= 0.99


def test_every_habit_has_its_file():
    assert sorted(f"{name}.svg" for name, _ in FIELDS) == sorted(
        path.name for path in HABITS.iterdir()
    )
    assert len(FIELDS) >= 40


def test_lines_of_painted_drawings_meet_exactly():
    """Faces of the visible lines are the fields: nothing ends a hair short of what covers it."""
    drawing = read_svg(HABITS / "white-leaves-over-stems.svg", sheet=Sheet())
    middles = faces(drawing)
    poles = [shapely.Point(field.at) for field in drawing.fields]
    holders = [[face.covers(pole) for face in middles].count(True) for pole in poles]
    assert holders == [1] * len(poles)
    assert np.isfinite(sum(face.area for face in middles))
