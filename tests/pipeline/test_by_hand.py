"""Settings changed by hand in the folder of a piece: used, or asked about; never written over unseen."""

import pytest

from filigree.batch import batch
from filigree.cli import main
from filigree.errors import FiligreeError
from filigree.job import Job, load_job
from filigree.output.folder import MARKER
from filigree.page.desk import Desk

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
    '<path d="M1 1H59V39H1Z" fill="none" stroke="#000"/>'
    '<path d="M24 14H36V26H24Z" fill="#999" stroke="#000"/></svg>'
)
NOTE = "# the left edge wants care\n"


@pytest.fixture
def art(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tile.svg").write_text(SVG)
    return tmp_path / "tile.svg"


def make(*more: str) -> int:
    return main(["make", "tile.svg", "-o", "tile-cut", "--files", "cuts", *more])


def edited(folder, *, note=NOTE, thickness="3-4 oz"):
    path = folder / "job.toml"
    path.write_text(f'{note}{path.read_text()}\n[backing]\nthickness = "{thickness}"\n')
    return path


def test_settings_changed_in_the_folder_are_not_written_over(art, capsys):
    assert make() == 0
    own = edited(art.parent / "tile-cut")
    before = own.read_text()
    capsys.readouterr()
    for words in ([], ["--face", "4-5 oz"], ["--mend"]):
        assert make(*words) == 2
        told = capsys.readouterr()
        assert told.err == (
            "filigree: tile-cut/job.toml: these settings were changed by hand; "
            "give --job tile-cut/job.toml to use them, or move the file away\n"
        )
        assert own.read_text() == before


def test_they_are_used_when_they_are_named_and_her_notes_stay(art, capsys):
    assert make() == 0
    own = edited(art.parent / "tile-cut")
    before = own.read_text()
    assert make("--job", "tile-cut/job.toml") == 0
    assert own.read_text() == before
    assert load_job(own).backing.thickness == "3-4 oz"
    capsys.readouterr()
    assert make() == 2, "they are still hers the next time"
    assert make("--job", "tile-cut/job.toml", "--face", "6-7 oz") == 0
    both = load_job(own)
    assert (both.backing.thickness, both.face.thickness) == ("3-4 oz", "6-7 oz")
    assert make() == 2, "also when they were written afresh"
    own.unlink()
    assert make() == 0
    assert make() == 0


def test_her_text_is_kept_as_a_copy_where_options_change_what_it_says(art, capsys):
    assert make() == 0
    own = edited(art.parent / "tile-cut")
    before = own.read_bytes()
    capsys.readouterr()
    assert make("--job", "tile-cut/job.toml", "--face", "6-7 oz") == 0
    copy = "Your own job.toml, with its notes, is kept as tile-cut/job-1.toml."
    assert capsys.readouterr().out.endswith(f"{copy}\n")
    assert (own.parent / "job-1.toml").read_bytes() == before
    for face in ("5-6 oz", "7-8 oz"):  # what we wrote ourselves holds no notes
        assert make("--job", "tile-cut/job.toml", "--face", face) == 0
        assert "kept as" not in capsys.readouterr().out
    assert sorted(p.name for p in own.parent.glob("job*")) == ["job-1.toml", "job.toml"]
    assert (own.parent / "job-1.toml").read_bytes() == before


def test_options_that_change_are_no_hand(art):
    assert make("--face", "4-5 oz") == 0
    assert make("--face", "6-7 oz") == 0
    assert make() == 0
    assert load_job(art.parent / "tile-cut" / "job.toml").face.assumed


def test_a_note_alone_is_kept(art):
    assert make() == 0
    own = art.parent / "tile-cut" / "job.toml"
    own.write_text(NOTE + own.read_text())
    assert make() == 0
    assert own.read_text().startswith(NOTE)
    assert make("--face", "4-5 oz") == 2


@pytest.mark.parametrize("text", [b"[face\n", b"[fcae]\n", b"\xff\xfe"])
def test_settings_that_cannot_be_read_are_hers_too(art, capsys, text):
    assert make() == 0
    own = art.parent / "tile-cut" / "job.toml"
    own.write_bytes(text)
    capsys.readouterr()
    assert make() == 2
    assert "changed by hand" in capsys.readouterr().err
    assert own.read_bytes() == text


def test_a_folder_of_an_earlier_version_is_written_as_before(art):
    assert make() == 0
    marker = art.parent / "tile-cut" / MARKER
    lines = marker.read_text().splitlines()
    marker.write_text("\n".join(line for line in lines if "/" not in line) + "\n")
    edited(art.parent / "tile-cut")
    assert make() == 0


def test_a_batch_leaves_such_a_piece_alone_and_goes_on(art):
    (art.parent / "other.svg").write_text(SVG)
    out = art.parent / "cut"
    assert {row.state for row in batch(art.parent, out, files="cuts", workers=1).pieces} == {
        "holds"
    }
    own = edited(out / "tile")
    before = own.read_bytes()
    rows = {row.folder: row for row in batch(art.parent, out, files="cuts", workers=1).pieces}
    assert (rows["tile"].state, rows["other"].state) == ("failed", "holds")
    assert "changed by hand; move the file beside the drawing" in rows["tile"].say
    assert own.read_bytes() == before


def test_a_batch_keeps_a_note_and_does_not_make_the_piece_again_for_it(art):
    out = art.parent / "cut"
    batch(art.parent, out, files="cuts", workers=1)
    own = out / "tile" / "job.toml"
    own.write_text(NOTE + own.read_text())
    batch(art.parent, out, files="cuts", workers=1)
    assert own.read_text().startswith(NOTE)
    written = (out / "tile").stat().st_ino  # writing puts another folder in its place
    assert {row.state for row in batch(art.parent, out, files="cuts", workers=1).pieces} == {
        "holds"
    }
    assert (out / "tile").stat().st_ino == written


def test_saving_from_the_page_asks_too(art):
    desk = Desk(folder=art.parent)
    desk.open(art, Job())
    desk.save(desk.turn)
    own = edited(art.parent / "tile-cut")
    before = own.read_bytes()
    with pytest.raises(FiligreeError, match="changed by hand; move the file away"):
        desk.save(desk.turn)
    assert own.read_bytes() == before


def test_saving_from_the_page_keeps_a_note(art):
    desk = Desk(folder=art.parent)
    desk.open(art, Job())
    desk.save(desk.turn)
    own = art.parent / "tile-cut" / "job.toml"
    own.write_text(NOTE + own.read_text())
    desk.save(desk.turn)
    assert own.read_text().startswith(NOTE)
