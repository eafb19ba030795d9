"""Nouns of a batch: what is handed out, what comes back, and what is written down."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from msgspec import Struct

Files = Literal["all", "cuts"]
State = Literal["holds", "stop", "failed"]


class Row(Struct, frozen=True, kw_only=True):
    """One piece of a batch.

    `art` and `folder` are relative to the folders of the batch; `key` stands for drawing, settings and
    version, `content` for the files made.
    """

    art: str
    folder: str
    state: State
    say: str
    openings: int = 0
    stops: int = 0
    cautions: int = 0
    key: str = ""
    content: str = ""


class Result(Struct, frozen=True, kw_only=True):
    """What `batch.json` holds, in the order of the folders' names."""

    format: Literal["filigree-batch"] = "filigree-batch"
    version: Literal[1] = 1
    pieces: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece to make; everything in it travels to another process or machine.

    Attributes:
        art: name of the drawing, relative to the batch's folder.
        data: the drawing.
        job: settings as text.
        folder: where the piece goes, relative to the output folder.
        files: "all" or "cuts".
        key: name of the content; equal keys give equal pieces.
    """

    art: str
    data: bytes
    job: str
    folder: str
    files: Files
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A piece that was made: its row and its files; no files when it failed.

    `fault` is the traceback of a fault of ours, else "".
    """

    row: Row
    files: Mapping[str, bytes]
    fault: str = ""


class Stopped(KeyboardInterrupt):
    """Ctrl-C in a batch: `done` of `of` pieces are made and written down."""

    def __init__(self, done: int, of: int) -> None:
        super().__init__(done, of)
        self.done = done
        self.of = of
