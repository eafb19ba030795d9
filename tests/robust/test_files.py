"""Odd files, folders and names through the command line; nothing goes over the network."""

import os
import socket
import subprocess
import sys

import pytest

from filigree.cli import main
from tests.robust.running import accepted, drawing, make, refused

ODD_NAMES = [
    "a b.svg", "'quoted'.svg", '"double".svg', "-dash.svg", "--help.svg", "new\nline.svg",
    "tab\t.svg", "é✂.svg", "$(true).svg", "a;b&c|d.svg", "%s%n.svg", "{x}.svg", "<b>.svg",
    ".svg", "no-suffix", "wrong.png", "x" * 200 + ".svg", "back\\slash.svg", "\x1b[31m.svg",
]  # fmt: skip


@pytest.mark.parametrize("name", ODD_NAMES)
def test_odd_names_are_made(tmp_path, capsys, name):
    art = tmp_path / name
    art.write_text(drawing())
    said = accepted(tmp_path, capsys, make(tmp_path, art))
    assert "\x1b" not in said
    assert (tmp_path / "cut" / "face.svg").exists()


@pytest.mark.parametrize("name", ODD_NAMES)
def test_a_missing_file_of_an_odd_name_is_one_line(tmp_path, capsys, name):
    assert "\x1b" not in refused(tmp_path, capsys, make(tmp_path, tmp_path / name))


def fifo(path):
    os.mkfifo(path)


def listening(path):
    with socket.socket(socket.AF_UNIX) as end:
        end.bind(str(path))


KINDS = {
    "pipe": fifo,
    "socket": listening,
    "folder": lambda p: p.mkdir(),
    "device": lambda p: p.symlink_to("/dev/zero"),
    "nothing": lambda p: p.symlink_to("/dev/null"),
    "dangling link": lambda p: p.symlink_to("none.svg"),
    "link to itself": lambda p: p.symlink_to(p.name),
    "link to a folder": lambda p: p.symlink_to("."),
}


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
@pytest.mark.parametrize("command", ["make", "check", "mend"])
def test_what_is_no_regular_file_is_refused(tmp_path, capsys, command, kind):
    art = tmp_path / "art.svg"
    kind(art)
    out = [] if command == "check" else ["-o", str(tmp_path / "cut")]
    refused(tmp_path, capsys, [command, str(art), *out])


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
def test_settings_that_are_no_regular_file_are_refused(tmp_path, capsys, kind):
    art = tmp_path / "art.svg"
    art.write_text(drawing())
    kind(tmp_path / "odd.toml")
    refused(tmp_path, capsys, make(tmp_path, art, "--job", str(tmp_path / "odd.toml")))


PLACES = {
    "a file": lambda p: p.write_text("mine"),
    "a stranger's folder": lambda p: (p.mkdir(), (p / "mine.txt").write_text("mine")),
    "a pipe": fifo,
    "a link to itself": lambda p: p.symlink_to(p.name),
}


@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES.keys())
def test_a_place_that_is_taken_is_left_alone(tmp_path, capsys, place):
    art = tmp_path / "art.svg"
    art.write_text(drawing())
    place(tmp_path / "cut")
    refused(tmp_path, capsys, make(tmp_path, art))


@pytest.mark.parametrize("out", ["/proc/cut", "/dev/null/cut", "x" * 300, "art.svg/cut"])
def test_a_place_that_cannot_be(tmp_path, capsys, monkeypatch, out):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "art.svg").write_text(drawing())
    refused(tmp_path, capsys, ["make", "art.svg", "-o", out, "--files", "cuts"])


def test_a_link_to_a_drawing_is_followed(tmp_path, capsys):
    (tmp_path / "real.svg").write_text(drawing())
    (tmp_path / "art.svg").symlink_to("real.svg")
    accepted(tmp_path, capsys, make(tmp_path, tmp_path / "art.svg"))


def test_no_socket_is_opened_and_no_program_started(tmp_path, monkeypatch):
    art = tmp_path / "art.svg"
    outside = '<image href="http://example.invalid/a.png" width="9" height="9"/>'
    art.write_text(drawing(outside + '<style>@import "http://example.invalid/a.css";</style>'))

    def never(*args, **settings):
        raise AssertionError(f"reached out: {args}")

    for owner, name in [
        (socket, "socket"),
        (socket, "create_connection"),
        (socket, "getaddrinfo"),
        (subprocess, "Popen"),
        (os, "system"),
    ]:
        monkeypatch.setattr(owner, name, never)
    assert main(["make", str(art), "-o", str(tmp_path / "cut")]) in {0, 1}
    assert (tmp_path / "cut" / "proof.png").exists()


FENCE = (
    "import resource, sys\n"
    "resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))\n"
    "resource.setrlimit(resource.RLIMIT_CPU, (60, 60))\n"
    "from filigree.cli import run\n"
    "run()\n"
)
HEAVY = {
    "long path": drawing(f'<path fill="none" stroke="black" d="M0 0{"h1" * 1_000_001}"/>'),
    "crossing lines": drawing(
        '<path fill="none" stroke="black" d="'
        + "".join(f"M{i * 0.03} 0V40M0 {i * 0.025}H50" for i in range(1_500))
        + '"/>'
    ),
    "copies": drawing(
        '<g id="u0"><path d="M0 0H1"/></g>'
        + "".join(f'<g id="u{i}">' + f'<use href="#u{i - 1}"/>' * 10 + "</g>" for i in range(1, 9))
    ),
    "deep": drawing("<g>" * 500_000),
}


@pytest.mark.parametrize("data", HEAVY.values(), ids=HEAVY.keys())
def test_within_a_minute_and_four_gigabytes(tmp_path, data):
    art = tmp_path / "art.svg"
    art.write_text(data)
    ended = subprocess.run(
        [sys.executable, "-c", FENCE, *make(tmp_path, art)],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert ended.returncode == 2, ended.stderr[-500:]
    assert ended.stderr.count("\n") == 1
    assert [p.name for p in tmp_path.iterdir()] == ["art.svg"]
