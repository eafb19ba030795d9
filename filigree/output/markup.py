"""Small pieces of SVG shared by the writers: numbers, path data, text."""

import html
import re
from typing import NamedTuple

import numpy as np

from filigree.geometry.path import Path
from filigree.geometry.types import FloatArray

FONT = "Bitstream Vera Sans, DejaVu Sans, Verdana, sans-serif"
EM = 0.56  # mean advance of a letter of that font, em; from its metrics, for breaking lines
TRAILING = re.compile(
    r"\.?0+(?![0-9.])"
)  # of a number with a point; a whole number keeps its zeros


class PathMarks(NamedTuple):
    """What stands round the numbers (`#`) of a path."""

    start: str
    line: str
    curve: str
    end: str


SVG = PathMarks("M#,#", "L#,#", "C#,# #,# #,#", "Z")


def number(value: float, places: int = 4) -> str:
    """Write a number without trailing zeros or a minus zero.

    >>> number(1.50004), number(-0.00001), number(3.0)
    ('1.5', '0', '3')
    """
    text = f"{value:.{places}f}".rstrip("0").rstrip(".") if places else f"{value:.0f}"
    return "0" if text in {"-0", ""} else text


def path_data(path: Path, places: int = 4) -> str:
    """Write a path as SVG path data: `L` where it is straight, `C` where it curves."""
    return path_text(path.cubics, path, SVG, places)


def path_text(cubics: FloatArray, path: Path, marks: "PathMarks", places: int = 4) -> str:
    """Write a path in one pass, its control points laid elsewhere or in another unit.

    Args:
        cubics: the control points to write, shape `(n, 4, 2)`.
        path: which of its pieces are straight, and whether it is closed.
        marks: what stands round the numbers.
        places: digits after the point; trailing zeros are left out.
    """
    rounded = np.round(cubics, places) + 0.0
    straight = path.straight
    written = np.repeat(~straight[:, None], 3, axis=1)  # of curves all points but the first
    written[:, 2] = True  # of straight pieces their end
    if path.closed and straight[-1]:
        written[-1] = False  # the closing line is drawn by the mark of the end
        straight = straight[:-1]
    pieces = (marks.curve, marks.line)
    form = "".join([marks.start, *(pieces[flat] for flat in straight.tolist())])
    form = form.replace("#", f"%.{places}f")
    values = [*rounded[0, 0].tolist(), *rounded[:, 1:][written].ravel().tolist()]
    return _plain(form % tuple(values), places) + (marks.end if path.closed else "")


def polyline_data(points: FloatArray, places: int = 2) -> str:
    """Write points as an open run of straight lines."""
    pairs = [_pair(point, places) for point in points.tolist()]
    return "M" + "L".join(pairs)


def escaped(text: str) -> str:
    """Escape text for SVG and HTML."""
    return html.escape(text, quote=True)


def broken(text: str, width: float, size: float) -> list[str]:
    """Break text into lines of at most `width` mm at a letter height of `size` mm."""
    room = max(int(width / (size * EM)), 8)
    lines = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > room:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _pair(point: FloatArray | list[float], places: int) -> str:
    return f"{number(point[0], places)},{number(point[1], places)}"


def _plain(text: str, places: int) -> str:
    """Take trailing zeros off numbers that were written with `places` places."""
    return TRAILING.sub("", text) if places else text
