"""The desk: changes, undo, what is kept on disk, and saving the same bytes as the command."""

import errno
import os
import shutil

import pytest

from filigree import pipeline
from filigree.cli import main
from filigree.errors import FiligreeError
from filigree.job import Job, load_job, with_overrides
from filigree.page import edits
from filigree.page.aside import StoppedError
from filigree.page.desk import Desk, StaleError
from filigree.page.keeping import plain_name
from filigree.page.looking import look


@pytest.fixture
def desk(art, tmp_path):
    made = Desk(folder=tmp_path)
    made.open(art, Job())
    return made


def pick(desk, fields, kind):
    desk.change(desk.turn, lambda job, on: edits.picked(job, on.piece.regions, fields, kind))


def kinds(desk):
    return {c.region: c.kind for c in desk.look.choices}


def opened(desk):
    return sorted(i for i, kind in kinds(desk).items() if kind == "background")


def contents(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def test_picks_undo_and_redo(desk):
    first = opened(desk)
    assert len(first) == 8
    pick(desk, first[:2], "keep")
    assert opened(desk) == first[2:]
    pick(desk, first[:1], "open")
    assert opened(desk) == [first[0], *first[2:]]
    desk.move(desk.turn, -1)
    assert opened(desk) == first[2:]
    desk.move(desk.turn, 1)
    assert opened(desk) == [first[0], *first[2:]]
    pick(desk, first[:2], "guess")
    assert opened(desk) == first
    desk.move(desk.turn, 1)  # nothing to redo
    assert opened(desk) == first


def test_findings_are_those_of_the_command(desk, art):
    for settings in ({"cut.way": "laser"}, {"face.thickness": "19-20 oz"}, {"cut.way": "knife"}):
        desk.change(desk.turn, lambda job, _, s=settings: edits.with_settings(job, s))
        wanted = pipeline.plan(art, desk.look.job)
        assert desk.look.findings == wanted.worked.findings
        assert desk.told()["verdict"] == wanted.report.verdict
    assert not desk.look.holds  # 7 mm between openings in leather of 7.9 mm


def test_saving_gives_the_bytes_of_make(desk, art, tmp_path, monkeypatch):
    first = opened(desk)
    pick(desk, first[:2], "keep")
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"face.thickness": "13-14 oz"}))
    held = [r for r in desk.piece.regions.regions if r.id == first[3]]
    desk.change(desk.turn, lambda job, _: edits.coloured(job, held, "teal"))
    desk.mend(desk.turn, [], accept=True)
    assert desk.look.mended.changes
    desk.save(desk.turn)
    pipeline.make(art, tmp_path / "by-hand", load_job(desk.out / "job.toml"))
    assert contents(desk.out) == contents(tmp_path / "by-hand")
    assert "inlay-teal.svg" in contents(desk.out)


def test_saving_gives_the_bytes_of_the_command_with_the_same_numbers(
    desk, art, tmp_path, monkeypatch
):
    first = opened(desk)
    pick(desk, first[:1], "keep")
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"face.thickness": "4-5 oz"}))
    desk.save(desk.turn)
    out = tmp_path / "by-hand"
    assert (
        main(["make", str(art), "--keep", str(first[0]), "--face", "4-5 oz", "-o", str(out)]) == 0
    )
    assert contents(desk.out) == contents(out)


def test_the_state_is_on_disk_before_the_answer_and_taken_up_again(desk, art, tmp_path):
    first = opened(desk)
    pick(desk, first[:3], "keep")
    again = Desk(folder=tmp_path)
    assert again.open(art, Job())
    assert again.look.job == desk.look.job
    assert kinds(again) == kinds(desk)


def test_a_change_meant_for_an_older_state_is_refused(desk):
    turn = desk.turn
    pick(desk, opened(desk)[:1], "keep")
    before = desk.look
    with pytest.raises(StaleError):
        desk.change(turn, lambda job, _: job)
    assert desk.look is before


def test_a_disk_that_refuses_leaves_the_state(desk, tmp_path):
    before = desk.look
    desk.keeper.folder = tmp_path / "eight.svg"  # a file is in the way
    with pytest.raises(FiligreeError, match="in the way"):
        pick(desk, opened(desk)[:1], "keep")
    assert desk.look is before


def test_a_colour_goes_with_its_opening(desk):
    first = opened(desk)
    held = [r for r in desk.piece.regions.regions if r.id == first[0]]
    desk.change(desk.turn, lambda job, _: edits.coloured(job, held, "teal"))
    assert desk.look.drawn.openings[0].inlay == "teal"
    pick(desk, first[:1], "keep")
    assert desk.look.job.choose.colours == ()
    desk.change(desk.turn, lambda job, _: edits.one_colour(job, "gold"))
    assert {o.inlay for o in desk.look.drawn.openings} == {"gold"}


