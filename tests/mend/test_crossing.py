"""Bridges drawn by hand across openings. Widths and areas are closed forms of the builders."""

import pytest
import shapely
from shapely import Point

from filigree import pipeline
from filigree.errors import FiligreeError
from filigree.job import Bridge, Job, load_job
from filigree.measure.necks import necks
from filigree.mend.crossing import bridged
from tests.make import pattern, rectangle


def two_parts(bridge, *, width=4.0):
    return bridged(pattern(rectangle(-20, -5, 40, 10)), [bridge], width=width, first_free=9)


def test_it_parts_the_opening_and_is_as_wide_as_asked():
    done = two_parts(Bridge(start=(0, -6), end=(0, 6), width=3.0))
    assert [o.id for o in done.openings] == [1, 9]
    found = [n.width for n in necks(done.land, under=3.5)]
    assert min(found) == pytest.approx(3.0, abs=1e-6)
    assert sum(o.area_mm2 for o in done.openings) < 400 - 30  # and hollows where it joins
    assert shapely.area(done.land) == pytest.approx(
        shapely.area(done.outline) - sum(o.area_mm2 for o in done.openings)
    )


def test_drawn_short_it_runs_on_to_the_leather():
    whole = two_parts(Bridge(start=(0, -6), end=(0, 6)))
    short = two_parts(Bridge(start=(0, -1), end=(0, 2)))
    assert shapely.equals_exact(whole.land, short.land, tolerance=1e-9)


def test_without_a_width_it_is_as_wide_as_wanted():
    done = two_parts(Bridge(start=(0, -6), end=(0, 6)), width=5.0)
    assert min(n.width for n in necks(done.land, under=6)) == pytest.approx(5.0, abs=1e-6)


def test_two_bridges_give_three_openings_with_numbers_of_their_own():
    both = [Bridge(start=(x, -6), end=(x, 6), width=2.0) for x in (-8, 8)]
    done = bridged(pattern(rectangle(-20, -5, 40, 10)), both, width=4.0, first_free=9)
    assert [o.id for o in done.openings] == [1, 9, 10]


def test_one_that_crosses_nothing_is_refused_with_its_number():
    with pytest.raises(FiligreeError, match=r"bridge 1 .* crosses no opening"):
        two_parts(Bridge(start=(0, 8), end=(10, 8)))


def test_it_crosses_only_what_is_drawn_over():
    two = pattern(rectangle(-5, -5, 10, 10), rectangle(15, -5, 10, 10))
    done = bridged(two, [Bridge(start=(-3, 0), end=(3, 0), width=2.0)], width=4.0, first_free=9)
    assert len(done.openings) == 3
    assert next(o for o in done.openings if o.id == 2).shape is two.openings[1].shape


def test_make_repeats_it_with_mending_on_top(tmp_path):
    art = tmp_path / "slots.svg"
    art.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="60mm" viewBox="0 0 120 60">'
        '<g fill="none" stroke="#000" stroke-width="0.3"><rect x="2" y="2" width="116" height="56"/>'
        '<rect class="open" x="15" y="15" width="90" height="12"/>'
        '<rect class="open" x="15" y="28" width="90" height="12"/></g></svg>',
        encoding="utf-8",
    )
    job = Job(bridge=(Bridge(start=(60.0, 14.0), end=(60.0, 41.0)),))
    planned = pipeline.plan(art, job)
    assert len(planned.worked.pattern.openings) == 4
    assert planned.worked.pattern.land.intersects(Point(60, 21))
    mended = pipeline.make(art, tmp_path / "one", job, mending=True)
    assert mended.worked.mended.changes
    assert len({o.id for o in mended.worked.pattern.openings}) == 4
    pipeline.make(art, tmp_path / "two", load_job(tmp_path / "one" / "job.toml"))
    one, two = (
        {p.name: p.read_bytes() for p in (tmp_path / name).iterdir()} for name in ("one", "two")
    )
    assert one == two
    assert "[[bridge]]" in one["job.toml"].decode()
