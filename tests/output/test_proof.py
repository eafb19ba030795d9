"""Proof: what a maker must see is not covered by anything else."""

import math
import re

import msgspec
import pytest

from filigree.job import Job
from filigree.pipeline import files_of, plan, with_bench

LENSES = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="160mm" height="110mm" viewBox="0 0 160 110">'
    '<g fill="none" stroke="#000" stroke-width=".3"><path d="M3 3H157V107H3Z"/></g>'
    '<g fill="#ccc" stroke="#000" stroke-width=".3"><path d="M20 55L50 35L80 55L50 75Z"/>'
    '<path d="M80 55L110 35L140 55L110 75Z"/></g>'
    '<text x="20" y="20" font-size="6">for the river court</text></svg>'
)  # two openings that meet in a point: stop, narrow place and tight corners all at (80, 55)


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    art = tmp_path_factory.mktemp("proof") / "lenses.svg"
    art.write_text(LENSES)
    made = with_bench(plan(art, msgspec.convert({}, Job)))
    return made.report, files_of(made)


def discs(svg):
    """Number, middle and radius of each tag, in the order of drawing."""
    rows = re.findall(
        r'id="finding-(\d+)"[^>]*>(?:<g class="leader">.*?</g>)?<circle cx="([\d.-]+)" cy="([\d.-]+)" r="([\d.]+)"',
        svg,
    )
    return [(int(k), float(x), float(y), float(r)) for k, x, y, r in rows]


def test_stops_are_drawn_last_and_no_mark_covers_another(files):
    report, made = files
    found = discs(made["proof.svg"].decode())
    assert sorted(k for k, *_ in found) == list(range(1, len(report.findings) + 1))
    drawn = [report.findings[k - 1].severity for k, *_ in found]
    assert "stop" in drawn
    assert "caution" in drawn
    assert drawn == sorted(drawn)  # cautions, then stops
    places = {report.findings[k - 1].at for k, *_ in found}
    assert len(places) < len(found)  # some share a place
    for i, (_, x, y, r) in enumerate(found):
        assert all(math.dist((x, y), (u, v)) > r + s for _, u, v, s in found[:i])


def test_stops_of_the_page_are_drawn_last(files):
    report, made = files
    order = [int(k) for k in re.findall(r'<g id="finding-(\d+)"', made["proof.html"].decode())]
    severities = [report.findings[k - 1].severity for k in order]
    assert severities == sorted(severities)
    assert len(order) == len(report.findings)


def test_the_whole_verdict_is_bold(files):
    report, made = files
    head = made["proof.svg"].decode().split('<g id="piece"')[0]
    bold = re.findall(r'font-weight="bold">([^<]*)<', head)
    assert " ".join(bold) == report.verdict
    assert len(bold) > 1


def test_what_was_left_out_stands_on_proof_and_sheet(files):
    report, made = files
    (skipped,) = report.drawing.skipped
    assert "for the river court" in skipped.what
    for name in ("proof.svg", "sheet.html", "proof.html"):
        text = re.sub(r"<[^>]*>|\s+", " ", made[name].decode())
        assert "eft out: text &#x27;for the river court&#x27;" in re.sub(r"\s+", " ", text), name
