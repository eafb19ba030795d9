"""Job sheet: every number on paper is a number of the report; the facts of a bracer worked by hand."""

import io
import math
import re
from dataclasses import replace

import msgspec
import pypdf
import pytest

from filigree import pipeline
from filigree.job import Backing, Face, Inlay, Job, Paper, Stiffener, Stitch, Use
from filigree.output.benching import bench_row
from filigree.output.jobsheet import blocks, order
from filigree.output.report import read_report
from filigree.output.sheet import sheet_pdf
from filigree.output.words import words
from filigree.plies.cautions import cautions
from filigree.plies.drawn import draw
from filigree.plies.leathers import leather_of

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="240mm" height="160mm" viewBox="0 0 240 160">'
    '<g fill="none" stroke="#000" stroke-width=".4"><path d="M2 2H238V158H2Z"/><path d="M22 22H218V138H22Z"/>'
    '<g class="open"><path d="M40 40H100V70H40Z"/><path d="M106 40H166V70H106Z"/>'
    '<path d="M40 80C60 60 90 100 110 80V120H40Z"/></g></g></svg>'
)
JOB = Job(
    face=Face(thickness="5-6 oz", price=12.0),
    inlay=Inlay(thickness="2-3 oz", leather="cow suede split"),
    backing=Backing(thickness="10-11 oz", leather="veg-tan sole bend", hardened=True),
    use=Use(kind="bracer", curve=70.0),
    stitch=Stitch(pitch=4.0),
)


@pytest.fixture(scope="module")
def art(tmp_path_factory):
    path = tmp_path_factory.mktemp("bench") / "bracer.svg"
    path.write_text(SVG)
    return path


@pytest.fixture(scope="module")
def planned(art):
    return pipeline.with_bench(pipeline.plan(art, JOB))


def numbers(value):
    """Every number of a report, as it could be printed."""
    if isinstance(value, bool) or value is None:
        return set()
    if isinstance(value, int | float):
        return {float(value)}
    if isinstance(value, str):
        return {float(word) for word in re.findall(r"\d+(?:\.\d+)?", value)}
    parts = value.values() if isinstance(value, dict) else value
    return set().union(*(numbers(part) for part in parts)) if parts else set()


def printed_alike(word, known):
    places = len(word.partition(".")[2])
    value, step = float(word), 10.0**-places
    return any(
        value - step < k < value + step or value - step < 100 * k < value + step for k in known
    )


@pytest.mark.parametrize("units", ["mm", "both"])
def test_every_number_on_the_sheet_stands_in_the_report(art, units):
    job = msgspec.structs.replace(JOB, paper=Paper(units=units))
    planned = pipeline.with_bench(pipeline.plan(art, job))
    files = pipeline.files_of(planned)
    report = msgspec.json.decode(files["report.json"])
    known = numbers(report)
    known |= {k / 25.4 for k in known}  # the same in inches
    text = " ".join(
        page.extract_text() for page in pypdf.PdfReader(io.BytesIO(files["sheet.pdf"])).pages
    )
    fixed = {"5", "10", "1"}  # skive "5 to 10 mm", and the like, stand in the catalogue of words
    for word in re.findall(r"(?<![\w.])\d+(?:\.\d+)?", text.replace("dm2", "").replace("ft2", "")):
        assert word in fixed or printed_alike(word, known), word


def test_the_bracer_by_hand(planned):
    """5-6 oz face, 2-3 oz suede, 10-11 oz hardened back on a 70 mm arm, worked on paper."""
    bench = planned.report.bench
    oz = 25.4 / 64
    face, inlay, back = 5.5 * oz, 2.5 * oz, 10.5 * oz
    assert bench.stack.thickness_mm == pytest.approx((17 * oz, 20 * oz), abs=0.006)
    openings = 60 * 30 * 2 + 70 * 40 - 0  # two rectangles and a field under a wave of equal halves
    assert sum(o.area_mm2 for o in planned.report.openings) == pytest.approx(openings, rel=0.03)
    land = 236 * 156 - sum(o.area_mm2 for o in planned.report.openings)
    assert bench.sheets[0].mass_g == pytest.approx(land / 100 * face / 10 * 0.95, abs=0.06)
    loose = (face**3 + inlay**3 + back**3) / face**3
    bonded = (face + inlay + back) ** 3 / face**3
    assert (bench.stack.loose, bench.stack.bonded) == pytest.approx((loose, bonded), abs=0.006)
    inner = math.pi * (70 + back)
    outer = math.pi * (70 + 2 * back + 2 * inlay + face)
    assert bench.stack.lengths_mm[0] == pytest.approx(inner, abs=0.06)
    assert bench.stack.lengths_mm[-1] == pytest.approx(outer, abs=0.06)
    stitch = bench.stitch
    thread = 2 * stitch.length_mm + 2 * stitch.holes * 20 * oz + 200
    assert stitch.thread_mm == pytest.approx(thread, abs=1.01)
    glue = bench.glue
    assert glue.roll_min == pytest.approx(glue.area_dm2 / 9.290304 / 2, abs=0.11)
    assert glue.spread_dm2 == pytest.approx(2 * glue.area_dm2, abs=0.02)
    assert [joint.plies for joint in glue.joints] == [("face", "inlay"), ("inlay", "backing")]
    assert glue.joints[1].area_dm2 == pytest.approx(2.36 * 1.56, abs=0.011)
    (told,) = (b.lines for b in blocks(planned.report, JOB) if b.title == "Glue")
    assert [line.partition(":")[0] for line in told[:2]] == ["Face to inlay", "Inlay to backing"]
    assert bench.sheets[0].cost == pytest.approx(12.0 * bench.sheets[0].gross_ft2, rel=0.02)