def test_mending_place_by_place(desk):
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"face.thickness": "13-14 oz"}))
    before = desk.look
    shown = desk.mend(desk.turn, [], accept=False)
    assert desk.look is before
    place = shown.mended.changes[0]
    left = desk.mend(desk.turn, [(place.how, place.at)], accept=True)
    assert desk.look is left
    assert len(left.mended.changes) == len(shown.mended.changes) - 1
    assert [m.at for m in left.job.mend if m.as_drawn] == [pytest.approx(place.at, abs=1e-4)]
    pick(desk, opened(desk)[:1], "keep")  # mended anew for the new choice
    assert desk.look.mended is not None
    desk.change(desk.turn, lambda job, _: edits.left_as_drawn(job, ()))
    assert desk.look.mended is None


def test_a_change_after_mending_can_be_stopped(desk, monkeypatch):
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"face.thickness": "13-14 oz"}))
    desk.mend(desk.turn, [], accept=True)
    before, told = desk.look, Desk._tell

    def stopping(self, step):
        if step == "mending":
            desk.stop()
        self.step = step

    monkeypatch.setattr(Desk, "_tell", stopping)
    with pytest.raises(StoppedError):
        pick(desk, opened(desk)[:1], "keep")
    assert desk.look is before
    monkeypatch.setattr(Desk, "_tell", told)
    pick(desk, opened(desk)[:1], "keep")
    assert desk.look.mended is not None


def test_two_points_give_the_size_and_picks_move_along(desk):
    first = opened(desk)
    pick(desk, first[:1], "keep")
    desk.scale(desk.turn, (20.0, 20.0), (45.0, 20.0), 50.0)  # twice the size
    assert desk.piece.drawing.width == pytest.approx(240)
    assert opened(desk) == first[1:]
    with pytest.raises(FiligreeError, match="no scale"):
        desk.scale(desk.turn, (1.0, 1.0), (1.0, 1.0), 50.0)
    assert desk.piece.drawing.width == pytest.approx(240)


def test_a_dropped_drawing_is_read_like_any_other(desk, art, tmp_path):
    with pytest.raises(FiligreeError) as refused:
        desk.drop(desk.turn, "torn.svg", b"<svg")
    assert main(["check", str(torn(tmp_path))]) == 2
    assert "torn.svg" in str(refused.value)
    assert desk.piece.art == art
    assert opened(desk)
    desk.drop(desk.turn, "../../wren.svg", art.read_bytes().replace(b'r="9"', b'r="8"'))
    assert desk.piece.drawing.name == "wren.svg"
    assert (desk.out, desk.keeper.folder) == (tmp_path / "wren-cut", tmp_path / "wren-page")
    pick(desk, opened(desk)[:1], "keep")
    assert {p.name for p in desk.keeper.folder.iterdir()} == {".filigree", "job.toml", "wren.svg"}


def torn(folder):
    path = folder / "torn.svg"
    path.write_bytes(b"<svg")
    return path


def test_a_broken_drawing_is_told_in_the_words_of_the_command(desk, tmp_path, capsys):
    with pytest.raises(FiligreeError) as refused:
        desk.drop(desk.turn, "torn.svg", b"<svg")
    assert main(["check", str(torn(tmp_path))]) == 2
    assert capsys.readouterr().err == f"filigree: {refused.value}\n"


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("../../etc/vine.svg", "vine.svg"),
        ("C:\\drawings\\vine.svg", "vine.svg"),
        ("..", "drawing"),
        ("job.toml", "drawing"),
        (".filigree", "filigree"),
        ("vi\x00ne\n.svg", "vix00ne .svg"),
        ("ranke \u00fc.svg", "ranke \u00fc.svg"),
    ],
)
def test_names_from_a_browser_become_plain(name, kept):
    assert plain_name(name) == kept


def test_a_look_may_lean_on_the_last_one(art):
    worked = pipeline.plan(art).worked
    first = look(worked.job, worked.drawing, worked.regions, progress=str)
    thick = with_overrides(worked.job, {"face.thickness": "9-10 oz"})
    leaning = look(thick, worked.drawing, worked.regions, last=first, progress=str)
    assert leaning.drawn is first.drawn
    assert leaning.findings == look(thick, worked.drawing, worked.regions, progress=str).findings


def test_kept_work_that_was_thrown_away_is_written_anew(desk):
    shutil.rmtree(desk.keeper.folder)
    pick(desk, opened(desk)[:1], "keep")
    assert load_job(desk.keeper.folder / "job.toml") == desk.look.job


def test_a_full_disk_changes_nothing_and_is_told(desk, monkeypatch):
    before, kept = desk.look, (desk.keeper.folder / "job.toml").read_bytes()

    def full(handle):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        pick(desk, opened(desk)[:1], "keep")
    assert desk.look is before
    assert (desk.keeper.folder / "job.toml").read_bytes() == kept
    monkeypatch.undo()
    pick(desk, opened(desk)[:1], "keep")
    assert desk.look is not before


