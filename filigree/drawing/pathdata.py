"""Path data: the `d` attribute of a path, drawn with a pen.

On an error everything before it is kept, as SVG 2 (9.5.4) wants it, and the error is told.
"""

import math
import re
from collections.abc import Iterator

from filigree.drawing.numbers import BETWEEN, NUMBER
from filigree.drawing.trace import Pen
from filigree.geometry.arcs import arc_cubics
from filigree.geometry.types import XY

COMMAND = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
GAP = r"[\s,]*+"
ARC = re.compile(
    rf"{GAP}({NUMBER.pattern}){GAP}({NUMBER.pattern}){GAP}({NUMBER.pattern})"
    rf"{GAP}([01]){GAP}([01]){GAP}({NUMBER.pattern}){GAP}({NUMBER.pattern})"
)
# What may be numbers that stand apart, as most programs write them.
SPACED = re.compile(r"[0-9eE\s,.+-]*\Z")
# One closed or open run of straight lines between absolute points, as tracings and flattened art are written.
_NUMBER = r"[-+]?(?:\d++(?:\.\d*+)?|\.\d++)(?:[eE][-+]?\d++)?"
_POINT = rf"{_NUMBER}[\s,]++{_NUMBER}"
STRAIGHT = re.compile(rf"\s*+M\s*+({_POINT}(?:(?:\s*+L\s*+|\s++){_POINT})*+)\s*+(Z?)\s*+\Z")
APART = str.maketrans("L,", "  ")
TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "Z": 0, "A": 7}


class _BrokenError(ValueError):
    """Path data that cannot be read further."""


def draw_path(text: str, pen: Pen) -> str:
    """Draw path data.

    Returns:
        What is wrong with it, in words; "" when all of it was drawn.
    """
    if found := STRAIGHT.match(text):
        values = list(map(float, found[1].translate(APART).split()))
        if all(map(math.isfinite, values)):
            pen.lines(values)
            if found[2]:
                pen.close((values[0], values[1]))
                pen.at = (values[0], values[1])
            return ""
    try:
        _draw(text, pen)
    except _BrokenError as error:
        return str(error)
    return ""


def _commands(text: str) -> Iterator[tuple[str, list[float], str]]:
    """Each command with its numbers and, where they end in an error, what is wrong."""
    at = 0
    for found in COMMAND.finditer(text):
        if text[at : found.start()].strip(" \t\r\n\f"):
            raise _BrokenError(f"'{text[at : found.start()].strip()[:20]}' is not a path command")
        at = found.end()
        command, rest = found[1], found[2]
        if command in "Aa":
            yield command, *_arc_numbers(rest)
            continue
        yield command, *_numbers(rest, command)
    if text[at:].strip(" \t\r\n\f"):
        raise _BrokenError(f"'{text[at:].strip()[:20]}' is not a path command")


def _numbers(rest: str, command: str) -> tuple[list[float], str]:
    if SPACED.match(rest):
        try:
            return [float(n) for n in rest.replace(",", " ").split()], ""
        except ValueError:  # numbers that touch, which the slower way below takes apart
            pass
    wrong = ""
    left = NUMBER.sub("", rest)
    if not BETWEEN.match(left):
        bad = re.search(r"[^\s,\d.eE+-]", left) or re.search(r"\S", left)
        sign = bad[0] if bad else left
        rest, wrong = rest.partition(sign)[0], f"'{sign}' stands among the numbers of {command}"
    return [float(n) for n in NUMBER.findall(rest)], wrong


def _arc_numbers(text: str) -> tuple[list[float], str]:
    numbers: list[float] = []
    at = 0
    while found := ARC.match(text, at):
        numbers += map(float, found.groups())
        at = found.end()
    return numbers, "" if BETWEEN.match(
        text[at:]
    ) and numbers else "an arc lacks numbers or has a wrong flag"


def _draw(text: str, pen: Pen) -> None:
    start: XY = (0.0, 0.0)
    pen.at = start
    last, control, opened = "", start, False
    for command, numbers, wrong in _commands(text):
        kind = command.upper()
        if not last and kind != "M":
            raise _BrokenError(f"it starts with {command} instead of M")
        if kind == "Z":
            if opened:
                pen.close(start)
            opened, pen.at, last = False, start, kind
            if numbers or wrong:
                raise _BrokenError("numbers follow Z")
            continue
        takes, relative = TAKES[kind], command.islower()
        whole = len(numbers) - len(numbers) % takes
        for i in range(0, whole, takes):
            values = numbers[i : i + takes]
            if not all(map(math.isfinite, values)):
                raise _BrokenError("a number is not finite")
            x, y = pen.at if relative else (0.0, 0.0)
            if kind == "M" and i == 0:
                start = (x + values[0], y + values[1])
                pen.move(start)
                opened, last = True, "M"
                continue
            if not opened:
                pen.move(start)
                opened = True
            control = _piece("L" if kind == "M" else kind, values, pen, (x, y), control, last)
            last = kind
        if wrong or whole < len(numbers) or not numbers:
            raise _BrokenError(wrong or f"{command} lacks numbers")


def _piece(kind: str, v: list[float], pen: Pen, origin: XY, control: XY, last: str) -> XY:
    """Draw one piece; the control point that a smooth piece after it mirrors."""
    x, y = origin
    here = pen.at
    if kind == "L":
        pen.line((x + v[0], y + v[1]))
    elif kind == "H":
        pen.line((x + v[0], here[1]))
    elif kind == "V":
        pen.line((here[0], y + v[0]))
    elif kind in "CS":
        if kind == "S":
            first = (
                (2 * here[0] - control[0], 2 * here[1] - control[1]) if last in {"C", "S"} else here
            )
        else:
            first, v = (x + v[0], y + v[1]), v[2:]
        second = (x + v[0], y + v[1])
        pen.curve(first, second, (x + v[2], y + v[3]))
        return second
    elif kind in "QT":
        if kind == "T":
            middle = (
                (2 * here[0] - control[0], 2 * here[1] - control[1]) if last in {"Q", "T"} else here
            )
        else:
            middle, v = (x + v[0], y + v[1]), v[2:]
        end = (x + v[0], y + v[1])
        pen.curve(_towards(here, middle), _towards(end, middle), end)
        return middle
    else:
        _arc(v, pen, (x + v[5], y + v[6]))
    return pen.at


def _towards(end: XY, middle: XY) -> XY:
    """Inner point of the cubic that equals a quadratic."""
    return (end[0] + 2 * (middle[0] - end[0]) / 3, end[1] + 2 * (middle[1] - end[1]) / 3)


def _arc(v: list[float], pen: Pen, end: XY) -> None:
    if v[0] == 0 or v[1] == 0:
        pen.line(end)
        return
    pen.arc(
        arc_cubics(
            pen.at, rx=v[0], ry=v[1], rotation=v[2], large=v[3] != 0, sweep=v[4] != 0, end=end
        )
    )
    pen.at = end
