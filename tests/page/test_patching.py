"""Patches: what is sent after a change is what has changed, and gives the whole state again."""

import random

import msgspec
import pytest

from filigree.job import Job
from filigree.page import edits
from filigree.page.desk import Desk
from filigree.page.patching import fits, patch


def grown(state, told):
    """Apply a patch as the page does."""
    out = {**state, **told}
    for key, rows in told["rows"].items():
        out[key] = [rows.get(str(k), row) for k, row in enumerate(state[key])]
    for key, runs in told["runs"].items():
        out[key] = [
            row
            for run in runs
            for row in (state[key][run[0] : sum(run)] if isinstance(run, list) else [run])
        ]
    return {k: v for k, v in out.items() if k not in {"since", "rows", "runs"}}


@pytest.fixture
def desk(art, tmp_path):
    made = Desk(folder=tmp_path)
    made.open(art, Job())
    return made


def test_patches_give_the_state(desk):
    rng = random.Random(5)
    shown = msgspec.json.decode(msgspec.json.encode(desk.told()))
    changes = [
        lambda job, on: edits.picked(
            job, on.piece.regions, [rng.randint(2, 9)], rng.choice(["open", "keep", "guess"])
        ),
        lambda job, _: edits.with_settings(job, {"cut.way": rng.choice(["knife", "laser"])}),
        lambda job, _: edits.with_settings(
            job, {"face.thickness": rng.choice(["4-5 oz", "13-14 oz"])}
        ),
        lambda job, _: edits.one_colour(job, rng.choice(["teal", "red"])),
    ]
    for _ in range(24):
        before = desk.told()
        if rng.random() < 0.2:
            desk.move(desk.turn, -1)
        else:
            desk.change(desk.turn, rng.choice(changes))
        assert fits(before, desk.told())
        shown = grown(shown, msgspec.json.decode(msgspec.json.encode(desk.told_since(before))))
        assert shown == msgspec.json.decode(msgspec.json.encode(desk.told()))


def test_a_click_sends_little(desk):
    desk.change(desk.turn, lambda job, _: edits.with_settings(job, {"face.thickness": "13-14 oz"}))
    before = desk.told()
    desk.change(desk.turn, lambda job, on: edits.picked(job, on.piece.regions, [2], "keep"))
    sent = desk.told_since(before)
    assert sent["since"] == before["turn"]
    assert "settings" not in sent
    assert "palette" not in sent
    assert len(sent["rows"]["fields"]) == 1
    kept = sum(run[1] for run in sent["runs"]["findings"] if isinstance(run, list))
    assert kept > len(before["findings"]) / 2


def test_another_drawing_is_told_whole(desk, art):
    before = desk.told()
    desk.drop(desk.turn, "wren.svg", art.read_bytes().replace(b'r="9"', b'r="8"'))
    assert not fits(before, desk.told())
    assert "since" not in desk.told_since(before)
    assert patch({"turn": 1, "fields": [], "findings": []}, {"turn": 2})["turn"] == 2


def test_what_changes_nothing_makes_no_step_to_undo(desk):
    turn, steps = desk.turn, len(desk.history)
    desk.change(turn, lambda job, _: edits.with_settings(job, {"cut.way": "knife"}))
    assert (desk.turn, len(desk.history)) == (turn, steps)
