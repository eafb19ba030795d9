"""Page, transforms and units. "row n" is row n of the check table, which holds the source."""

import pytest

from filigree.drawing.numbers import MM_PER_PX, length
from filigree.drawing.svg import read_svg
from filigree.drawing.transform import apply, fit, read_transform
from filigree.errors import FiligreeError
from filigree.job import Sheet

SPACE = 'xmlns="http://www.w3.org/2000/svg"'


def read(attributes, body, **sheet):
    return read_svg(f"<svg {SPACE} {attributes}>{body}</svg>".encode(), sheet=Sheet(**sheet))


LINE = '<line x1="1" x2="9" y1="5" y2="5" stroke="black" stroke-width=".1"/>'


def test_one_mm_in_px_and_one_inch_in_pt():
    assert pytest.approx(3.7795276, abs=1e-6) == 1 / MM_PER_PX  # row 13
    assert length("1in") / length("1pt") == pytest.approx(72, abs=1e-6)  # row 13


def test_width_without_view_box():
    drawing = read(
        'width="210mm" height="10mm"', '<line x2="793.7008" y1="1" y2="1" stroke="black"/>'
    )
    assert drawing.lines[0][1, 0] == pytest.approx(210, abs=1e-4)  # row 14


FITS = [  # viewBox 0 0 200 200 on 100 x 50 mm
    pytest.param("", (25, 0), (0.25, 0.25), id="row 15"),
    pytest.param("xMidYMid slice", (0, -25), (0.5, 0.5), id="row 16"),
    pytest.param("none", (0, 0), (0.5, 0.25), id="row 17"),
    pytest.param("xMinYMax meet", (0, 0), (0.25, 0.25), id="from left, SVG 2 8.7"),
]


@pytest.mark.parametrize(("aspect", "origin", "scale"), FITS)
def test_aspect(aspect, origin, scale):
    matrix = fit((0, 0, 200, 200), 100, 50, aspect)
    assert apply(matrix, (0, 0)) == pytest.approx(origin, abs=1e-9)
    assert (matrix[0], matrix[3]) == pytest.approx(scale, abs=1e-9)


def test_view_box_with_an_origin():
    body = '<path d="M0 0L5 5" stroke="black"/>'
    drawing = read('width="20mm" height="20mm" viewBox="-10 -10 20 20"', body)
    assert drawing.lines[0][0] == pytest.approx((10, 10), abs=1e-9)  # row 18


def test_order_of_transforms():
    assert apply(read_transform("translate(10,0) scale(2)"), (1, 1)) == pytest.approx(
        (12, 2), abs=1e-12
    )  # row 19
    assert apply(read_transform("rotate(90 5 5)"), (6, 5)) == pytest.approx((5, 6), abs=1e-12)


def test_transform_that_is_none_is_told():
    drawing = read('viewBox="0 0 10 10" width="10mm"', LINE.replace("/>", ' transform="scal(2)"/>'))
    assert drawing.skipped[0].what == "a transform of line"


WORDS = [
    ('viewBox="0 0 10 10"', {}, "viewBox alone without a unit"),
    ('viewBox="0 0 10 10" width="10"', {}, "72 or 90"),
    ('viewBox="0 0 10 10" width="10px"', {}, "in px"),
    ('viewBox="0 0 10 10" width="2cm"', {}, "width and viewBox in cm"),
    ('viewBox="0 0 10 10" width="100%"', {}, "viewBox alone"),
    ('viewBox="0 0 10 10"', {"width": 80.0}, "--width 80 mm"),
    ('viewBox="0 0 10 10"', {"art_width": 80.0}, "--art-width 80 mm"),
    ("", {}, "states no size"),
]


@pytest.mark.parametrize(("attributes", "sheet", "words"), WORDS)
def test_where_the_scale_came_from(attributes, sheet, words):
    assert words in read(attributes, LINE, **sheet).scale_from


def test_wished_page_and_wished_art():
    page = read('viewBox="0 0 10 20"', LINE, width=50.0)
    assert (page.width, page.height) == pytest.approx((50, 100), abs=1e-9)
    art = read('viewBox="0 0 10 20"', LINE, art_width=40.0)
    assert (art.width, art.height) == pytest.approx((50, 100), abs=1e-9)
    assert art.lines[0][:, 0] == pytest.approx((5, 45), abs=1e-9)


REFUSED = [
    ('viewBox="0 0 10 10"', {"width": 50.0, "height": 70.0}, "only one of width and height"),
    ('width="0.1mm" height="5mm"', {}, "outside 1 mm to 5 m"),
    ('width="6m" height="6m" viewBox="0 0 10 10000000"', {}, "outside 1 mm to 5 m"),
    ('width="1e300mm" height="1e300mm"', {}, "outside 1 mm to 5 m"),
    ('width="90000mm" viewBox="0 0 90 6"', {}, "would be 90000 x 6000 mm, outside"),
]


@pytest.mark.parametrize(("attributes", "sheet", "words"), REFUSED)
def test_sizes_refused(attributes, sheet, words):
    with pytest.raises(FiligreeError, match=words):
        read(attributes, LINE, **sheet)


def test_lines_beyond_the_page_are_cut_off():
    drawing = read(
        'viewBox="0 0 10 10" width="10mm"',
        '<path d="M-5 5H15" stroke="red"/><path d="M0-5H9" stroke="red"/>',
    )
    assert len(drawing.lines) == 1
    assert drawing.lines[0][:, 0] == pytest.approx((0, 10), abs=1e-9)
