"""Corners: what the findings tell, what the report and job sheet count and what the papers show is one number."""

import re

import msgspec
import pytest

from filigree.job import Job
from filigree.pipeline import files_of, plan, with_bench

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="70mm" viewBox="0 0 200 70">'
    '<path d="M2 2H198V68H2Z" fill="none" stroke="#000" stroke-width=".3"/>'
    '<g fill="#ccc" stroke="#000" stroke-width=".3">'
    '<path d="M15 15h20v20h-20z"/>'  # four corners
    '<path d="M45 15l24 .3v.6l-24 .3z"/>'  # a sliver that only the blade gets into
    '<path d="M80 25l30 -.4q6 10 0 20l-30 -.4z"/>'
    '<path d="M125 20l16 8v.6l-16 8z"/>'  # a tip cut off square: two corners, one punch
    '<path d="M160 20h18a4 4 0 0 1 4 4v18h-18a4 4 0 0 1 -4 -4z"/>'  # two corners, two bows
    "</g></svg>"
)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    art = tmp_path_factory.mktemp("corners") / "corners.svg"
    art.write_text(SVG)
    return with_bench(plan(art, msgspec.convert({"face": {"thickness": "5-6 oz"}}, Job)))


def told(report) -> int:
    """Number of tight corners that the sentences name."""
    says = [f.say for f in report.findings if f.check == "corner"]
    found = [re.match(r"Round the (?:(\d+) tight corners|tight corner) of", say) for say in says]
    return sum(int(m[1] or 1) for m in found)


def test_corners_told_are_those_that_punch_and_blade_end(made):
    bench = made.report.bench
    assert bench.corners == told(made.report) > 15
    assert 0 < bench.corners_by_blade < bench.corners
    punches = sum(row.count for row in bench.punches)
    assert punches < bench.corners - bench.corners_by_blade, "one punch ends two corners of a tip"


def test_the_papers_say_and_show_the_same_numbers(made):
    bench = made.report.bench
    files = files_of(made)
    layers = re.findall(r'<g id="punch-([\d.]+)".*?</g>', files["transfer.svg"].decode(), re.S)
    assert [float(size) for size in layers] == [row.diameter_mm for row in bench.punches]
    papers = {p.file: p for p in made.worked.bench.papers}
    shown = {
        cut.name.removeprefix("punch-"): len(cut.paths)
        for cut in papers["transfer.svg"].cuts
        if cut.name.startswith("punch-")
    }
    assert {f"{row.diameter_mm:g}": row.count for row in bench.punches} == shown
    sheet = files["sheet.html"].decode()
    ended = bench.corners - bench.corners_by_blade
    assert f"These end {ended} of the {bench.corners} tight corners" in sheet
    assert f"No punch ends {bench.corners_by_blade} of the {bench.corners} tight corners" in sheet
