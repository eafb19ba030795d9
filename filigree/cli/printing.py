"""What a command prints: results on standard output, progress on standard error for a terminal only."""

import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import click

from filigree.cli import HOLDS, STOP
from filigree.cli.leaving import drop_output
from filigree.cli.refused import output_refused
from filigree.cli.usage import advised
from filigree.errors import one_line

if TYPE_CHECKING:
    from filigree.output.report import Report

MENDED = {"bridge", "island"}  # checks whose stops mending takes away
_CLEAR = "\r\x1b[K"


class Answer(Protocol):
    """What a finished piece can say of itself."""

    @property
    def holds(self) -> bool:
        """True when the face meets the limits."""

    @property
    def report(self) -> "Report":
        """What was found."""

    def as_json(self) -> str:
        """The report as JSON."""

    def as_text(self) -> str:
        """The verdict, then the findings."""


def say(text: str | bytes) -> None:
    """Print on standard output; when its reader has left, the command still ends with its verdict.

    Raises:
        FiligreeError: standard output cannot be written.
    """
    try:
        click.echo(text)
    except BrokenPipeError:
        drop_output()
    except OSError as error:
        raise output_refused(error) from error


def answer(piece: Answer, *, as_json: bool, then: str = "") -> int:
    """Print a finished piece, as JSON alone or as text and a last line; give its exit code."""
    if as_json:
        say(piece.as_json().rstrip("\n").encode())  # UTF-8 whatever the terminal speaks
    else:
        say("\n\n".join(filter(None, (piece.as_text().rstrip("\n"), then))))
    return HOLDS if piece.holds else STOP


def notes_kept(notes: Path | None) -> str:
    """Say where the maker's own text of the settings is, when other settings took its place; else nothing."""
    if notes is None:
        return ""
    return f"Your own job.toml, with its notes, is kept as {one_line(str(notes))}."


def mending_hint(piece: Answer, *, instead: str = "", more: Sequence[str] = ()) -> str:
    """Name the command that adds the missing leather, when every stop is of a kind that mending cures.

    Args:
        piece: what was found.
        instead: the command to use instead of the one typed.
        more: options to add to what was typed.
    """
    stops = {f.check for f in piece.report.findings if f.severity == "stop"}
    typed = click.get_current_context().find_root().obj
    if not stops or not stops <= MENDED or not typed:
        return ""
    return f"To have the missing leather added: {advised(typed, instead=instead, more=more)}"


def mended_words(report: "Report") -> str:
    """Say what mending did, what it left and why, and what would hold as drawn."""
    from filigree.units import counted

    mended = report.mended
    if mended is None:
        return ""
    if not mended.changes and not mended.unmended:
        return " ".join(filter(None, ("Nothing needs mending.", mended.advice)))
    said = [f"{counted(len(mended.changes), 'change')}."]
    why = Counter(row.why for row in mended.unmended)
    said += [
        f"Not mended: {counted(count, 'place')}, since {reason}."
        for reason, count in why.most_common()
    ]
    return " ".join(filter(None, (*said, mended.advice)))


@contextmanager
def progress() -> Iterator[Callable[[str], None] | None]:
    """Give a function to tell each step to, or None when nobody watches standard error."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    try:
        yield lambda step: click.echo(f"{_CLEAR}{step} ...", err=True, nl=False)
    finally:
        click.echo(_CLEAR, err=True, nl=False)
