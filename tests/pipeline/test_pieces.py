"""Whole pieces of the gallery: what the files hold, against another reader and another geometry of the same."""

import io
import json
import re
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import jsonschema
import msgspec
import numpy as np
import pypdfium2
import pytest
import shapely
import svgpathtools

import filigree.output.report
from filigree import pipeline
from filigree.job import load_job
from scripts.gallery.made import said

GALLERY = Path(__file__).parents[2] / "gallery"
PIECES = sorted(p.stem for p in GALLERY.glob("*/*.svg") if p.stem == p.parent.name)
SVG = "{http://www.w3.org/2000/svg}"
SCHEMA = Path(filigree.output.report.__file__).with_name("report.schema.json")


@cache
def made(name):
    art = GALLERY / name / f"{name}.svg"
    planned = pipeline.with_bench(pipeline.plan(art, load_job(art.with_name("job.toml"))))
    return planned, pipeline.files_of(planned)


def rings(data, group):
    """Flattened closed paths of a group, read by svgpathtools."""
    found = []
    for node in ET.fromstring(data).iter(f"{SVG}g"):
        if node.get("id") == group:
            for path in node.iter(f"{SVG}path"):
                parsed = svgpathtools.parse_path(path.get("d"))
                t = np.linspace(0, 1, 33)[:-1]
                points = np.concatenate(
                    [
                        [s.point(u) for u in (t if not isinstance(s, svgpathtools.Line) else [0.0])]
                        for s in parsed
                    ]
                )
                found.append(shapely.Polygon(np.c_[points.real, points.imag]))
    return found


@pytest.mark.parametrize("name", PIECES)
def test_the_report_follows_its_schema_and_names_no_path(name):
    _, files = made(name)
    report = json.loads(files["report.json"])
    jsonschema.validate(report, json.loads(SCHEMA.read_text()))
    assert str(GALLERY.parent) not in b"".join(files.values()).decode("latin-1")
    assert report["drawing"]["file"] == f"{name}.svg"
    rows = report["regions"] + report["solids"]
    assert sorted(row["id"] for row in rows) == list(range(1, len(rows) + 1))


def test_dark_shapes_are_solids_of_the_report_whatever_becomes_of_them():
    planned, files = made("silhouette")
    report = json.loads(files["report.json"])
    dark = {r.id for r in planned.worked.regions.regions if r.solid}
    opened = {number for o in report["openings"] for number in o["regions"]}
    assert dark
    assert {row["id"] for row in report["solids"]} == dark
    assert {row["id"] for row in report["solids"] if row["kind"] == "background"} == dark & opened
    assert not {row["id"] for row in report["regions"]} & dark


@pytest.mark.parametrize("name", PIECES)
def test_openings_of_the_face_file_have_the_areas_of_the_report(name):
    planned, files = made(name)
    assert planned.worked.job.cut.way == "knife"
    solid = shapely.Polygon()
    for ring in rings(files["face.svg"], "openings"):
        solid = solid.symmetric_difference(ring.buffer(0))
    openings = planned.worked.pattern.openings
    expected = sum(o.area_mm2 for o in openings)
    edges = sum(o.shape.length for o in openings)
    assert solid.area == pytest.approx(expected, abs=0.01 * len(openings) + 0.02 * edges)
    assert solid.area == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize("name", PIECES)
def test_cut_files_are_true_to_the_mm(name):
    planned, files = made(name)
    for ply in planned.report.plies:
        root = ET.fromstring(files[ply.file])
        width, height = (float(root.get(k).removesuffix("mm")) for k in ("width", "height"))
        assert (width, height) == pytest.approx((ply.width_mm, ply.height_mm), abs=0.01)
        assert [float(v) for v in root.get("viewBox").split()] == pytest.approx(
            [0, 0, width, height]
        )
        assert "transform" not in files[ply.file].decode()
        assert not re.search(r'fill="(?!none)', files[ply.file].decode())


@pytest.mark.parametrize("name", PIECES)
def test_no_file_holds_a_line_that_is_not_cut_in_its_step(name):
    _, files = made(name)
    groups = {
        file: {g.get("id") for g in ET.fromstring(data).iter(f"{SVG}g")}
        for file, data in files.items()
        if file in {"face.svg", "trim.svg", "backing.svg"}
    }
    assert groups["face.svg"] == {"openings", "blank", "pins"}
    assert "outline" in groups["trim.svg"]
    assert "openings" not in groups["trim.svg"] | groups["backing.svg"]


def test_the_gallery_has_one_piece_that_stops_and_the_others_hold():
    stops = [name for name in PIECES if not made(name)[0].holds]
    assert len(stops) == 1
    assert len(PIECES) >= 9


@pytest.mark.parametrize("name", PIECES)
def test_the_numbers_on_the_gallery_page_are_those_of_a_fresh_run(name):
    planned, _ = made(name)
    page = (GALLERY / "README.md").read_text(encoding="utf-8")
    section = page.split(f"({name}/proof.png)")[1].split("\n## ")[0]
    assert said(msgspec.to_builtins(planned.report)) in section


def test_papers_are_vector_pages_of_the_paper():
    planned, files = made("bracer")
    assert planned.worked.job.paper.size == "A4"
    for name in ("templates.pdf", "sheet.pdf"):
        document = pypdfium2.PdfDocument(io.BytesIO(files[name]))
        assert len(document) >= 1
        for page in document:
            assert sorted(page.get_size()) == pytest.approx([595.28, 841.89], abs=0.1)
            assert not [o for o in page.get_objects() if o.type == pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]


def test_the_same_art_gives_the_same_bytes_whatever_the_folder(tmp_path):
    art = GALLERY / "vine" / "vine.svg"
    job = load_job(art.with_name("job.toml"))
    for name in ("one", "another"):
        pipeline.make(art, tmp_path / name, job)
    one, other = (
        {p.name: p.read_bytes() for p in sorted((tmp_path / n).iterdir())}
        for n in ("one", "another")
    )
    assert one == other


def test_the_job_that_is_written_gives_the_same_piece(tmp_path):
    art = GALLERY / "vine" / "vine.svg"
    planned, files = made("vine")
    again = tmp_path / "job.toml"
    again.write_bytes(files["job.toml"])
    assert (
        pipeline.plan(art, load_job(again)).report == pipeline.plan(art, planned.worked.job).report
    )


def test_mending_the_failing_piece_and_running_its_list_again(tmp_path):
    name = next(n for n in PIECES if not made(n)[0].holds)
    art = GALLERY / name / f"{name}.svg"
    job = load_job(art.with_name("job.toml"))
    once = pipeline.plan(art, job, mending=True)
    assert once.report.mended.changes
    left = {u.at for u in once.report.mended.unmended}
    wanted = once.report.face.bridge_wanted_mm
    for finding in once.report.findings:
        if finding.check in {"bridge", "island"} and finding.severity == "stop":
            assert finding.at in left
    assert all(b.width_mm >= wanted - 0.01 for b in once.report.bridges) or left
    again = pipeline.plan(art, once.worked.job)
    one, other = (
        shapely.union_all([o.shape for o in p.worked.pattern.openings]) for p in (once, again)
    )
    assert one.symmetric_difference(other).area < 0.05  # of 8,000 mm2: rounds may fall otherwise
    assert again.holds == once.holds
