"""Papers: the tooling pattern. Directions are those of `[cut]`; what a bevel leaves is what is punched."""

import re

import numpy as np
import pytest
import shapely
from shapely import Point

from filigree.pipeline import plan, with_bench
from filigree.plies.stock import stock_of
from tests.plies.test_build import job_of

TALL = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">'
    '<g fill="none" stroke="#000" stroke-width=".3"><rect x="5" y="5" width="{a}" height="{b}"/></g>'
    '<rect x="20" y="20" width="12" height="12" fill="#ccc" stroke="#000" stroke-width=".3"/></svg>'
)


def bench_of(folder, width, height, **settings):
    art = folder / "plate.svg"
    art.write_text(TALL.format(w=width, h=height, a=width - 10, b=height - 10))
    return with_bench(plan(art, job_of(**settings))).worked


def paper(worked, name):
    return next(p for p in worked.bench.papers if p.ply == name)


def crosses(sheet):
    """Middles of the two crosses, from the lines of the file."""
    (marks,) = (c.paths for c in sheet.cuts if c.name == "stretch-marks")
    middles = np.array([p.cubics.reshape(-1, 2)[[0, -1]].mean(axis=0) for p in marks])
    return middles[0], middles[-1]


@pytest.mark.parametrize(("width", "height", "axis"), [(70, 140, 1), (140, 70, 0)])
def test_along_on_the_tooling_pattern_is_along_in_the_settings(tmp_path, width, height, axis):
    sheet = paper(bench_of(tmp_path, width, height), "transfer")
    one, two = crosses(sheet)
    told = re.search(r"([\d.]+) mm along the piece .*? ([\d.]+) mm across", sheet.note)
    apart = np.abs(two - one)
    assert [float(t) for t in told.groups()] == pytest.approx(
        [apart[axis], apart[1 - axis]], abs=0.06
    )
    plain, smaller = (
        extent(bench_of(tmp_path, width, height, cut={"stretch_along": by})) for by in (1.0, 1.05)
    )
    assert plain[axis] / smaller[axis] == pytest.approx(1.05)
    assert plain[1 - axis] == pytest.approx(smaller[1 - axis])


def extent(worked):
    """Width and height of the opening as cut."""
    (cut,) = (c for p in worked.plies if p.ply == "face" for c in p.cuts if c.name == "openings")
    return np.ptp(cut.paths[0].cubics.reshape(-1, 2), axis=0)


@pytest.mark.parametrize("curve", [None, 70.0])
def test_the_crosses_are_clear_of_pins_and_outline(tmp_path, curve):
    worked = bench_of(tmp_path, 140, 90, use={"curve": curve} if curve else {})
    stock = stock_of(worked.pattern.outline, worked.job)
    for spot in crosses(paper(worked, "transfer")):
        cross = Point(spot - np.array(stock.offset)).buffer(1.5)
        assert stock.blank.contains(cross)
        assert not cross.intersects(worked.pattern.outline)
        assert cross.distance(shapely.MultiPoint(stock.pins)) > stock.pin / 2
