"""Equal fields get one answer; where all of a round touch one another, that answer is leather."""

import itertools

import numpy as np
import pytest
from shapely import LineString, Polygon, box

from filigree.regions.background.choose import choose
from filigree.regions.background.decide import decide
from filigree.regions.background.look import look
from filigree.regions.divide import divide
from tests.make.families.guests_kit import lid
from tests.make.families.scene import on_page

PLATE = box(0, 0, 120, 70)
CELL = np.array([(9 * np.cos(a), 9 * np.sin(a)) for a in np.arange(6) * np.pi / 3])


def comb(shut):
    """A plate with six cells, of which some are folded in three."""
    spots = list(itertools.product((25, 60, 95), (18, 52)))
    cells = [Polygon(CELL + spot) for spot in spots]
    folded = [line for k in shut for line in lid(cells[k])]
    lines = [LineString(p.exterior) for p in (PLATE, *cells)] + [LineString(f) for f in folded]
    bare = [c for k, c in enumerate(cells) if k not in shut]
    return on_page("comb", PLATE, lines, bare).drawing


@pytest.mark.parametrize("shut", [(0,), (3,), (1, 4)])
def test_three_equal_fields_about_one_point_stay(shut):
    drawing = comb(shut)
    found = divide(drawing)
    assert len(found.regions) == 1 + 6 + 2 * len(shut)
    opened = [
        r.area_mm2
        for r, c in zip(found.regions, choose(found, drawing), strict=True)
        if c.kind == "background"
    ]
    assert opened
    assert opened == pytest.approx([Polygon(CELL).area] * len(opened), rel=1e-3)


def test_whatever_speaks_for_a_round_it_stays():
    """Scores that would open every field open none of three that nothing tells apart."""
    found = divide(comb((0,)))
    seen = look(found)
    none = np.zeros(len(found.regions), dtype=bool)
    area = np.array([r.area_mm2 for r in found.regions])
    shut = area > Polygon(CELL).area * 1.5  # the plate
    chosen = decide(np.ones(len(area)), seen, opened=none, shut=shut)
    third = np.isclose(area, Polygon(CELL).area / 3, rtol=1e-3)
    assert third.sum() == 3
    assert not chosen[third].any()
    assert chosen[~third & ~shut].all()
