"""Stitches that fall into openings hold nothing (handbook 4: never stitch across an opening): do not cut so."""

import re

import msgspec
import numpy as np
import pytest
import shapely

from filigree.job import Job
from filigree.output.folded import folded
from filigree.pipeline import files_of, plan, with_bench

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="220mm" height="80mm" viewBox="0 0 220 80">'


def planned(folder, *, rim, count, **stitch):
    """A plate with a row of square openings `rim` mm inside its upper edge."""
    squares = "".join(f'<path d="M{20 + 24 * k} {2 + rim}h14v14h-14z"/>' for k in range(count))
    art = folder / "plate.svg"
    art.write_text(
        f'{HEAD}<path d="M2 2H218V78H2Z" fill="none" stroke="#000" stroke-width=".3"/>'
        f'<g fill="#ccc" stroke="#000" stroke-width=".3">{squares}</g></svg>'
    )
    job = msgspec.convert(
        {"face": {"thickness": "5-6 oz"}, "stitch": stitch, "pins": {"margin": 12}}, Job
    )
    return with_bench(plan(art, job))


def stops(report):
    return [f for f in report.findings if f.check == "stitch-hole"]


def test_one_stop_an_opening_with_its_count_and_what_to_try(tmp_path):
    made = planned(tmp_path, rim=8, count=7, inset=10)
    report = made.report
    found = stops(report)
    assert not report.holds
    assert len(found) == 7
    assert not [f for f in report.findings if f.check == "margin-stitch"]
    lost = sum(int(f.measured_mm) for f in found)
    assert report.bench.stitch.in_openings == lost > 0
    pitch = report.bench.stitch.pitch_mm
    assert all(abs(f.measured_mm - 14 / pitch) <= 1 for f in found)  # of a run of 14 mm
    sheet = files_of(made)["sheet.html"].decode()
    holes = report.bench.stitch.holes
    assert f"{lost} of these {holes} holes fall into openings" in sheet
    (trim,) = [p for p in made.worked.plies if p.ply == "trim"]
    (pricked,) = [cut for cut in trim.cuts if cut.name == "stitch-holes"]
    assert len(pricked.paths) == holes - lost
    assert f"{lost} stitch holes would fall into openings and are left out." in trim.note
    openings = shapely.union_all([o.shape for o in made.worked.cut.openings])
    spots = [np.mean(path.cubics.reshape(-1, 2), axis=0) - trim.offset for path in pricked.paths]
    assert all(openings.distance(shapely.Point(spot)) > 0.49 for spot in spots)  # 1 mm holes
    told = [row for _, row, _ in folded(report.findings) if row.check == "stitch-hole"]
    assert len(told) == 3  # the rest are told in one line
    assert "4 more openings with stitch holes in them: 4 to 7 on the proof" in made.as_text()


def test_what_it_says_to_try_takes_the_stops_away(tmp_path):
    (said,) = {
        f.say.split(": ")[1] for f in stops(planned(tmp_path, rim=8, count=3, inset=10).report)
    }
    inset = float(re.search(r"inset = ([\d.]+) or less", said).group(1))
    assert inset == pytest.approx(5)  # 8 mm of rim less the 3 mm that openings keep (handbook 2.3)
    report = planned(tmp_path, rim=8, count=3, inset=inset).report
    assert report.holds
    assert not [f for f in report.findings if f.check == "margin-stitch"]
    assert report.bench.stitch.in_openings == 0


def test_a_line_that_runs_in_openings_alone_gives_no_holes(tmp_path):
    """A trench all round the rim: nothing is pricked, and the trim file has no empty group."""
    art = tmp_path / "trench.svg"
    art.write_text(
        f'{HEAD}<path d="M2 2H218V78H2Z" fill="none" stroke="#000" stroke-width=".3"/>'
        '<path fill="#ccc" stroke="#000" stroke-width=".3" fill-rule="evenodd" d="M10 10H210V70H10ZM20 20V60H200V20Z"/></svg>'
    )
    job = msgspec.convert({"stitch": {"inset": 13}, "pins": {"margin": 16}}, Job)
    made = with_bench(plan(art, job))
    sewing = made.report.bench.stitch
    assert sewing.in_openings == sewing.holes > 100
    (trim,) = [p for p in made.worked.plies if p.ply == "trim"]
    assert [cut.name for cut in trim.cuts] == ["outline"]


def test_a_rim_too_narrow_for_any_stitching_is_to_be_drawn_wider(tmp_path):
    found = stops(planned(tmp_path, rim=5, count=1, inset=7).report)
    assert "draw a rim at least 10.0 mm wide" in found[0].say


def test_a_stitch_line_in_the_rim_is_no_stop(tmp_path):
    report = planned(tmp_path, rim=8, count=3, inset=4).report
    assert report.holds
    assert [f.severity for f in report.findings if f.check == "margin-stitch"] == []


@pytest.mark.parametrize(("inset", "told"), [(1.0, True), (2.9, True), (3.0, False), (6.0, False)])
def test_a_stitch_line_too_near_the_edge_is_told(tmp_path, inset, told):
    """At least 3 mm from the edge (handbook 4)."""
    report = planned(tmp_path, rim=14, count=2, inset=inset).report
    found = [f for f in report.findings if f.check == "stitch-edge"]
    assert bool(found) == told
    for one in found:
        assert (one.severity, one.measured_mm, one.wanted_mm) == ("caution", inset, 3.0)
        assert "inset = 3.0 or more" in one.say
