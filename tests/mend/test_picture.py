"""`mend.svg`: before and after on one sheet that a printer takes, with the list beside them."""

import re
from xml.etree import ElementTree

import pytest
from msgspec.structs import replace

from filigree import pipeline
from filigree.job import Face, Job
from filigree.output.mending import mend_svg
from filigree.plies.drawn import draw

SHEETS = {(297.0, 210.0), (210.0, 297.0), (420.0, 297.0), (297.0, 420.0)}  # A4 and A3, ISO 216


def art(path, width, height, columns):
    """Openings 2 mm apart, as high as the piece allows."""
    wide = (width - 20) / columns - 2
    cells = "".join(
        f'<rect class="open" x="{10 + k * (wide + 2)}" y="10" width="{wide}" height="{height - 20}"/>'
        for k in range(columns)
    )
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}"><g fill="none" stroke="#000" stroke-width="0.4">'
        f'<rect x="1" y="1" width="{width - 2}" height="{height - 2}"/>{cells}</g></svg>',
        encoding="utf-8",
    )
    return path


def picture(path):
    made = pipeline.plan(path, Job(face=Face(thickness="5-6 oz")), mending=True)
    svg = pipeline.files_of(made)["mend.svg"].decode()
    return made, svg, ElementTree.fromstring(svg)


def boxes(svg):
    """Where the two pictures lie: from their groups' transforms, `(x, y, scale)`."""
    found = re.findall(r'transform="translate\(([-\d.]+),([-\d.]+)\) scale\(([\d.]+)\)"', svg)
    return [tuple(float(v) for v in row) for row in found]


@pytest.mark.parametrize(
    ("width", "height", "columns"),
    [(120, 50, 4), (60, 150, 2), (210, 120, 6), (900, 60, 30), (400, 800, 12), (22, 22, 1)],
)
def test_both_pictures_and_the_list_fit_a_sheet(width, height, columns, tmp_path):
    made, svg, tree = picture(art(tmp_path / "face.svg", width, height, columns))
    size = tuple(float(v) for v in tree.get("viewBox").split()[2:])
    assert size in SHEETS
    before, after = boxes(svg)
    scale = before[2]
    assert after[2] == scale <= 1
    for x, y, _ in (before, after):
        assert x + scale >= 0
        assert y + scale >= 0
        assert x + scale * (width - 1) <= size[0]
        assert y + scale * (height - 1) <= size[1]
    apart = max(
        abs(after[0] - before[0]) - scale * (width - 2),
        abs(after[1] - before[1]) - scale * (height - 2),
    )
    assert apart > 0  # the pictures do not lie on each other
    foot = max(before[1], after[1]) + scale * (height - 1)
    rows = [t for t in tree.iter("{http://www.w3.org/2000/svg}text") if t.get("font-size") == "2.6"]
    assert rows
    assert all(foot < float(t.get("y")) < size[1] for t in rows)
    assert rows[0].text.startswith(f"{len(made.worked.mended.changes)} change")


def test_a_small_piece_is_drawn_at_true_size_on_a4(tmp_path):
    _, svg, tree = picture(art(tmp_path / "face.svg", 120, 50, 4))
    assert tree.get("viewBox") in ("0 0 297 210", "0 0 210 297")
    assert {row[2] for row in boxes(svg)} == {1.0}
    assert "of its size" not in svg


def test_a_large_piece_says_its_scale(tmp_path):
    _, svg, _ = picture(art(tmp_path / "face.svg", 900, 60, 30))
    scale = boxes(svg)[0][2]
    assert f"Before, as drawn, at {scale:.2f} of its size" in svg


def test_places_that_are_left_are_ringed_and_listed(tmp_path):
    made, svg, tree = picture(art(tmp_path / "face.svg", 120, 25, 30))
    left = made.worked.mended.unmended
    assert left
    rings = tree.findall(".//{http://www.w3.org/2000/svg}circle")
    assert len(rings) == len(left)
    assert f"Not mended: {len(left)} places." in svg


def test_what_does_not_fit_the_sheet_is_said_to_be_in_the_report(tmp_path):
    made, _, _ = picture(art(tmp_path / "face.svg", 120, 50, 4))
    was, rest = made.worked, "The rest of the list is in report.json."
    drawn = draw(was.drawing, was.regions, was.choices, was.pattern)
    for times, cut in ((1, False), (200, True)):
        many = replace(made.report.mended, changes=made.report.mended.changes * times)
        svg = mend_svg(drawn, drawn, was.mended, replace(made.report, mended=many)).decode()
        assert (rest in svg) is cut
        tall = float(ElementTree.fromstring(svg).get("viewBox").split()[3])
        assert max(float(y) for y in re.findall(r'<text x="[^"]*" y="([^"]*)"', svg)) < tall