def test_two_runs_on_one_work_notice_each_other(desk, art, tmp_path):
    other = Desk(folder=tmp_path)
    assert other.open(art, Job())
    pick(other, opened(other)[:1], "keep")
    with pytest.raises(FiligreeError, match="another run of filigree page"):
        pick(desk, opened(desk)[:1], "open")


def test_a_rim_and_wider_gaps_find_the_fields_anew(desk):
    serial = desk.state.serial
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"sheet.rim": "9"}))
    assert desk.state.serial > serial
    assert desk.look.drawn.outline.bounds == pytest.approx((-7, -7, 126, 73), abs=0.01)
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"sheet.rim": ""}))
    assert desk.look.job.sheet.rim is None
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"limits.gap": "2.5"}))
    assert desk.look.job.limits.gap == 2.5
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"limits.gap": "0"}))
    assert desk.look.job.limits.gap == 0
    with pytest.raises(FiligreeError, match="gap"):
        desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"limits.gap": "wide"}))


def test_beginning_anew_can_be_undone(desk):
    first = opened(desk)
    pick(desk, first[:2], "keep")
    desk.change(desk.turn, lambda job, _: edits.as_drawn(job))
    assert opened(desk) == first
    desk.move(desk.turn, -1)
    assert opened(desk) == first[2:]


def test_scaling_takes_what_was_drawn_by_hand_along(desk):
    desk.change(
        desk.turn,
        lambda job, on: edits.with_bridge(job, on.look.drawn, (20.0, 5.0), (20.0, 35.0), ""),
    )
    assert len(desk.look.drawn.openings) == 9
    desk.scale(desk.turn, (20.0, 20.0), (45.0, 20.0), 50.0)
    assert desk.look.job.bridge[0].end == (40.0, 70.0)
    assert len(desk.look.drawn.openings) == 9
    desk.move(desk.turn, -1)
    assert desk.piece.drawing.width == pytest.approx(120)


def test_scaling_takes_zones_holes_and_bends_along():
    use = {
        "holes": [{"at": [10, 12], "diameter": 5}],
        "zones": [{"name": "tip", "box": [0, 1, 10, 11]}],
        "bends": [{"start": [0, 3], "end": [5, 5]}],
    }
    job = with_overrides(Job(), {f"use.{name}": value for name, value in use.items()})
    twice = edits.scaled(job, width=100, start=(0, 0), end=(50, 0), length=100).use
    assert (twice.holes[0].at, twice.holes[0].diameter) == ((20, 24), 5)
    assert twice.zones[0].box == (0, 2, 20, 22)
    assert (twice.bends[0].start, twice.bends[0].end) == ((0, 6), (10, 10))


def test_a_drawing_being_laid_down_never_leaves_the_page_empty(desk, art, monkeypatch):
    told, append = [], Desk._append

    def telling(self, *given, **named):
        told.append(desk.told())
        append(self, *given, **named)

    monkeypatch.setattr(Desk, "_append", telling)
    desk.open(art, Job())
    assert [("empty" in one, one["serial"]) for one in told] == [(False, 1)]
    assert desk.told()["serial"] == 2


def test_kept_work_that_cannot_be_read_names_the_way_out(desk, art, tmp_path):
    (desk.keeper.folder / "job.toml").write_text("[face", encoding="utf-8")
    other = Desk(folder=tmp_path)
    with pytest.raises(FiligreeError, match=r"eight-page/job.toml: .*--anew"):
        other.open(art, Job())
    assert not other.open(art, Job(), anew=True)
    assert load_job(tmp_path / "eight-page" / "job.toml") == Job()
    assert (tmp_path / "eight-page" / "job-1.toml").read_text(encoding="utf-8") == "[face"


def test_beginning_anew_keeps_a_copy_of_each_earlier_work(desk, art, tmp_path):
    folder = desk.keeper.folder
    (folder / "notes.txt").write_text("mine", encoding="utf-8")
    pick(desk, opened(desk)[:1], "keep")
    first = (folder / "job.toml").read_bytes()
    one = Desk(folder=tmp_path)
    one.open(art, Job(), anew=True)
    assert one.keeper.laid_aside == folder / "job-1.toml"
    assert (folder / "job-1.toml").read_bytes() == first
    pick(one, opened(one)[1:], "keep")
    second = (folder / "job.toml").read_bytes()
    two = Desk(folder=tmp_path)
    two.open(art, Job(), anew=True)
    assert (folder / "job-2.toml").read_bytes() == second
    assert (folder / "job-1.toml").read_bytes() == first
    assert (folder / "notes.txt").read_text(encoding="utf-8") == "mine"
    three = Desk(folder=tmp_path)
    three.open(art, Job(), anew=True)
    assert three.keeper.laid_aside is None, "what is begun anew twice is not copied twice"