def test_a_stiffener_that_is_hardened_has_its_caution_and_its_step(art):
    """Sentence 13 of handbook 10.2, and handbook 3.5: harden before cutting to size."""
    plain = msgspec.structs.replace(JOB, backing=Backing())
    hard = msgspec.structs.replace(plain, stiffener=Stiffener(hardened=True))
    veg = leather_of("veg-tan lining")
    told = [13 in cautions(job, [veg], punched=False, loose=False) for job in (plain, hard)]
    assert told == [False, True]
    report = pipeline.plan(art, hard).report
    assert [words("order.harden") in order(report, job) for job in (plain, hard)] == [False, True]


def test_thread_is_rounded_up(planned):
    """A seam of 200 mm with 51 holes and 4 mm of stack takes 808 mm (row 82); what is needed is never cut off."""
    bench = planned.worked.bench
    for needed, told in ((808.0, 808), (808.2, 809), (808.7, 809)):
        sewing = replace(bench.sewing, thread=needed)
        assert bench_row(replace(bench, sewing=sewing)).stitch.thread_mm == told


def test_only_the_cautions_that_apply():
    suede = leather_of("cow suede split")
    veg = leather_of("veg-tan tooling side")
    by_knife = cautions(Job(), [veg], punched=False, loose=False)
    assert 10 in by_knife
    assert not {1, 2, 3, 4, 5, 6, 13, 17, 18} & set(by_knife)
    laser = msgspec.structs.replace(
        Job(), cut=msgspec.structs.replace(Job().cut, way="laser"), use=Use(kind="holster")
    )
    by_laser = cautions(laser, [veg, suede], punched=True, loose=False)
    assert {1, 2, 5, 6, 11, 15, 17} <= set(by_laser)
    assert 10 not in by_laser


def test_the_blocks_name_what_the_job_has(planned):
    titles = [block.title for block in blocks(planned.report, JOB)]
    assert titles[0].startswith("Meets") or titles[0].startswith("Does not")
    assert {"Leather", "Openings", "Punches", "Glue", "Stitch", "Order of work", "Cautions"} <= set(
        titles
    )


def test_the_report_reads_back(planned):
    files = pipeline.files_of(planned)
    assert read_report(files["report.json"]) == planned.report


def test_the_page_asks_nothing_of_a_network(planned):
    page = pipeline.files_of(planned)["sheet.html"].decode()
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "")
    assert page.count("type='checkbox'") >= 10


def test_a_leather_without_a_colour_leaves_no_empty_place(art):
    job = msgspec.structs.replace(
        JOB, stiffener=Stiffener(thickness="3-4 oz", leather="leather board")
    )
    planned = pipeline.with_bench(pipeline.plan(art, job))
    lines = [line for block in blocks(planned.report, job) for line in block.lines]
    (board,) = (line for line in lines if line.startswith("stiffener"))
    assert "leather board, 1.19-1.59 mm" in board  # 3-4 oz (row 5)
    assert not [line for line in lines if ", ," in line]


def test_rolling_takes_whole_minutes(planned):
    joints = planned.report.bench.glue.joints
    (glue,) = (b.lines for b in blocks(planned.report, JOB) if b.title == "Glue")
    said = [int(n) for line in glue for n in re.findall(r"for at least (\d+) min", line)]
    assert said == [math.ceil(joint.roll_min) for joint in joints]


def test_every_opening_is_numbered_on_the_picture_of_the_sheet(planned):
    files = pipeline.files_of(planned)
    picture = files["sheet.html"].decode().split("<svg")[1].split("</svg>")[0]
    drawn = set(re.findall(r">(\d+)</text>", picture))
    assert drawn == {str(o.id) for o in planned.report.openings}


