"""Measuring again what has changed gives what measuring the whole face gives."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import affinity

from filigree.job import CutLoss
from filigree.measure import Asked, measure, measured
from filigree.measure.ascut import as_cut
from filigree.measure.finished import finished
from filigree.measure.nearby import necks_again
from tests.make import pattern

WANTED = 3.6
KNIFE, LASER = CutLoss(kerf=0.0, char=0.0, bevel=0.0), CutLoss(kerf=0.0, char=0.2, bevel=0.0)


def hooked(x, y, turn):
    """A bent opening with a tongue of face inside, which hangs on one neck."""
    body = shapely.box(-6, -6, 6, 6).difference(shapely.box(-2.2, -6, 2.2, 3))
    return affinity.translate(affinity.rotate(body, turn, origin=(0, 0)), x, y)


def shapes(rng, hooks):
    """Openings of many kinds on a jittered grid, some of them inside a tongue of another."""
    out = []
    for i in range(7):
        for j in range(6):
            x, y = 16 * i + rng.uniform(-1.5, 1.5), 16 * j + rng.uniform(-1.5, 1.5)
            if rng.random() < hooks:
                out.append(hooked(x, y, rng.uniform(0, 360)))
            else:
                disc = shapely.Point(x, y).buffer(rng.uniform(3, 6.4), quad_segs=7)
                out.append(affinity.scale(disc, 1, rng.uniform(0.5, 1)))
    wide = shapely.box(112, -8, 140, 90).difference(shapely.box(122, -8, 131, 70))
    return [
        *out,
        wide,
        shapely.Point(126.5, 40).buffer(2.5, quad_segs=7),
        shapely.Point(126.5, 8).buffer(2.5, quad_segs=7),
    ]


def without(face, gone, whole):
    """The face with some of its openings not cut, made anew as a click does."""
    left = tuple(o for o in whole.openings if o.id not in gone)
    holes = shapely.union_all([o.shape for o in left])
    return replace(whole, outline=face.outline, openings=left, land=face.outline.difference(holes))


def told(measures):
    """Necks without rounding; which end of a neck of one ring comes first hangs on where that ring begins."""
    out = []
    for n in measures.necks:
        ends = [tuple(round(v, 9) + 0.0 for v in end) for end in (n.start, n.end)]
        own = len(set(n.between)) == 1
        out.append(
            (round(n.width, 9), sorted(ends) if own else ends, str(n.between), round(n.alone, 6))
        )
    return sorted(out)


def sizes(measures):
    """Openings with their sharpest corner: which of several alike on an even arc are told is rounding."""
    return [
        (o.id, o.area_mm2, o.width, o.disc, o.ends, [round(c.radius, 5) for c in o.corners[:1]])
        for o in measures.openings
    ]


@pytest.mark.parametrize("loss", [KNIFE, LASER], ids=["knife", "laser"])
@pytest.mark.parametrize("hooks", [0.0, 0.3])
def test_a_face_that_changes_here_and_there(loss, hooks):
    rng = np.random.default_rng(round(10 * hooks))
    whole = pattern(*shapes(rng, hooks))
    last, gone, asked = None, set(), Asked()
    for step in range(7):
        gone ^= {int(k) for k in rng.choice([o.id for o in whole.openings], 1 + step % 3)}
        drawn = without(whole, gone, whole)
        last = measured(drawn, loss=loss, wanted=WANTED, asked=asked, last=last)
        face, cut = finished(drawn, loss), as_cut(drawn, loss)
        full = measure(face, wanted=WANTED, asked=asked, cut=cut)
        assert told(last.measures) == told(full)
        assert sizes(last.measures) == sizes(full)
        for name in ("pieces", "section", "tips", "margins", "share", "strands"):
            assert getattr(last.measures, name) == getattr(full, name), name


def test_only_what_is_near_is_searched(monkeypatch):
    """The face given to the search holds the openings round the one that has changed, and no others."""
    searched = []

    def counted(part, *, under):
        searched.append(len(part.openings))
        return real(part, under=under)

    from filigree.measure import nearby

    real = nearby.necks_of
    monkeypatch.setattr(nearby, "necks_of", counted)
    discs = [shapely.Point(9 * i, 9 * j).buffer(2.7) for i in range(12) for j in range(12)]
    whole = pattern(*discs)
    first = measured(whole, loss=KNIFE, wanted=WANTED, asked=Asked())
    again = measured(
        without(whole, {70}, whole), loss=KNIFE, wanted=WANTED, asked=Asked(), last=first
    )
    assert len(searched) == 1
    assert searched[0] <= 49  # at most three rings round one of 144
    assert len(again.measures.necks) < len(first.measures.necks)


def test_the_same_face_is_not_measured_again():
    whole = pattern(*shapes(np.random.default_rng(1), 0.0))
    first = measured(whole, loss=KNIFE, wanted=WANTED, asked=Asked())
    assert measured(whole, loss=KNIFE, wanted=WANTED, asked=Asked(), last=first) is first
    other = measured(whole, loss=KNIFE, wanted=4.2, asked=Asked(), last=first)
    assert other.measures == measure(whole, wanted=4.2)


def test_a_face_in_pieces_is_searched_whole():
    ring = shapely.Point(0, 0).buffer(9).difference(shapely.Point(0, 0).buffer(5))
    discs = [shapely.Point(20, 6 * k).buffer(2) for k in range(6)]
    whole = pattern(ring, *discs)
    first = measured(whole, loss=KNIFE, wanted=WANTED, asked=Asked())
    assert first.measures.pieces == 2
    drawn = without(whole, {whole.openings[-1].id}, whole)
    assert necks_again(drawn, under=7.2, last=whole, known=first.measures.necks) is None
    again = measured(drawn, loss=KNIFE, wanted=WANTED, asked=Asked(), last=first)
    assert again.measures.necks == measure(drawn, wanted=WANTED).necks
    assert math.isclose(again.measures.islands[0].area_mm2, first.measures.islands[0].area_mm2)


def test_the_section_is_left_out_where_it_is_not_asked_for():
    whole = pattern(*shapes(np.random.default_rng(2), 0.0))
    assert measure(whole, wanted=WANTED, asked=Asked()).section is not None
    assert measure(whole, wanted=WANTED, asked=Asked(section=False)).section is None
