"""Folders: one whole result at any moment, and nothing of anybody else's touched."""

import errno
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from filigree.errors import FiligreeError
from filigree.output import folder, swap
from filigree.output.folder import MARKER, names_written, write_folder

OLD = {"face.svg": b"old face", "proof.svg": b"old proof", "gone.svg": b"old only"}
NEW = {"face.svg": b"new face", "proof.svg": b"new proof", "added.svg": b"new only"}
STRANGERS = {"notes.txt": b"mine", "added.svg.txt": b"mine too", "photos/one.jpg": b"picture"}

# a process that forks a writing for each line it reads; the writing stops just before its n-th step
RUNS = """
import json, os, sys
from pathlib import Path
from filigree.output import swap
from filigree.output.folder import write_folder

def one(out, stop, how, way, files):
    steps = 0
    def count(event, args):
        nonlocal steps
        if event.startswith("os.") or event in ("open", "shutil.copytree"):
            steps += 1
            if steps == stop:
                os.kill(os.getpid(), how)
    if way == "two steps":
        swap._exchanged = lambda one, other: False
    sys.addaudithook(count)
    try:
        write_folder(Path(out), {name: data.encode() for name, data in files.items()})
    except KeyboardInterrupt:
        os._exit(130)
    os._exit(0)

for line in sys.stdin:
    child = os.fork()
    if child == 0:
        one(*json.loads(line))
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""


@pytest.fixture
def stopped_run():
    """Write NEW into a folder, stopped by a signal before its n-th step; gives the exit code."""
    process = subprocess.Popen(
        [sys.executable, "-c", RUNS], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )

    def run(out: Path, stop: int, how: int, way: str) -> int:
        files = {name: data.decode() for name, data in NEW.items()}
        process.stdin.write(json.dumps([str(out), stop, int(how), way, files]) + "\n")
        process.stdin.flush()
        return int(process.stdout.readline())

    yield run
    process.stdin.close()
    assert process.wait(timeout=60) == 0
    process.stdout.close()


def contents(out: Path) -> dict[str, bytes]:
    return {
        p.relative_to(out).as_posix(): p.read_bytes()
        for p in sorted(out.rglob("*"))
        if p.is_file() and p.name != MARKER
    }


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def ours_with_strangers(out: Path) -> None:
    write_folder(out, OLD)
    (out / "photos").mkdir()
    for name, data in STRANGERS.items():
        (out / name).write_bytes(data)
    (out / "link").symlink_to("notes.txt")


def test_a_fresh_folder_holds_the_files_and_nothing_beside_it(tmp_path):
    write_folder(tmp_path / "deep" / "down" / "cut", NEW)
    assert contents(tmp_path / "deep" / "down" / "cut") == NEW
    assert [p.name for p in (tmp_path / "deep" / "down").iterdir()] == ["cut"]


def test_the_new_files_replace_the_old_ones_and_strangers_stay(tmp_path):
    out = tmp_path / "cut"
    ours_with_strangers(out)
    (out / "notes.txt").chmod(0o640)
    write_folder(out, NEW)
    assert contents(out) == {**NEW, **STRANGERS, "link": b"mine"}
    assert (out / "link").is_symlink()
    assert (out / "notes.txt").stat().st_mode & 0o777 == 0o640
    assert names(tmp_path) == ["cut"]


def test_a_strangers_file_under_a_new_name_of_ours_is_kept_beside_it(tmp_path):
    out = tmp_path / "cut"
    write_folder(out, OLD)
    (out / "added.svg").write_bytes(b"mine")
    for _ in range(3):
        write_folder(out, NEW)
        assert contents(out) == {**NEW, "added.svg.yours": b"mine"}


def test_links_and_folders_under_our_names_are_strangers(tmp_path):
    out = tmp_path / "cut"
    write_folder(out, OLD)
    outside = tmp_path / "outside.svg"
    outside.write_bytes(b"outside")
    (out / "face.svg").unlink()
    (out / "face.svg").symlink_to(outside)
    (out / "gone.svg").unlink()
    (out / "gone.svg").mkdir()
    (out / "gone.svg" / "inner").write_bytes(b"inner")
    write_folder(out, NEW)
    assert contents(out) == {**NEW, "face.svg.yours": b"outside", "gone.svg/inner": b"inner"}
    assert outside.read_bytes() == b"outside"


def test_the_bytes_do_not_depend_on_the_name(tmp_path):
    write_folder(tmp_path / "one", NEW)
    write_folder(tmp_path / "two words", dict(reversed(NEW.items())))
    assert (tmp_path / "one" / MARKER).read_bytes() == (
        tmp_path / "two words" / MARKER
    ).read_bytes()
    assert names_written(tmp_path / "one") == set(NEW)


def test_a_folder_of_somebody_else_is_refused_before_anything_is_written(tmp_path):
    theirs = tmp_path / "theirs"
    theirs.mkdir()
    (theirs / "face.svg").write_bytes(b"theirs")
    with pytest.raises(FiligreeError, match="not written by filigree"):
        write_folder(theirs, NEW)
    assert contents(tmp_path) == {"theirs/face.svg": b"theirs"}


def test_an_empty_folder_may_be_used(tmp_path):
    (tmp_path / "cut").mkdir(mode=0o750)
    write_folder(tmp_path / "cut", NEW)
    assert contents(tmp_path / "cut") == NEW
    assert (tmp_path / "cut").stat().st_mode & 0o777 == 0o750


def test_a_link_to_a_folder_is_followed(tmp_path):
    write_folder(tmp_path / "real", OLD)
    (tmp_path / "link").symlink_to("real")
    write_folder(tmp_path / "link", NEW)
    assert (tmp_path / "link").is_symlink()
    assert contents(tmp_path / "real") == NEW


@pytest.mark.parametrize(
    "name", ["a file", "a fifo", "a circle", "x" * 300, "nul\0", "a file/below"]
)
def test_what_is_in_the_way_is_said_in_one_line(tmp_path, name):
    (tmp_path / "a file").write_bytes(b"theirs")
    os.mkfifo(tmp_path / "a fifo")
    (tmp_path / "a circle").symlink_to("a circle")
    before = names(tmp_path)
    with pytest.raises(FiligreeError) as caught:
        write_folder(tmp_path / name, NEW)
    assert "-o" in str(caught.value)
    assert "\n" not in str(caught.value)
    assert names(tmp_path) == before


def test_the_folder_one_stands_in_is_refused(tmp_path, monkeypatch):
    write_folder(tmp_path / "cut", OLD)
    monkeypatch.chdir(tmp_path / "cut")
    for out in (Path(), Path(".."), tmp_path):
        with pytest.raises(FiligreeError, match="stand in"):
            write_folder(out, NEW)
    assert contents(tmp_path / "cut") == OLD


@pytest.mark.parametrize("name", ["", ".", "..", "a/b", MARKER])
def test_only_plain_names_are_files(tmp_path, name):
    with pytest.raises(ValueError, match="plain file name"):
        write_folder(tmp_path / "cut", {name: b""})
    assert names(tmp_path) == []


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES, errno.EIO])
@pytest.mark.parametrize("at", range(1, 5))
def test_a_disk_that_fails_leaves_the_old_result(tmp_path, monkeypatch, number, at):
    out = tmp_path / "cut"
    ours_with_strangers(out)
    before = contents(out)
    calls = []
    true_fsync = os.fsync

    def failing(handle):
        calls.append(handle)
        if len(calls) == at:
            raise OSError(number, os.strerror(number))
        true_fsync(handle)

    monkeypatch.setattr(folder.os, "fsync", failing)
    with pytest.raises(FiligreeError, match=os.strerror(number).lower()):
        write_folder(out, NEW)
    assert contents(out) == before
    assert names(tmp_path) == ["cut"]


def test_a_failed_first_writing_leaves_no_folders(tmp_path, monkeypatch):
    monkeypatch.setattr(folder.os, "fsync", _full)
    with pytest.raises(FiligreeError, match="free some space"):
        write_folder(tmp_path / "deep" / "down" / "cut", NEW)
    assert names(tmp_path) == []


def _full(handle):
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_limit_on_file_size_leaves_the_old_result(tmp_path):
    out = tmp_path / "cut"
    write_folder(out, OLD)
    script = (
        "import resource, signal, sys; from pathlib import Path\n"
        "from filigree.errors import FiligreeError\n"
        "from filigree.output.folder import write_folder\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
        "try: write_folder(Path(sys.argv[1]), {'big.svg': b'x' * 100_000})\n"
        "except FiligreeError as error: print(error)\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", script, str(out)],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    assert "cannot be written (file too large)" in ended.stdout
    assert contents(out) == OLD
    assert names(tmp_path) == ["cut"]


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT])
@pytest.mark.parametrize("way", ["one step", "two steps"])
@pytest.mark.parametrize("old", [True, False])
def test_stopped_at_any_step_the_old_result_or_the_new_is_whole(
    stopped_run, tmp_path, how, way, old
):
    if way == "one step" and not swap._exchanged(*_two_folders(tmp_path)):
        way = "two steps"
    stop, code = 0, None
    while code != 0:
        stop += 1
        assert stop < 400, "the run never came to its end"
        out = tmp_path / f"run {stop}" / "cut"
        out.parent.mkdir()
        if old:
            ours_with_strangers(out)
        before = contents(out) if old else None
        code = stopped_run(out, stop, how, way)
        assert code in {0, 130 if how == signal.SIGINT else -signal.SIGKILL}
        after = contents(out) if out.exists() else None
        strangers = {**STRANGERS, "link": b"mine"} if old else {}
        if not (
            way == "two steps" and after is None
        ):  # there an instant without either is unavoidable
            assert after in (before, {**NEW, **strangers}), f"step {stop}"
        if how == signal.SIGINT:
            assert set(names(out.parent)) <= {"cut"}, f"step {stop}"
        write_folder(out, NEW)  # the next run clears up
        assert contents(out) == {**NEW, **strangers}, f"step {stop}"
        assert names(out.parent) == ["cut"], f"step {stop}"
    assert stop > 9


def _two_folders(base: Path) -> tuple[Path, Path]:
    for name in ("swap one", "swap other"):
        (base / name).mkdir()
    return base / "swap one", base / "swap other"


def test_two_runs_at_a_time_end_with_one_whole_result(tmp_path):
    out = tmp_path / "cut"
    ours_with_strangers(out)
    script = (
        "import sys; from pathlib import Path\n"
        "from filigree.output.folder import write_folder\n"
        "for _ in range(20): write_folder(Path(sys.argv[1]), {f'{k}.svg': sys.argv[2].encode() for k in range(9)})\n"
    )
    runs = [
        subprocess.Popen([sys.executable, "-c", script, str(out), name], stderr=subprocess.PIPE)
        for name in ("one", "two")
    ]
    assert [run.communicate(timeout=60)[1] for run in runs] == [b"", b""]
    held = contents(out)
    assert {k: held.pop(k) for k in (*STRANGERS, "link")} == {**STRANGERS, "link": b"mine"}
    assert held in [{f"{k}.svg": name for k in range(9)} for name in (b"one", b"two")]
    assert names(tmp_path) == ["cut"]


def test_a_run_that_never_ends_is_waited_for_and_told(tmp_path, monkeypatch):
    monkeypatch.setattr(swap, "PATIENCE", 0.1)
    with (
        swap.locked(tmp_path / ".cut.filigree-lock"),
        pytest.raises(FiligreeError, match="another run"),
    ):
        write_folder(tmp_path / "cut", NEW)
    assert not (tmp_path / "cut").exists()
