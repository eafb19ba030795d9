"""Strokes drawn over one another many times divide a drawing as one stroke does."""

import numpy as np
import pytest

from filigree.regions.chains import pack
from filigree.regions.crowds import thin_out
from filigree.regions.divide import divide
from filigree.regions.runs import runs_of
from tests.regions.draw import box, circle, drawing, lattice


def wavering(seed, count, *, spread=0.03):
    """Strokes across a sheet of 60 x 40, each a little off the last."""
    rng = np.random.default_rng(seed)
    x = np.linspace(-1, 61, 120)
    for _ in range(count):
        lift, bend, turn = rng.normal(0, spread, 3)
        yield np.column_stack([x, 20 + 6 * np.sin(x / 9 + turn / 4) + lift + bend * np.sin(x / 3)])


@pytest.mark.parametrize("count", [30, 90])
def test_a_crowd_of_strokes_is_one_line(count):
    found = divide(drawing([box(0, 0, 60, 40), *wavering(count, count)]))
    large = [r.area_mm2 for r in found.regions if r.area_mm2 > 20]
    x = np.linspace(0, 60, 2000)
    above = float(np.trapezoid(20 + 6 * np.sin(x / 9), x))
    assert len(large) == 2
    assert min(large) == pytest.approx(min(above, 2400 - above), abs=60 * 0.15)
    assert sum(r.area_mm2 for r in found.regions) == pytest.approx(2400, abs=0.1)
    assert sum(m.length for m in found.tidied if m.what == "lines merged") > 0.5 * 60 * count


def test_a_crowd_of_rings_is_one_ring():
    rng = np.random.default_rng(5)
    rings = [circle(30 + rng.normal(0, 0.02), 30, 20, 90) for _ in range(60)]
    found = divide(drawing([box(0, 0, 60, 60), *rings]))
    large = [r.area_mm2 for r in found.regions if r.area_mm2 > 20]
    assert sorted(large) == pytest.approx([np.pi * 400, 3600 - np.pi * 400], abs=15)


def test_crowds_are_thinned_before_their_crossings_are_made():
    lines = pack(list(wavering(1, 90)))
    thinned = thin_out(lines, runs_of(lines), within=0.08)
    assert len(thinned.chains.xy) < len(lines.xy) / 5
    # what is left out and what stays make up what was drawn, but for the ways from one line to another
    stays = np.hypot(*np.diff(thinned.chains.xy, axis=0).T)
    ends = thinned.chains.lasts[:-1]
    stays = np.delete(stays, ends).sum()
    drawn = sum(np.hypot(*np.diff(xy, axis=0).T).sum() for xy in wavering(1, 90))
    assert stays + thinned.length.sum() == pytest.approx(drawn, rel=0.07)


@pytest.mark.parametrize("lines", [lattice(30, 30, 1.0), lattice(60, 60, 0.3)])
def test_close_lines_that_cross_are_no_crowd(lines):
    packed = pack(lines)
    assert thin_out(packed, runs_of(packed), within=0.08) is None
