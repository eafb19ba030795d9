"""`filigree page`: it starts, answers, ends with Ctrl-C, and goes on where it was left."""

import json
import os
import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from filigree.cli import INTERRUPTED, main

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def started(tmp_path):
    """Give a function that starts the command and waits for its address."""
    running = []

    def start(*args, art=("eight.svg",)):
        command = [sys.executable, "-m", "filigree", "page", *art, "--no-browser", *args]
        env = {**os.environ, "PYTHONPATH": str(ROOT)}
        process = subprocess.Popen(
            command, cwd=tmp_path, stdout=subprocess.PIPE, text=True, env=env
        )
        running.append(process)
        lines = []
        for line in process.stdout:
            lines.append(line)
            if found := re.search(r"http://127\.0\.0\.1:\d+/[\w-]{32}/", line):
                return process, found.group(), "".join(lines)
        pytest.fail(f"no address was printed: {lines}")

    yield start
    for process in running:
        process.kill()
        process.wait(timeout=20)
        process.stdout.close()


def test_a_folder_is_listed_and_saved_where_it_was_said(started, art, tmp_path):
    there = tmp_path / "drawings"
    there.mkdir()
    art.rename(there / art.name)
    _, address, _ = started("-o", "else/mine", art=["drawings"])
    with urllib.request.urlopen(address + "shelf", timeout=20) as answer:
        assert [one["name"] for one in json.load(answer)["shelf"]] == ["eight.svg"]
    turn = state(address)["turn"]
    turn = send(address, "choose", {"turn": turn, "name": "eight.svg", "inside": ""})["turn"]
    send(address, "save", {"turn": turn})
    assert (tmp_path / "else" / "mine" / "face.svg").is_file()
    assert sorted(p.name for p in there.iterdir()) == ["eight-page", "eight.svg"]


def state(address):
    with urllib.request.urlopen(address + "state", timeout=20) as answer:
        return json.load(answer)


def send(address, name, value):
    return post(address, name, json.dumps(value).encode())


def post(address, name, data):
    request = urllib.request.Request(
        address + name,
        data=data,
        headers={"origin": address.rsplit("/", 2)[0]},
    )
    with urllib.request.urlopen(request, timeout=20) as answer:
        return json.load(answer)


def test_it_goes_on_where_a_killed_run_was(started, art):
    process, address, said = started("--face", "5-6 oz")
    assert "Going on" not in said
    told = state(address)
    field = next(f["id"] for f in told["fields"] if f["open"])
    send(address, "pick", {"turn": told["turn"], "fields": [field], "kind": "keep"})
    process.kill()
    process.wait(timeout=20)
    process, address, said = started()
    assert "Going on from eight-page" in said
    kept = {f["id"]: f for f in state(address)["fields"]}[field]
    assert (kept["open"], kept["how"]) == (False, "picked")
    assert state(address)["settings"]["face.thickness"] == "5-6 oz"
    process.send_signal(signal.SIGINT)
    assert process.wait(timeout=20) == INTERRUPTED
    process, address, said = started("--anew")
    assert "Going on" not in said
    assert "the earlier work is in eight-page/job-1.toml" in said
    assert {f["id"]: f for f in state(address)["fields"]}[field]["open"]
    process.send_signal(signal.SIGINT)
    assert process.wait(timeout=20) == INTERRUPTED
    _, address, said = started("--anew", "--job", "eight-page/job-1.toml")
    assert not {f["id"]: f for f in state(address)["fields"]}[field]["open"], "nothing was lost"


def test_a_dropped_drawing_is_not_lost_with_a_killed_run(started, art, tmp_path):
    data = art.read_bytes()
    art.unlink()
    process, address, _ = started(art=())
    told = post(address, "drawing?turn=0&name=wren.svg", data)
    bridge = {"turn": told["turn"], "start": [20, 5], "end": [20, 35], "width": "3"}
    send(address, "bridge", bridge)
    told = state(address)
    assert told["byhand"]["bridge"] == [{"start": [20.0, 5.0], "end": [20.0, 35.0], "width": "3"}]
    os.kill(process.pid, signal.SIGKILL)
    process.wait(timeout=20)
    assert not list(tmp_path.glob(".*filigree*"))
    process, address, _ = started(art=(".",))
    assert state(address)["empty"]
    with urllib.request.urlopen(address + "shelf", timeout=20) as answer:
        shelf = json.load(answer)["shelf"]
    assert shelf == [{"name": "wren.svg", "inside": "wren-page", "begun": True}]
    again = send(address, "choose", {"turn": 0, "name": "wren.svg", "inside": "wren-page"})
    assert {k: again[k] for k in ("fields", "findings", "byhand", "settings")} == {
        k: told[k] for k in ("fields", "findings", "byhand", "settings")
    }


def test_a_missing_drawing_is_told_in_one_line(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["page", "none.svg", "--no-browser"]) == 2
    assert capsys.readouterr().err.startswith("filigree: none.svg: no such file")
