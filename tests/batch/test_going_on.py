"""Going on: what one piece does to itself, its process or the system fails that piece alone."""

import json
import multiprocessing

import pytest
from shapely.errors import GEOSException

from filigree import pipeline
from filigree.batch import Task, batch, piece
from filigree.cli import main
from tests.batch.art import RING
from tests.batch.odd import odd


@pytest.fixture
def oddly(monkeypatch):
    """Have pieces made by `odd`."""
    monkeypatch.setattr("filigree.batch.elsewhere.piece", odd)


def states(result):
    return {row.folder: row.state for row in result.pieces}


GOOD = {"left-three": "holds", "one": "holds", "two": "holds"}


def test_a_piece_that_kills_its_process_fails_and_the_others_are_made(drawings, tmp_path, oddly):
    (drawings / "killer.svg").write_text(RING.format(x=20))
    told = []
    result = batch(
        drawings,
        tmp_path / "cut",
        files="cuts",
        workers=2,
        told=lambda done, of, row: told.append((done, of)),
    )
    assert states(result) == {"killer": "failed", **GOOD}
    assert result.pieces[0].say.startswith("killer.svg: its process ended before it was done")
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4)]
    assert (
        json.loads((tmp_path / "cut" / "batch.json").read_text())["pieces"][0]["folder"] == "killer"
    )


def test_a_process_killed_from_outside_costs_no_piece(drawings, tmp_path):
    killed = []

    def told(done, of, row):
        if not killed:
            for child in multiprocessing.active_children():
                child.kill()
                killed.append(child.pid)

    result = batch(drawings, tmp_path / "cut", files="cuts", workers=1, told=told)
    assert killed
    assert states(result) == GOOD


def test_faults_of_ours_fail_their_pieces_with_a_traceback_and_exit_3(
    drawings, tmp_path, oddly, capsys
):
    for name in ("geos", "key"):
        (drawings / f"{name}.svg").write_text(RING.format(x=20))
    out = tmp_path / "cut"
    code = main(["batch", str(drawings), "-o", str(out), "--files", "cuts", "--workers", "2"])
    printed = capsys.readouterr()
    assert code == 3
    assert "in odd" in printed.err
    assert "TopologyException: side location conflict" in printed.err
    assert "KeyError: 'vein'" in printed.err
    rows = {row["folder"]: row for row in json.loads((out / "batch.json").read_text())["pieces"]}
    assert {name: row["state"] for name, row in rows.items()} == {
        "geos": "failed",
        "key": "failed",
        **GOOD,
    }
    assert rows["key"]["say"] == "key.svg: a fault of filigree: KeyError: 'vein'"
    assert "meets the limits" in printed.out


TASK = Task(
    art="left/one.svg", data=RING.format(x=20).encode(), job="", folder="one", files="cuts", key=""
)
SHORT = [
    (MemoryError(), "left/one.svg: it needs more memory than there is; try fewer --workers"),
    (OSError(28, "No space left on device"), "refused (no space left on device); free some space"),
]


@pytest.mark.parametrize(("error", "says"), SHORT)
def test_what_the_machine_is_short_of_is_told(monkeypatch, error, says):
    def plan(art, job):
        raise error

    monkeypatch.setattr(pipeline, "plan", plan)
    row = piece(TASK).row
    assert row.state == "failed"
    assert says in row.say


def test_a_fault_of_ours_is_no_row(monkeypatch):
    def plan(art, job):
        raise GEOSException("torn")

    monkeypatch.setattr(pipeline, "plan", plan)
    with pytest.raises(GEOSException):
        piece(TASK)


def test_a_drawing_that_goes_away_meanwhile_fails_alone(drawings, tmp_path):
    for k in range(4):
        (drawings / f"more{k}.svg").write_text(RING.format(x=20 + k))

    def told(done, of, row):
        (drawings / "two.svg").unlink(missing_ok=True)

    result = batch(drawings, tmp_path / "cut", files="cuts", workers=1, told=told)
    assert {row.folder for row in result.pieces if row.state == "failed"} == {"two"}
    assert "two.svg: cannot be read (no such file or directory)" in result.pieces[-1].say
