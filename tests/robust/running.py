"""Run the command line on hostile input and hold it to its word: one line, code 2, nothing written."""

import time
from pathlib import Path

from filigree.cli import main

SPACE = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
SQUARE = '<path fill="none" stroke="black" d="M1 1H49V39H1Z"/>'
INNER = '<path fill="none" stroke="black" d="M15 12H35V28H15Z"/>'
SECONDS = 20.0  # of processor time: far above any refusal


def drawing(body: str = "", *, size: str = 'width="50mm" height="40mm"', head: str = "") -> str:
    """A frame with one field in it, and whatever else."""
    return f'{head}<svg {SPACE} {size} viewBox="0 0 50 40">{SQUARE}{INNER}{body}</svg>'


def everything(folder: Path) -> list[tuple[str, int]]:
    return sorted(
        (p.relative_to(folder).as_posix(), p.lstat().st_mtime_ns) for p in folder.rglob("*")
    )


def refused(folder: Path, capsys, args: list[str]) -> str:
    """Run; give the one line that says why not, after checking that nothing else happened."""
    before, begin = everything(folder), time.process_time()
    code = main(args)
    took = time.process_time() - begin
    said = capsys.readouterr()
    assert (code, said.out) == (2, ""), (code, said.out[:300], said.err[:300])
    assert said.err.startswith("filigree: ")
    assert said.err.endswith("\n")
    assert len(said.err.splitlines()) == 1, said.err[:500]
    assert len(said.err) < 600, said.err[:700]
    assert everything(folder) == before
    assert took < SECONDS
    return said.err


def accepted(folder: Path, capsys, args: list[str]) -> str:
    """Run; give what was said, after checking that the piece was made."""
    begin = time.process_time()
    code = main(args)
    took = time.process_time() - begin
    said = capsys.readouterr()
    assert code in {0, 1}, said.err[:500]
    assert said.err == ""
    assert took < SECONDS
    return said.out


def make(folder: Path, art: Path, *more: str) -> list[str]:
    """Words that make a piece of `art`, cuts alone, into `folder`/cut."""
    return ["make", str(art), "-o", str(folder / "cut"), "--files", "cuts", *more]
