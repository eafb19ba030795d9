"""Lines of a motif that run side by side are no hatching: nothing of it may be opened (handbook 12)."""

import pytest
import shapely

from filigree.drawing.handmarks import find_hand_marks
from filigree.drawing.scan import redraw_scan
from filigree.job import Sheet
from tests.make.scan_motifs import MOTIFS, motif_art
from tests.make.scans import INK, save, sheet


@pytest.mark.parametrize("name", MOTIFS)
def test_no_motif_is_a_mark(tmp_path, name):
    art = motif_art(name, 1)
    save(sheet(art, INK), tmp_path / "a.png")
    drawing = redraw_scan(tmp_path / "a.png", sheet=Sheet(), straight=False).drawing
    assert drawing.marks == ()
    drawn, found = (
        shapely.union_all([shapely.linestrings(v) for v in lines]).length
        for lines in (art.lines, drawing.lines)
    )
    assert found == pytest.approx(drawn, rel=0.05)  # nothing is taken out


@pytest.mark.parametrize("seed", [1, 2])
def test_barbs_of_a_drawn_feather_are_no_hatching(seed):
    art = motif_art("feather", seed)
    assert find_hand_marks(art.lines) == (art.lines, ())
