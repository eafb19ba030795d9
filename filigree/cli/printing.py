"""What a command prints: results on standard output, progress on standard error for a terminal only."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Protocol

import click

from filigree.cli import HOLDS, STOP
from filigree.cli.leaving import drop_output

_CLEAR = "\r\x1b[K"


class Answer(Protocol):
    """What a finished piece can say of itself."""

    @property
    def holds(self) -> bool:
        """True when the face meets the limits."""

    def as_json(self) -> str:
        """The report as JSON."""

    def as_text(self) -> str:
        """The verdict, then the findings."""


def say(text: str | bytes) -> None:
    """Print on standard output; when its reader has left, the command still ends with its verdict."""
    try:
        click.echo(text)
    except BrokenPipeError:
        drop_output()


def answer(piece: Answer, *, as_json: bool, then: str = "") -> int:
    """Print a finished piece, as JSON alone or as text and a last line; give its exit code."""
    if as_json:
        say(piece.as_json().rstrip("\n").encode())  # UTF-8 whatever the terminal speaks
    else:
        say("\n\n".join(filter(None, (piece.as_text().rstrip("\n"), then))))
    return HOLDS if piece.holds else STOP


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
