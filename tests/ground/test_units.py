"""Units. "row n" is row n of the handbook's check table, which holds the source."""

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from filigree import units
from filigree.errors import FiligreeError
from filigree.units import Span, mm_down, parse_length, parse_thickness

THICKNESSES = [  # text, low mm, high mm
    pytest.param("8 oz", 3.175, 3.175, id="row 1, not 0.4 mm an ounce"),
    pytest.param("9 iron", 4.7625, 4.7625, id="row 3, iron is not ounce"),
    pytest.param("4-5 oz", 1.5875, 1.984375, id="row 5, not -1"),
    pytest.param("4/5 oz", 1.5875, 1.984375, id="row 5, not 0.8"),
    pytest.param("4/5", 1.5875, 1.984375, id="handbook 1.1, without oz"),
    pytest.param("4-5", 1.5875, 1.984375, id="handbook 1.1, without oz, dash"),
    pytest.param("4 to 5", 1.5875, 1.984375, id="handbook 1.1, a to b"),
    pytest.param("4 oz to 5 oz", 1.5875, 1.984375, id="unit twice"),
    pytest.param("4\u20135oz", 1.5875, 1.984375, id="long dash"),
    pytest.param("  4 -  5   OZ ", 1.5875, 1.984375, id="spaces and capitals"),
    pytest.param("1/8 in", 3.175, 3.175, id="an inch fraction"),
    pytest.param('1/8"', 3.175, 3.175, id="an inch sign"),
    pytest.param("3/32-1/8 in", 2.38125, 3.175, id="two inch fractions"),
    pytest.param("1/16 in to 0.125 in", 1.5875, 3.175, id="fraction to decimal"),
    pytest.param("3.2 mm", 3.2, 3.2, id="mm"),
    pytest.param("1.6-2.0mm", 1.6, 2.0, id="mm range"),
    pytest.param("1,6-2,0 mm", 1.6, 2.0, id="decimal comma"),
    pytest.param("0.2 cm", 2.0, 2.0, id="cm"),
    pytest.param("5 - 5.5 oz", 1.984375, 2.1828125, id="decimals"),
    pytest.param("2 oz - 1 mm", 0.79375, 1.0, id="two units"),
]
BAD_THICKNESSES = [
    *(
        "",
        " ",
        "oz",
        "leather",
        "-4 oz",
        "4--5 oz",
        "5-4 oz",
        "8/1",
        "nan oz",
        "inf mm",
        "1e3 mm",
        "0 oz",
    ),
    *(
        "0-5 oz",
        "4-5-6 oz",
        "4-5 px",
        "4 kg",
        "4 oz veg",
        "1/0 in",
        "3/2 in",
        "0.05 mm",
        "21 mm",
        "60 oz",
    ),
    *(
        "2.4",
        "5",
        "\u0664-\u0665 oz",
        "4-5 oz\x00",
        "4" * 400 + " oz",
        "\u00bd oz",
        "1 1/2 oz",
        "1,2,3 mm",
    ),
]
LENGTHS = [
    *(
        ("12", 12.0),
        ("12 mm", 12.0),
        ("2.5cm", 25.0),
        ("0.3 m", 300.0),
        ("8.25 in", 209.55),
        ("72pt", 25.4),
    ),
    *(
        ("1/8 in", 3.175),
        ("8 1/4 in", 209.55),
        ("8-1/4in", 209.55),
        ('2"', 50.8),
        (".5", 0.5),
        ("12,5", 12.5),
    ),
]
BAD_LENGTHS = [
    *(
        "",
        "mm",
        "-3",
        "0",
        "0 mm",
        "nan",
        "inf",
        "1e2",
        "12 px",
        "12 furlongs",
        "5001",
        "6 m",
        "1/2",
        "1/2 mm",
    ),
    *("1/0 in", "1 2", "3-4", "9" * 500, "12\nmm\nx"),
]


@pytest.mark.parametrize(("text", "low", "high"), THICKNESSES)
def test_thickness_is_read_as_leather_is_sold(text, low, high):
    span = parse_thickness(text)
    assert (span.low, span.high) == (pytest.approx(low, abs=1e-9), pytest.approx(high, abs=1e-9))


@pytest.mark.parametrize("text", BAD_THICKNESSES)
def test_a_bad_thickness_is_refused_in_one_line(text):
    with pytest.raises(FiligreeError) as caught:
        parse_thickness(text, where="--face")
    line = str(caught.value)
    assert line.startswith("--face: ")
    assert "\n" not in line
    assert line.isprintable()
    assert len(line) < 300
    assert caught.value.remedy


@pytest.mark.parametrize(("text", "expected"), LENGTHS)
def test_length(text, expected):
    assert parse_length(text) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("text", BAD_LENGTHS)
def test_a_bad_length_is_refused(text):
    with pytest.raises(FiligreeError, match=r"^--width: length") as caught:
        parse_length(text, where="--width")
    assert "\n" not in str(caught.value)


def test_a_figure_without_unit_is_told_both_ways():
    with pytest.raises(FiligreeError, match=r"write '2\.4 mm' or '2\.4 oz'"):
        parse_thickness("2.4")


@pytest.mark.parametrize(
    ("value", "expected", "tolerance"),
    [
        pytest.param(16 * units.MM_PER_OUNCE / units.MM_PER_INCH, 0.25, 1e-12, id="row 2"),
        pytest.param(9 * units.MM_PER_IRON / units.MM_PER_OUNCE, 12, 1e-9, id="row 3"),
        pytest.param(8 * units.MM_PER_IRON / units.MM_PER_OUNCE, 10.6667, 1e-4, id="row 4"),
        pytest.param(300 * 450 / units.MM2_PER_FT2, 1.453128, 1e-5, id="row 9, square feet"),
        pytest.param(300 * 450 / units.MM2_PER_DM2, 13.5, 1e-5, id="row 9, dm2"),
    ],
)
def test_conversions(value, expected, tolerance):
    assert value == pytest.approx(expected, abs=tolerance)


def test_middle_and_upper_differ():
    span = parse_thickness("5-6 oz")
    assert span.high == pytest.approx(2.381, abs=1e-3)  # row 100
    assert span.middle == pytest.approx(5.5 * 25.4 / 64, abs=1e-9)


@given(st.floats(0, 1e4, allow_nan=False))
def test_a_width_is_never_printed_wider(value):
    printed = float(mm_down(value))
    assert printed <= value + 5e-7  # the noise of geometry
    assert value - printed < 0.01 + 1e-9


@given(
    low=st.integers(1, 20), more=st.integers(0, 20), sep=st.sampled_from(["-", "/", " to ", " - "])
)
def test_a_range_reads_back_as_printed(low, more, sep):
    span = parse_thickness(f"{low}{sep}{low + more} oz")
    assert parse_thickness(span.as_oz()) == Span(span.low, span.high)


@given(st.text(max_size=120))
def test_any_text_is_read_or_refused(text):
    for parse in (parse_thickness, parse_length):
        with contextlib.suppress(FiligreeError):
            parse(text)


@given(st.floats(0.001, 5000))
def test_lengths_print_and_read_back(value):
    assert math.isclose(parse_length(f"{value:.6f} mm"), value, abs_tol=1e-6)
