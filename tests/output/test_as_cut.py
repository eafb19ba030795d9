"""With a bevel every file speaks of the openings as they are cut on the grain side (handbook 2.3, 2.5)."""

import math
import re

import msgspec
import numpy as np
import pytest
import shapely
from shapely import Point, Polygon

from filigree import pipeline
from filigree.geometry.bezier import points_at
from filigree.job import Job

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="140mm" height="80mm" viewBox="0 0 140 80">'
    '<g fill="none" stroke="#000" stroke-width=".3"><path d="M2 2H138V78H2Z"/></g>'
    '<g fill="#ccc" stroke="#000" stroke-width=".3"><path d="M20 20H40V29H60V20H80V42H60V30.4H40V42H20Z"/>'
    '<path d="M95 20H120V45H95Z"/><path d="M20 55H60V56.2H20Z"/></g></svg>'
)  # a dumbbell whose waist of 1.4 mm a bevel of 0.8 mm closes, a square, a slit of 1.2 mm that it closes


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    art = tmp_path_factory.mktemp("cut") / "plate.svg"
    art.write_text(SVG)

    def of(**tables):
        job = msgspec.convert({"face": {"thickness": "5-6 oz"}, **tables}, Job)
        planned = pipeline.with_bench(pipeline.plan(art, job))
        return planned, pipeline.files_of(planned)

    return of


@pytest.fixture(scope="module")
def bevelled(made):
    return made(cut={"bevel": 0.8})


def rings(worked, ply, name):
    plies = (*worked.plies, *worked.bench.papers)
    (sheet,) = (p for p in plies if p.ply == ply)
    x, y = sheet.offset
    steps = np.linspace(0, 1, 16, endpoint=False)
    return [
        Polygon(
            np.vstack([points_at(path.cubics, np.full(len(path.cubics), t)) for t in steps])
            .reshape(16, -1, 2)
            .transpose(1, 0, 2)
            .reshape(-1, 2)
            - (x, y)
        )
        for cut in sheet.cuts
        if cut.name.startswith(name)
        for path in cut.paths
    ]


def test_count_area_and_share_are_those_of_the_face_that_is_cut(bevelled):
    planned, files = bevelled
    cut = rings(planned.worked, "face", "openings")
    area = sum(ring.area for ring in cut)
    report = planned.report
    assert len(cut) == 3 == report.holes  # by hand: two halves of the dumbbell and the square
    assert [o.holes for o in report.openings] == [2, 1, 0]
    (closed,) = (f for f in report.findings if f.check == "opening-closed")
    assert (
        f"Opening {report.openings[2].id} is nowhere wider than its two bevels, 1.6 mm"
        in closed.say
    )
    assert area == pytest.approx(sum(o.area_mm2 for o in report.openings), abs=0.05)
    assert area == pytest.approx(2 * 18.4 * 20.4 + 23.4**2, abs=0.05)
    whole = planned.worked.pattern.outline.area
    said = f"cut 0.8 mm inside the drawn lines as 3 holes on the grain side, {100 * area / whole:.1f} % of"
    words = re.sub(r"<[^>]*>|\s+", " ", files["proof.svg"].decode())
    assert said in planned.as_text()
    assert said in re.sub(r"\s+", " ", words)
    assert said in files["proof.html"].decode()
    assert f"as 3 holes on the grain side: {area / 1e4:.2f} dm2" in files["sheet.html"].decode()
    assert "Closed by the bevel, so not cut: number" in files["sheet.html"].decode()
    (face,) = (p for p in report.plies if p.ply == "face")
    assert face.area_mm2 == pytest.approx(whole - area, abs=0.05)


def test_every_punch_lies_in_an_opening_of_the_face_that_is_cut(bevelled):
    planned, _ = bevelled
    worked = planned.worked
    holes = shapely.union_all(rings(worked, "face", "openings")).buffer(0.01)
    discs = rings(worked, "transfer", "punch-")
    assert discs
    assert all(holes.contains(disc) for disc in discs)
    assert sum(p.count for p in planned.report.bench.punches) == len(discs)


def test_shading_is_what_comes_out(bevelled):
    worked = bevelled[0].worked
    holes = shapely.union_all(rings(worked, "face", "openings")).buffer(0.02)
    (sheet,) = (p for p in worked.bench.papers if p.ply == "transfer")
    (shading,) = (c for c in sheet.cuts if c.name == "shading")
    ends = np.vstack([p.cubics.reshape(-1, 2)[[0, -1]] for p in shading.paths]) - sheet.offset
    assert all(holes.covers(Point(end)) for end in ends)


@pytest.mark.parametrize("limit", [0.5, 1.0])
def test_no_punch_is_smaller_than_the_check_asks_for(made, limit):
    planned, files = made(limits={"corner": limit})
    asked = {
        float(size)
        for f in planned.report.findings
        for size in re.findall(r"punch(?:es)? of at least ([\d.]+) mm", f.say)
    }
    assert asked == {2 * limit}
    assert min(p.diameter_mm for p in planned.report.bench.punches) >= 2 * limit
    assert "up to half the thickness of the face" in files["sheet.html"].decode()


def test_a_beam_wants_no_punches(made):
    planned, files = made(cut={"way": "laser", "bevel": 0.8})
    assert planned.report.bench.punches == ()
    assert b'id="punch-' not in files["transfer.svg"]
    assert all("punch" not in f.say for f in planned.report.findings)


def test_a_cut_file_says_where_its_paths_lie(made):
    for bevel, said in (
        (0.0, "on the drawn line; the paths lie 0.1 mm inside it, half the kerf."),
        (
            0.8,
            "0.8 mm inside the drawn line; the paths lie another 0.1 mm inside it, half the kerf.",
        ),
    ):
        planned, files = made(cut={"way": "laser", "kerf": 0.2, "bevel": bevel})
        assert said in files["face.svg"].decode()
        paths = rings(planned.worked, "face", "openings")
        square = min(paths, key=lambda ring: abs(ring.centroid.x - 107.5))
        assert math.sqrt(square.area) == pytest.approx(25 - 2 * (bevel + 0.1), abs=1e-3)


@pytest.mark.parametrize("cut", [{"bevel": 1.2}, {"bevel": 0.8, "way": "laser"}])
def test_openings_are_judged_as_they_are_cut(made, cut):
    """A bevel is no rounding of a corner, and an opening is as wide as its cut."""
    planned, _ = made(cut=cut, limits={"open_share": 0.01, "opening_min": 25})
    bevel = cut["bevel"]
    (square,) = (
        o for o in planned.report.openings if o.area_mm2 == pytest.approx((25 - 2 * bevel) ** 2)
    )
    said = [f.say for f in planned.report.findings if f"opening {square.id} " in f.say]
    assert [s for s in said if f"the 4 tight corners of opening {square.id} " in s]
    assert [s for s in said if f"from {25 - 2 * bevel:.2f} to 25.0 mm" in s]
    (share,) = (f for f in planned.report.findings if f.check == "open-share")
    assert share.measured_mm == pytest.approx(100 * planned.report.open_share, abs=0.01)
