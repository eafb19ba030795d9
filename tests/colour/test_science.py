"""Colour figures. "row n" is row n of the check table; pairs are Sharma, Wu, Dalal 2005, table 1."""

import warnings

import numpy as np
import pytest

from filigree.colour.science import contrast, difference, hex_text, lab, luminance, seen, srgb

PAIRS = [  # L a b, L a b, dE00, id: what it catches
    pytest.param((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425, id="row 87, pair 1"),
    pytest.param((50, 0, 0), (50, -1, 2), 2.3669, id="row 88, pair 7, zero chroma"),
    pytest.param((50, -1, 2), (50, 0, 0), 2.3669, id="row 88, pair 8, swapped"),
    pytest.param((50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792, id="row 89, pair 9"),
    pytest.param((50, 2.49, -0.001), (50, -2.49, 0.0011), 7.2195, id="row 89, pair 11"),
    pytest.param((50, 2.5, 0), (73, 25, -18), 27.1492, id="row 90, pair 17"),
    pytest.param(
        (60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644, id="row 91, pair 25"
    ),
    pytest.param(
        (2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082, id="row 92, pair 34"
    ),
]


def test_grey_has_the_lightness_of_the_standard_and_no_colour():
    assert lab(srgb("#808080")) == pytest.approx([53.585, 0, 0], abs=0.001)  # row 84
    assert luminance(srgb("#808080")) == pytest.approx(0.215861, abs=1e-6)  # row 84
    assert lab(srgb("#ffffff"))[1:] == pytest.approx([0, 0], abs=0.001)  # row 85


def test_saddle_brown_in_lab():
    assert lab(srgb("#8b4513")) == pytest.approx([37.470, 26.443, 40.984], abs=0.01)  # row 86


@pytest.mark.parametrize(("one", "other", "expected"), PAIRS)
def test_ciede2000_of_the_published_pairs(one, other, expected):
    found = difference(np.array(one, float), np.array(other, float))
    assert float(found) == pytest.approx(expected, abs=5e-5)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        pytest.param("#777777", "#ffffff", 4.478, id="row 93, fails 4.5"),
        pytest.param("#767676", "#ffffff", 4.542, id="row 93, passes 4.5"),
        pytest.param("#000000", "#ffffff", 21.0, id="row 94"),
        pytest.param("#ff0000", "#0000ff", 2.149, id="row 94, lighter over darker"),
    ],
)
def test_contrast_ratio(one, other, ratio):
    assert contrast(srgb(one), srgb(other)) == pytest.approx(ratio, abs=0.001)
    assert contrast(srgb(other), srgb(one)) == pytest.approx(ratio, abs=0.001)


def test_red_as_colour_blind_eyes_see_it():
    assert hex_text(seen(srgb("#ff0000"), "deutan")) == "#a39000"  # row 95
    assert hex_text(seen(srgb("#ff0000"), "protan")) == "#6d5f00"  # row 95


@pytest.mark.parametrize("grey", ["#ffffff", "#808080"])
@pytest.mark.parametrize("vision", ["protan", "deutan", "tritan"])
def test_greys_stay_grey(grey, vision):
    assert seen(srgb(grey), vision) * 255 == pytest.approx(srgb(grey) * 255, abs=1)  # row 96


def test_red_and_green_come_close_for_deutan_eyes():
    red, green = srgb("#b22222"), srgb("#228b22")  # row 97
    assert float(difference(lab(red), lab(green))) == pytest.approx(67.01, abs=0.3)
    for vision, expected in (("protan", 22.25), ("deutan", 5.44)):
        found = difference(lab(seen(red, vision)), lab(seen(green, vision)))
        assert float(found) == pytest.approx(expected, abs=0.3)


def test_a_thousand_random_pairs_agree_with_an_outside_colour_library():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library warns of optional parts it does not find
        import colour
    rng = np.random.default_rng(11)
    one, other = rng.random((2, 1000, 3))
    matrix = np.array(  # sRGB to XYZ at 7 decimals (handbook 7.1); the library's own has 4
        [
            [0.4124564, 0.3575761, 0.1804375],
            [0.2126729, 0.7151522, 0.0721750],
            [0.0193339, 0.1191920, 0.9503041],
        ]
    )
    white = colour.XYZ_to_xy(matrix.sum(axis=1))
    labs = [colour.XYZ_to_Lab(colour.models.eotf_sRGB(c) @ matrix.T, white) for c in (one, other)]
    outside = colour.delta_E(*labs, method="CIE 2000")
    assert difference(lab(one), lab(other)) == pytest.approx(outside, abs=1e-3)
