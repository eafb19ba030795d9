"""Batch: many drawings, failures, resuming, variations; on this machine and on a cluster of two workers."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

from filigree.batch import batch, table
from filigree.errors import FiligreeError
from filigree.job import Face, Job
from filigree.pipeline import make
from tests.batch.art import RING, files_in


def test_every_drawing_gets_a_folder_and_a_failure_stops_nothing(drawings, tmp_path):
    (drawings / "broken.svg").write_text("no drawing")
    out = tmp_path / "cut"
    result = batch(drawings, out, files="cuts", workers=2)
    assert [(r.folder, r.state) for r in result.pieces] == [
        ("broken", "failed"),
        ("left-three", "holds"),
        ("one", "holds"),
        ("two", "holds"),
    ]
    assert (out / "left-three" / "face.svg").is_file()
    assert not (out / "broken").exists()
    assert "broken" in table(result).splitlines()[-1]


def test_what_is_up_to_date_is_not_made_again(drawings, tmp_path):
    out = tmp_path / "cut"
    batch(drawings, out, files="cuts", workers=1)
    seen = []
    (drawings / "two.svg").write_text(RING.format(x=33))
    again = batch(
        drawings, out, files="cuts", workers=1, told=lambda done, of, row: seen.append(row.folder)
    )
    assert seen == ["two"]
    assert len(again.pieces) == 3


def test_a_changed_setting_makes_all_again(drawings, tmp_path):
    out, seen = tmp_path / "cut", []
    batch(drawings, out, files="cuts", workers=1)
    batch(
        drawings,
        out,
        Job(face=Face(thickness="3-4 oz")),
        files="cuts",
        workers=1,
        told=lambda done, of, row: seen.append(done),
    )
    assert len(seen) == 3


def test_a_table_of_names_makes_a_piece_for_each(drawings, tmp_path):
    names = tmp_path / "names.csv"
    names.write_text("name,face.thickness,inlay.colour\nana,3-4 oz,blue\nbo,7-8 oz,\n")
    result = batch(drawings, tmp_path / "cut", vary=names, files="cuts", workers=2)
    assert [r.folder for r in result.pieces][:2] == ["left-three-ana", "left-three-bo"]
    assert (tmp_path / "cut" / "one-ana" / "inlay-blue.svg").is_file()
    assert "7-8 oz" in (tmp_path / "cut" / "one-bo" / "job.toml").read_text()


def test_an_empty_folder_is_told(tmp_path):
    with pytest.raises(FiligreeError, match="no drawing"):
        batch(tmp_path, tmp_path / "cut")


def test_one_worker_and_two_give_the_same_bytes(drawings, tmp_path):
    batch(drawings, tmp_path / "a", files="cuts", workers=1)
    batch(drawings, tmp_path / "b", files="cuts", workers=2)
    assert files_in(tmp_path / "a") == files_in(tmp_path / "b")


def test_a_cluster_that_loses_a_worker_gives_the_same_bytes(drawings, tmp_path):
    for k in range(6):
        (drawings / f"more{k}.svg").write_text(RING.format(x=20 + k))
    batch(drawings, tmp_path / "local", files="cuts", workers=1)
    spot = tmp_path / "scheduler.json"
    started = [
        subprocess.Popen(
            [
                sys.executable,
                "-m",
                "distributed.cli.dask_scheduler",
                "--host",
                "127.0.0.1",
                "--port",
                "0",
                "--no-dashboard",
                "--scheduler-file",
                str(spot),
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
    ]
    try:
        address = _address(spot)
        workers = [
            subprocess.Popen(
                [
                    sys.executable,
                    "-m",
                    "distributed.cli.dask_worker",
                    address,
                    "--nthreads",
                    "1",
                    "--no-dashboard",
                    "--no-nanny",
                    "--local-directory",
                    str(tmp_path / f"w{k}"),
                ],
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
            for k in range(2)
        ]
        started += workers
        lost = []

        def told(done, of, row):
            if not lost:
                workers[0].kill()
                lost.append(done)

        batch(drawings, tmp_path / "cluster", files="cuts", cluster=address, told=told)
    finally:
        for process in reversed(started):
            process.kill()
            process.wait()
    assert lost == [1]
    assert files_in(tmp_path / "cluster") == files_in(tmp_path / "local")


def _address(spot: Path) -> str:
    import json

    for _ in range(300):
        if spot.exists() and spot.read_text().strip():
            return json.loads(spot.read_text())["address"]
        time.sleep(0.1)
    raise AssertionError("the scheduler did not start")


def test_files_of_earlier_results_are_no_drawings(drawings, tmp_path):
    make(drawings / "one.svg", drawings / "one-cut", Job(), files="cuts")
    (drawings / "one-cut" / "own.svg").write_text(RING.format(x=50))
    result = batch(drawings, tmp_path / "cut", files="cuts", workers=1)
    assert [row.art for row in result.pieces] == [
        "left/three.svg",
        "one.svg",
        "one-cut/own.svg",
        "two.svg",
    ]
