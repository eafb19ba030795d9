"""The stack. "row n" is row n of the check table; formulas of beam theory (handbook 5)."""

import math

import pytest

from filigree.errors import FiligreeError
from filigree.job import LeatherKind
from filigree.plies.leathers import LEATHERS, leather_of
from filigree.plies.stack import (
    Layer,
    before_hardening,
    bend_length,
    bonded_stiffness,
    loose_stiffness,
    mass_g,
    neutral_plane,
    stack,
    wrap_lengths,
)
from filigree.units import Span


@pytest.mark.parametrize(
    ("plies", "loose", "bonded"),
    [
        pytest.param([2, 2], 16, 64, id="row 72, ratio 4"),
        pytest.param([2, 1, 1], 10, 64, id="row 73, ratio 6.4, not n squared"),
        pytest.param([1.6, 0.8, 1.6], 8.704, 64, id="handbook 5, ratio 7.353"),
    ],
)
def test_loose_and_bonded_plies(plies, loose, bonded):
    alike = [(1.0, t) for t in plies]
    assert loose_stiffness(alike) == pytest.approx(loose, abs=1e-9)
    assert bonded_stiffness(alike) == pytest.approx(bonded, abs=1e-9)


def test_plies_of_different_stiffness():
    assert neutral_plane([(100, 2), (20, 1)]) == pytest.approx(1.136364, abs=1e-6)  # row 74
    assert bonded_stiffness([(100, 2), (20, 1)]) == pytest.approx(1310.909, abs=1e-3)  # row 74
    three = [(100, 2), (20, 0.7), (100, 2)]
    assert bonded_stiffness(three) == pytest.approx(10354.86, abs=0.01)  # handbook 5
    assert loose_stiffness(three) == pytest.approx(1606.86, abs=0.01)


def test_lengths_round_a_curve():
    half_turn = bend_length(math.pi, 0, 2, k=1.0)  # row 75: middle surfaces 2 mm apart
    assert half_turn == pytest.approx(6.283185, abs=1e-6)
    inner, outer = wrap_lengths(60, [2.0, 1.6], angle=2 * math.pi)  # row 76
    assert (inner, outer) == pytest.approx((194.7787, 206.0885), abs=1e-3)
    assert outer - inner == pytest.approx(11.3097, abs=1e-3)
    assert bend_length(math.pi / 2, 5, 2, k=0.33) == pytest.approx(8.890707, abs=1e-6)  # row 77


def test_mass_of_a_square_foot():
    ounce = 28.349523125  # g, avoirdupois
    foot = 304.8**2
    assert ounce / mass_g(foot, 25.4 / 64, 1.0) == pytest.approx(0.768886, abs=1e-5)  # row 6
    assert 1600 * ounce / mass_g(foot, 25.4 / 6, 1.0) == pytest.approx(115.33, abs=0.01)  # row 7


def test_mass_leaves_the_openings_out():
    assert mass_g(20000 * 0.65, 6 * 25.4 / 64, 0.95) == pytest.approx(29.41, abs=0.02)  # row 8


def test_a_stack_adds_up():
    layers = [
        Layer(ply="face", thickness=Span(2.0, 2.0), area_mm2=100, density=1.0),
        Layer(ply="inlay", thickness=Span(1.0, 1.0), area_mm2=100, density=1.0),
        Layer(ply="backing", thickness=Span(1.0, 1.0), area_mm2=100, density=1.0),
    ]
    found = stack(layers)
    assert (found.loose, found.bonded) == pytest.approx((10 / 8, 64 / 8))
    assert (found.thickness.low, found.plies) == (4.0, 3)
    assert found.total_g == pytest.approx(0.4)


def test_three_plies_at_an_edge_in_ounces():
    """Handbook 3.2: 6 oz face, 2 oz suede, 3 oz back make 11 oz, 4.37 mm."""
    oz = 25.4 / 64
    layers = [
        Layer(ply=name, thickness=Span(w * oz, w * oz), area_mm2=1, density=1)
        for name, w in (("face", 6), ("inlay", 2), ("backing", 3))
    ]
    assert stack(layers).thickness.high == pytest.approx(4.37, abs=0.005)


def test_hardening_shrinks():
    assert before_hardening(180, 0.10) == pytest.approx(200)
    with pytest.raises(ValueError, match="outside"):
        before_hardening(180, 0.5)


def test_leathers_by_name():
    assert leather_of("Pigskin  suede").nap
    own = LeatherKind(name="eel", density=0.9, tannage="veg")
    assert leather_of("eel", [own]).density_middle == 0.9
    with pytest.raises(FiligreeError, match="pigskin suede"):
        leather_of("pigskin suedes")
    assert all(0.3 < kind.density[0] <= kind.density[1] < 1.3 for kind in LEATHERS.values())
