"""Gaps that are closed by hand: the drawing is then divided as if the line had been drawn. Closed forms."""

import pytest

from filigree import pipeline
from filigree.job import Close, Job, dump_job, load_job

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
# a border of 96 x 56 mm with a break of 6 mm at its top, and a square of 20 mm with a side missing
OPEN = (
    f'{HEAD}<g fill="none" stroke="#000" stroke-width="0.3"><path d="M47,2H2V58H98V2H53"/>'
    '<path d="M20,20H40M40,40H20V20"/></g></svg>'
)
CLOSE = (
    Close(start=(47.0, 2.0), end=(53.0, 2.0)),
    Close(start=(40.0, 20.0), end=(40.0, 40.0)),
)


def drawn(tmp_path, text):
    art = tmp_path / "open.svg"
    art.write_text(text, encoding="utf-8")
    return art


def areas(art, job):
    return sorted(round(r.area_mm2, 3) for r in pipeline.plan(art, job).worked.regions.regions)


def test_two_lines_enclose_a_square_in_a_border(tmp_path):
    art = drawn(tmp_path, OPEN)
    assert areas(art, Job(close=CLOSE)) == [400.0, 96.0 * 56 - 400]


@pytest.mark.parametrize("off", [0.0, 0.4, -0.7])
def test_ends_are_brought_to_the_lines_they_are_meant_for(tmp_path, off):
    art = drawn(tmp_path, OPEN)
    close = (
        Close(start=(47 + off, 2 + off), end=(53, 2 - off)),
        Close(start=(40, 20 + off), end=(40 + off, 40)),
    )
    assert areas(art, Job(close=close)) == [400.0, 96.0 * 56 - 400]


def test_a_line_parts_a_field_of_a_painted_drawing(tmp_path):
    art = drawn(
        tmp_path,
        f'{HEAD}<rect x="2" y="2" width="96" height="56" fill="#3a2b1c"/>'
        '<rect x="20" y="20" width="40" height="20" fill="#fff"/></svg>',
    )
    lone = [a for a in areas(art, Job()) if a < 1000]
    assert lone == [800.0]
    parted = [a for a in areas(art, Job(close=(Close(start=(30, 20), end=(30, 40)),))) if a < 1000]
    assert parted == [200.0, 600.0]


def test_a_line_encloses_a_bay_of_painted_ink(tmp_path):
    art = drawn(  # a dark frame with a bay of 20 x 10 mm in its outer edge
        tmp_path,
        f'{HEAD}<path fill="#3a2b1c" d="M2,2H98V58H2Z M20,20V50H80V20Z M40,2V12H60V2Z" '
        'fill-rule="evenodd"/></svg>',
    )
    close = Close(start=(40, 2), end=(60, 2))
    assert 200.0 not in areas(art, Job())
    assert 200.0 in areas(art, Job(close=(close,)))


def test_the_job_file_repeats_it(tmp_path):
    art = drawn(tmp_path, OPEN)
    job = Job(close=CLOSE)
    (tmp_path / "job.toml").write_text(dump_job(job), encoding="utf-8")
    again = load_job(tmp_path / "job.toml")
    assert again == job
    pipeline.make(art, tmp_path / "one", job, files="cuts")
    pipeline.make(art, tmp_path / "two", load_job(tmp_path / "one" / "job.toml"), files="cuts")
    one, two = (
        {p.name: p.read_bytes() for p in (tmp_path / name).iterdir()} for name in ("one", "two")
    )
    assert one == two
    assert "[[close]]" in one["job.toml"].decode()
