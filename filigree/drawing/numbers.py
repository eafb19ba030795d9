"""Numbers and lengths as SVG writes them; a user unit is a CSS px of 1/96 in."""

import re

from filigree.units import MM_PER_INCH

# A number takes every digit it can (SVG 2, 9.3.9) and gives none back, or several in a row could share them in endless ways.
NUMBER = re.compile(r"[-+]?(?:\d++(?:\.\d*+)?+|\.\d++)(?:[eE][-+]?\d++)?+")
BETWEEN = re.compile(r"[\s,]*\Z")
LENGTH = re.compile(rf"\s*+({NUMBER.pattern})\s*+([A-Za-z%]*+)\s*+\Z")
PX_PER_INCH = 96.0  # CSS Values 3, 5.2
MM_PER_PX = MM_PER_INCH / PX_PER_INCH
UNITS = {
    "": 1.0,
    "px": 1.0,
    "in": PX_PER_INCH,
    "cm": PX_PER_INCH / 2.54,
    "mm": PX_PER_INCH / 25.4,
    "q": PX_PER_INCH / 101.6,
    "pt": PX_PER_INCH / 72,
    "pc": PX_PER_INCH / 6,
}  # px


def number_list(text: str) -> list[float]:
    """Read numbers parted by blanks or commas.

    Raises:
        ValueError: something else stands between them.
    """
    if not BETWEEN.match(NUMBER.sub("", text)):
        raise ValueError(f"not a list of numbers: {text.strip()[:40]}")
    return [float(number) for number in NUMBER.findall(text)]


def split_length(text: str) -> tuple[float, str]:
    """Split a length into its number and its unit in small letters.

    Raises:
        ValueError: it is not a number with a known unit.
    """
    match = LENGTH.match(text)
    unit = match[2].lower() if match else ""
    if not match or (unit not in UNITS and unit not in {"%", "em", "ex", "rem"}):
        raise ValueError(f"not a length: {text.strip()[:40]}")
    return float(match[1]), unit


def length(text: str, *, whole: float = 0.0, font: float = 16.0) -> float:
    """Read a length in px.

    Args:
        text: as written.
        whole: px that 100 % stands for.
        font: size of the font, px, for em.

    Raises:
        ValueError: it is not a length.

    >>> length("1in"), length("50%", whole=30.0)
    (96.0, 15.0)
    """
    value, unit = split_length(text)
    if unit == "%":
        return value * whole / 100
    if unit in {"em", "rem"}:
        return value * font
    if unit == "ex":
        return value * font / 2
    return value * UNITS[unit]
