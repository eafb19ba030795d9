"""Words: what is said on a terminal, put for somebody who works on the page."""

import re
from functools import lru_cache
from typing import Final

_PUT: Final = (
    (r"--marks ([\d.]+)x([\d.]+)", r"by its corner marks, \1 x \2 mm apart"),
    (r"--(width|height) ([\d.]+ mm)", r"\1 set to \2"),
    (r"settle it with --open (\d+) or --keep \1", "open or keep it to settle it"),
    (r"name it with --open and its number on the proof", "open it here"),
    (r"give --rim (\d+)", r"give it a rim of \1 mm under Edge and size"),
    (r"give --gap (\d+)", r"let gaps of up to \1 mm close by themselves, under Close a gap"),
    (
        r"(allow|let) wider gaps (be closed )?with \[limits\] gap( in job\.toml)?",
        "let wider gaps close by themselves, under Close a gap",
    ),
    (
        r"give --marks WxH or --width LEN, or measure two points with filigree redraw --scale",
        "write its width, or what lies between its corner marks, and choose it again",
    ),
    (
        r"name another folder with -o",
        "see to room on the disk and who may write there, then save again",
    ),
    (r"(give|set) (only one of )?(its size with )?--width (or|and) --height", "set its true size"),
)


KEPT: Final = 20_000  # sentences: many places of one piece say the same again and again


@lru_cache(maxsize=KEPT)
def on_page(text: str) -> str:
    """Put a sentence so that it names what stands on the page, not options of a command.

    >>> on_page("Field 7 is guessed to stay: settle it with --open 7 or --keep 7.")
    'Field 7 is guessed to stay: open or keep it to settle it.'
    """
    for found, put in _PUT:
        text = re.sub(found, put, text)
    return text