def test_each_cut_file_says_its_side_and_mirroring_once(planned):
    files = pipeline.files_of(planned)
    for name in (
        "face.svg",
        "trim.svg",
        "glue.svg",
        "transfer.svg",
        "backing.svg",
        "inlay-red.svg",
    ):
        about = re.search(r"<desc>(.*?)</desc>", files[name].decode()).group(1).lower()
        assert about.count("mirrored") == 1, (name, about)
        assert len(re.findall(r"(?:grain|flesh) side", about)) <= 1, (name, about)


LIMIT = [  # thickness, cut, wanted and stop as every paper and screen writes them (handbook 2.1, rounded up)
    ("5-6 oz", "knife", "3.6", "2.4"),  # 6/64 in = 2.38 mm: 1.5 t = 3.57, t = 2.38
    ("4-5 oz", "knife", "3.0", "2.0"),  # 5/64 in = 1.98 mm: 2.98, 1.98
]


@pytest.mark.parametrize(("thickness", "way", "wanted", "stop"), LIMIT)
def test_a_limit_is_written_in_one_way_on_every_paper(tmp_path, thickness, way, wanted, stop):
    art = tmp_path / "plate.svg"
    art.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
        '<path d="M1 1H59V39H1Z" fill="none" stroke="#000"/>'
        '<path d="M20 14h20v12h-20z" fill="#999" stroke="#000"/></svg>'
    )
    job = msgspec.convert({"face": {"thickness": thickness}, "cut": {"way": way}}, Job)
    made = pipeline.with_bench(pipeline.plan(art, job))
    files = pipeline.files_of(made)
    for name in ("proof.svg", "proof.html", "sheet.html"):
        said = " ".join(re.sub(r"<[^>]+>", " ", files[name].decode()).split())
        assert re.search(rf"[Bb]ridges:? wanted {wanted} mm, stop under {stop} mm", said), name
    assert f"bridges wanted {wanted} mm" in made.as_text()
    assert made.report.face.bridge_wanted_mm != float(wanted)  # the report keeps all digits


def test_no_line_of_the_paper_runs_on_over_the_edge_of_a_page(tmp_path):
    """Whatever height the picture leaves, a step and its rest, and a heading and its first line, share a page."""
    art = tmp_path / "plate.svg"
    art.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="60mm" viewBox="0 0 200 60">'
        '<path d="M1 1H199V59H1Z" fill="none" stroke="#000"/>'
        '<path d="M20 14h20v12h-20z" fill="#999" stroke="#000"/></svg>'
    )
    made = pipeline.with_bench(pipeline.plan(art, Job()))
    worked = made.worked
    drawn = draw(worked.drawing, worked.regions, worked.choices, worked.cut)
    told = blocks(made.report, worked.job)
    for tall in range(40, 90, 3):
        picture = replace(drawn, bounds=(0.0, 0.0, 200.0, float(tall)))
        data = sheet_pdf(made.report, worked.job, picture, piece="plate")
        pages = pypdf.PdfReader(io.BytesIO(data)).pages
        whole = [" ".join(page.extract_text().split()) for page in pages]
        for block in told:
            together = " ".join(f"{block.title} {block.lines[0]}".split())
            assert any(together in page for page in whole), block.title
            for line in block.lines:
                assert any(" ".join(line.split()) in page for page in whole), line


def test_letters_of_narrow_places_lie_on_no_number_and_on_no_other_letter(tmp_path):
    """Thirty openings of 4 x 5 mm, 2 mm apart: there is no room for a letter beside a narrow place."""
    holes = "".join(
        f'<path d="M{20 + 6 * i} {20 + 7 * j}h4v5h-4z" fill="#999" stroke="#000" stroke-width=".1"/>'
        for i in range(6)
        for j in range(5)
    )
    art = tmp_path / "grid.svg"
    art.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="80mm" viewBox="0 0 80 80">'
        f'<path d="M1 1H79V79H1Z" fill="none" stroke="#000"/>{holes}</svg>'
    )
    made = pipeline.with_bench(pipeline.plan(art, Job()))
    page = pipeline.files_of(made)["sheet.html"].decode()
    found = re.findall(
        r'<text x="([\d.]+)" y="([\d.]+)" [^>]*?font-size="([\d.]+)"[^>]*>(\w+)<', page
    )
    boxes = {}
    for x, y, size, word in found:
        high, wide = (
            float(size),
            0.6 * float(size) * len(word),
        )  # digits are 0.6 of their height wide
        left, foot = float(x) - wide / 2, float(y)
        boxes[word] = (left, foot - 0.72 * high, left + wide, foot)
    assert {"A", "B", "C", "D", "E", "2", "31"} <= set(boxes)
    for letter in "ABCDE":
        left, top, right, bottom = boxes.pop(letter)
        for word, box in boxes.items():
            apart = box[2] < left or box[0] > right or box[3] < top or box[1] > bottom
            assert apart, (letter, word)
