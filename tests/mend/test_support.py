"""Long slender strands are tied half-way when the maker says how long they may be (handbook 2.2)."""

import math

import pytest
import shapely
from shapely import affinity

from filigree.checks import judge
from filigree.errors import FiligreeError
from filigree.geometry.bends import tight_bends
from filigree.geometry.rings import rings_of
from filigree.job import CutLoss, Job, Mend, dump_job, load_job
from filigree.measure import measure
from filigree.measure.finished import finished
from filigree.measure.necks import necks_of
from filigree.measure.openings import CORNER
from tests.make.shapes import pattern, polygon, rectangle
from tests.mend.test_mend import limits, mended

LONG = pattern(rectangle(0, 0, 60, 15), rectangle(0, 19.2, 60, 25))  # 4.2 mm wide, 60 mm long
ALIKE = pattern(rectangle(0, 0, 60, 15), rectangle(0, 19.2, 60, 15))


def slender(face, most=10):
    found = judge(measure(face, wanted=3.6), limits(strand=most))
    return [f for f in found if f.check == "strand"]


def wkb(done):
    return [o.shape.wkb for o in done.pattern.openings]


def test_a_slender_strand_is_tied_half_way_across_the_narrower_opening():
    assert slender(LONG)
    done = mended(LONG, strand=10)
    assert slender(done.pattern) == []
    (tie,) = done.changes
    assert tie.how == "support"
    assert tie.at == pytest.approx((30, 15), abs=0.5)  # the middle, by symmetry
    assert tie.end == pytest.approx((30, 0), abs=0.5)
    assert [i for i, _ in tie.lost] == [1]
    assert len(done.pattern.openings) == 3
    assert min(n.width for n in necks_of(done.pattern, under=6)) >= limits().bridge.good - 1e-6


def test_a_tie_is_a_strip_with_four_hollows():
    """Each hollow of radius r in a right angle adds (1 - pi/4) r2 (closed form)."""
    tie = mended(LONG, strand=10).changes[0]
    radius = 0.6 * tie.after
    assert tie.added.area == pytest.approx(
        15 * tie.after + 4 * (1 - math.pi / 4) * radius**2, rel=2e-3
    )


def test_a_tie_makes_no_tight_corner():
    before = {tuple(p) for o in LONG.openings for p in shapely.get_coordinates(o.shape).tolist()}
    for opening in mended(LONG, strand=10).pattern.openings:
        rings = rings_of(opening.shape)
        found = tight_bends(rings, under=limits().corner - 0.01, turn=CORNER)
        places = rings.xy[found.vertex].tolist()
        assert [p for p in places if tuple(p) not in before] == []


def test_nothing_is_tied_unless_it_is_asked_for():
    assert slender(LONG)
    assert mended(LONG).changes == ()


def test_both_sides_are_tied_where_they_are_alike():
    done = mended(ALIKE, strand=10)
    assert sorted(i for c in done.changes for i, _ in c.lost) == [1, 2]
    cut = shapely.union_all([o.shape for o in done.pattern.openings])
    flipped = affinity.scale(cut, 1, -1, origin=(0, 17.1))
    assert cut.symmetric_difference(flipped).area < 1e-3 * cut.area


def test_a_mirror_image_is_tied_alike():
    left = [
        polygon((-5, 0), (-65, 4), (-65, 19), (-5, 15)),
        polygon((-5, 19), (-65, 23), (-65, 48), (-5, 44)),
    ]
    whole = [*left, *(affinity.scale(p, -1, 1, origin=(0, 0)) for p in left)]
    drawn = pattern(*whole)
    assert len(slender(drawn)) >= 2
    done = mended(drawn, strand=10)
    cut = shapely.union_all([o.shape for o in done.pattern.openings])
    flipped = affinity.scale(cut, -1, 1, origin=(0, 0))
    assert done.changes
    assert cut.symmetric_difference(flipped).area < 1e-3
    assert slender(done.pattern) == []


def test_the_list_gives_the_same_bytes_and_mended_is_a_fixed_point():
    once = mended(LONG, strand=10)
    again = mended(LONG, listed=once.entries)  # a list needs no limit of its own
    assert wkb(again) == wkb(once)
    assert again.entries == once.entries
    assert mended(once.pattern, strand=10).pattern is once.pattern


def test_the_list_is_read_back_from_a_job(tmp_path):
    entries = mended(LONG, strand=10).entries
    file = tmp_path / "job.toml"
    file.write_text(dump_job(Job(mend=entries)), encoding="utf-8")
    assert load_job(file).mend == entries


def test_a_tie_left_out_stays_as_drawn_and_is_said():
    entry = mended(LONG, strand=10).entries[0]
    done = mended(LONG, strand=10, listed=[Mend(how="support", at=entry.at, as_drawn=True)])
    assert done.pattern is LONG
    assert ["long strand" in u.why for u in done.unmended] == [True]


@pytest.mark.parametrize(
    ("at", "end"),
    [((30.0, 50.0), (30.0, 70.0)), ((30.0, 15.0), (30.0, 8.0)), ((30.0, 15.0), None)],
    ids=["off the piece", "ends inside the opening", "no end"],
)
def test_an_entry_that_fits_nowhere_is_named(at, end):
    with pytest.raises(FiligreeError, match=r"entry 1 \(support at 30, "):
        mended(LONG, listed=[Mend(how="support", at=at, end=end, width=3.6)])


def test_an_opening_is_not_tied_beyond_its_share():
    done = mended(LONG, strand=10, change=0.03)
    assert done.pattern is LONG
    assert [u.wanted > u.width for u in done.unmended] == [True]


def test_char_is_made_up_for():
    loss = CutLoss(kerf=0.2, char=0.2, bevel=0)
    done = mended(LONG, strand=10, loss=loss)
    assert any(c.how == "support" for c in done.changes)
    face = finished(done.pattern, loss)
    assert slender(face) == []
    assert min(n.width for n in necks_of(face, under=6)) >= limits().bridge.good - 1e-6
