"""Small pieces of SVG shared by the writers: numbers, path data, text."""

import html

import numpy as np

from filigree.geometry.path import Path
from filigree.geometry.types import FloatArray

FONT = "Bitstream Vera Sans, DejaVu Sans, Verdana, sans-serif"
EM = 0.56  # mean advance of a letter of that font, em; from its metrics, for breaking lines


def number(value: float, places: int = 4) -> str:
    """Write a number without trailing zeros or a minus zero.

    >>> number(1.50004), number(-0.00001), number(3.0)
    ('1.5', '0', '3')
    """
    text = f"{value:.{places}f}".rstrip("0").rstrip(".") if places else f"{value:.0f}"
    return "0" if text in {"-0", ""} else text


def path_data(path: Path, places: int = 4) -> str:
    """Write a path as SVG path data: `L` where it is straight, `C` where it curves."""
    rounded = np.round(path.cubics, places) + 0.0
    text = [f"M{_pair(rounded[0, 0], places)}"]
    last = len(rounded) - 1
    for k, (piece, straight) in enumerate(
        zip(rounded.tolist(), path.straight.tolist(), strict=True)
    ):
        if straight and path.closed and k == last:
            continue  # the closing line is drawn by Z
        if straight:
            text.append(f"L{_pair(piece[3], places)}")
        else:
            text.append("C" + " ".join(_pair(point, places) for point in piece[1:]))
    return "".join(text) + ("Z" if path.closed else "")


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
