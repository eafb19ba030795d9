"""Templates: the scale on paper, and tiles that go together again (handbook 8; row 31)."""

import numpy as np
import pypdfium2
import pytest

from filigree.errors import FiligreeError
from filigree.geometry.path import Path
from filigree.job import Paper
from filigree.output.templates import scale_of, templates_pdf
from filigree.plies.model import Cut, Ply
from filigree.plies.tiles import paper_size, tiling
from filigree.units import Span
from tests.make.shapes import square

DPI = 300
MM = DPI / 25.4  # pixels a mm
PEN = 0.2  # mm: thickness of the bars, half of it beyond each end


def ring(points):
    points = np.asarray(points, float)
    following = np.roll(points, -1, axis=0)
    thirds = [points + (following - points) * f for f in (0, 1 / 3, 2 / 3, 1)]
    return Path(cubics=np.stack(thirds, axis=1), straight=np.ones(len(points), bool), closed=True)


def ply(width, height):
    """A ply with a frame 5 mm inside its sheet and a slanting bar across it."""
    frame = ring([(5, 5), (width - 5, 5), (width - 5, height - 5), (5, height - 5)])
    bar = ring([(20, 30), (width - 20, height - 40), (width - 20, height - 34), (20, 36)])
    return Ply(
        ply="face",
        file="face.svg",
        title="face",
        note="Cut from the grain side.",
        colour="natural",
        thickness=Span(2.0, 2.4),
        cut_from="grain",
        mirrored=False,
        cuts=(Cut(name="openings", paths=(bar,)), Cut(name="blank", paths=(frame,))),
        shape=square(0, 0, 10),
        area_mm2=100.0,
        size=(width, height),
        offset=(0.0, 0.0),
    )


def pages(pdf):
    document = pypdfium2.PdfDocument(pdf)
    return [
        np.asarray(page.render(scale=DPI / 72, grayscale=True).to_pil(), float) for page in document
    ]


def longest_run(dark):
    """Longest unbroken dark run in a row of pixels: start and end."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(int), [0]])))
    runs = edges.reshape(-1, 2)
    return runs[np.argmax(runs[:, 1] - runs[:, 0])]


@pytest.mark.parametrize("paper", ["A4", "A3", "letter", "A5"])
def test_both_bars_measure_100_mm_on_every_sheet(paper):
    found = pages(templates_pdf((ply(260, 180),), Paper(size=paper), piece="bracer"))
    assert found
    for page in found:
        foot = page[round(page.shape[0] - 10 * MM) - 2 : round(page.shape[0] - 10 * MM) + 2]
        start, end = longest_run((foot < 160).any(axis=0))
        assert (end - start) / MM - PEN == pytest.approx(100, abs=0.1)
        column = page[:, round(13 * MM) - 2 : round(13 * MM) + 2]
        start, end = longest_run((column < 160).any(axis=1))
        assert (end - start) / MM - PEN == pytest.approx(100, abs=0.1)


@pytest.mark.parametrize(("width", "height"), [(260, 180), (420, 330), (150, 100)])
def test_tiles_laid_on_their_crosses_give_the_ply_back(width, height):
    settings = Paper(size="A4")
    laid = tiling((width, height), "A4", overlap=settings.overlap)
    found = pages(templates_pdf((ply(width, height),), settings, piece="bracer"))
    assert len(found) == len(laid.tiles)
    whole = np.full((round(height * MM) + 1, round(width * MM) + 1), 255.0)
    for page, tile in zip(found, laid.tiles, strict=True):
        left, top, right, bottom = (round(v * MM) for v in tile.window)
        x, y = round(20 * MM), round(10 * MM)
        part = page[y : y + bottom - top, x : x + right - left]
        whole[top : top + part.shape[0], left : left + part.shape[1]] = np.minimum(
            whole[top : top + part.shape[0], left : left + part.shape[1]], part
        )
    inner = 8  # mm from a tile's border, whose thin frame is drawn too
    for place in np.linspace(inner, width - inner, 23):
        column = whole[:, round(place * MM)]
        for edge in (5, height - 5):
            near = column[round((edge - 0.6) * MM) : round((edge + 0.6) * MM)]
            assert near.min() < 160
            middle = np.flatnonzero(near < 160).mean() / MM + edge - 0.6
            assert middle == pytest.approx(edge, abs=0.1)


def test_neighbouring_sheets_share_two_crosses_on_each_side():
    laid = tiling((420, 330), "A4", overlap=10)
    by_code = {tile.code: set(tile.crosses) for tile in laid.tiles}
    assert len(by_code["1-1"] & by_code["1-2"]) >= 2
    assert len(by_code["1-1"] & by_code["2-1"]) >= 2


def test_measured_bars_correct_the_scale():
    assert scale_of(Paper(bar_across=98.6)) == pytest.approx((1.0142, 1), abs=1e-4)  # row 31
    page = pages(templates_pdf((ply(150, 100),), Paper(bar_across=98.6), piece="bracer"))[0]
    foot = page[round(page.shape[0] - 10 * MM) - 2 : round(page.shape[0] - 10 * MM) + 2]
    start, end = longest_run((foot < 160).any(axis=0))
    assert ((end - start) / MM - PEN) * 0.986 == pytest.approx(100, abs=0.1)


def test_iso_216_sizes_by_name():
    sizes = {"A0": (841, 1189), "A1": (594, 841), "A2": (420, 594), "A3": (297, 420)}
    sizes |= {"A4": (210, 297), "A5": (148, 210), "A6": (105, 148)}  # handbook 8, ISO 216
    assert {name: paper_size(name) for name in sizes} == sizes


@pytest.mark.parametrize("paper", ["A7", "B99", "postcard", ""])
def test_paper_that_cannot_hold_the_bars_is_refused(paper):
    with pytest.raises(FiligreeError):
        tiling((200, 100), paper, overlap=10)


def test_two_runs_give_the_same_bytes():
    one = templates_pdf((ply(260, 180),), Paper(), piece="bracer")
    assert one == templates_pdf((ply(260, 180),), Paper(), piece="bracer")
