"""Lengths and thicknesses: ounces, irons, inches and millimetres.

1 oz of leather thickness is 1/64 in, 1 iron is 1/48 in (handbook 1.1). What people write is read by
`parse_thickness` and `parse_length`; everything else counts in mm.
"""

import re
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from fractions import Fraction

from filigree.errors import FiligreeError

MM_PER_INCH = 25.4
MM_PER_OUNCE = MM_PER_INCH / 64  # of thickness
MM_PER_IRON = MM_PER_INCH / 48
MM2_PER_FT2 = (12 * MM_PER_INCH) ** 2
MM2_PER_DM2 = 10_000.0

THINNEST, THICKEST = 0.1, 20.0  # mm, of any one leather
LONGEST = 5000.0  # mm, of anything a maker writes as a length
LONGEST_TEXT = 80  # characters
NOISE_PLACES = 6  # of mm: geometry is no finer, so a width is that of its rounding here

_INCH = Fraction("25.4")  # read exactly, so that 8 1/4 in is 209.55 and not a hair less
_INCH_NAMES = dict.fromkeys(("in", "inch", "inches", '"'), _INCH)
_THICKNESS_UNITS = {
    **dict.fromkeys(("oz", "ounce", "ounces"), _INCH / 64),
    **dict.fromkeys(("iron", "irons"), _INCH / 48),
    "mm": Fraction(1),
    "cm": Fraction(10),
    **_INCH_NAMES,
}
_LENGTH_UNITS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "pt": _INCH / 72,
    **_INCH_NAMES,
}
_DECIMAL = r"(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_FRACTION = r"[0-9]+\s*/\s*[0-9]+"
_UNIT = r"[a-z]+|\""
# a fraction is tried only where the unit is inches, so a slash elsewhere parts a range
_INCH_VALUE = rf"(?:[0-9]+[\s-]+{_FRACTION}|{_FRACTION}|{_DECIMAL})"
_ONE = re.compile(rf"({_DECIMAL})\s*({_UNIT})?")
_TWO = re.compile(rf"({_DECIMAL})\s*({_UNIT})?\s*(?:-|/|\bto\b)\s*({_DECIMAL})\s*({_UNIT})?")
_INCH_ONE = re.compile(rf"({_INCH_VALUE})\s*({_UNIT})")
_INCH_TWO = re.compile(
    rf"({_FRACTION}|{_DECIMAL})\s*({_UNIT})?\s*(?:-|\bto\b)\s*({_FRACTION}|{_DECIMAL})\s*({_UNIT})"
)
_THICKNESS_REMEDY = "write it like '4-5 oz', '9 iron', '1/8 in' or '3.2 mm'"
_LENGTH_REMEDY = "write it like '210 mm', '21 cm' or '8.25 in'; a bare number is mm"


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A range of thickness over a hide, mm; `low` equals `high` for a single figure."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Middle of the range, mm, for mass."""
        return (self.low + self.high) / 2

    def as_mm(self) -> str:
        """Print in mm to one decimal (handbook 1.1).

        >>> parse_thickness("4-5 oz").as_mm()
        '1.6-2.0 mm'
        """
        low, high = mm(self.low, 1), mm(self.high, 1)
        return f"{high} mm" if low == high else f"{low}-{high} mm"

    def as_oz(self) -> str:
        """Print in ounces of thickness, to a tenth where they are not whole.

        >>> parse_thickness("3.2 mm").as_oz()
        '8.1 oz'
        """
        low, high = (f"{round(v / MM_PER_OUNCE, 1):g}" for v in (self.low, self.high))
        return f"{high} oz" if low == high else f"{low}-{high} oz"


def parse_thickness(text: str, *, where: str = "") -> Span:
    """Read a thickness as leather is sold: a figure, or the range a hide varies over.

    `a-b`, `a/b` and `a to b` are ranges, in ounces when no unit stands there; with inches a slash is
    a fraction. A single figure needs its unit, since 2.4 mm and 2.4 oz are both common.

    Args:
        text: what was written.
        where: setting or option it came from, for the message.

    Raises:
        FiligreeError: not readable, reversed, zero, or outside 0.1 to 20 mm.

    >>> parse_thickness("4/5 oz")
    Span(low=1.5875, high=1.984375)
    >>> parse_thickness("1/8 in").high
    3.175
    """
    found = _read_thickness(_plain(text), where=where, text=text)
    if found is None:
        raise FiligreeError(
            f"thickness {_quoted(text)} cannot be read", remedy=_THICKNESS_REMEDY, where=where
        )
    low, high = map(float, found)
    if low > high:
        raise FiligreeError(
            f"thickness {_quoted(text)} runs backwards",
            remedy="write the thin end first",
            where=where,
        )
    if low < THINNEST or high > THICKEST:
        raise FiligreeError(
            f"thickness {_quoted(text)} is {_range(low, high)} mm, outside {THINNEST:g} to {THICKEST:g} mm",
            remedy="check figure and unit",
            where=where,
        )
    return Span(low, high)


def parse_length(text: str, *, where: str = "") -> float:
    """Read a length in mm; cm, m, in (fractions too) and pt are turned into mm.

    Raises:
        FiligreeError: not readable, zero, or above 5 m.

    >>> parse_length("8 1/4 in"), parse_length("12")
    (209.55, 12.0)
    """
    plain = _plain(text)
    exact = None
    if (m := _ONE.fullmatch(plain)) and (m[2] is None or m[2] in _LENGTH_UNITS):
        exact = _number(m[1]) * _LENGTH_UNITS[m[2] or "mm"]
    elif (m := _INCH_ONE.fullmatch(plain)) and m[2] in _INCH_NAMES:
        value = _inches(m[1])
        exact = None if value is None else value * _INCH
    elif m := _ONE.fullmatch(plain):
        raise FiligreeError(
            f"length {_quoted(text)} has an unknown unit", remedy=_LENGTH_REMEDY, where=where
        )
    if exact is None:
        raise FiligreeError(
            f"length {_quoted(text)} cannot be read", remedy=_LENGTH_REMEDY, where=where
        )
    length = float(exact)
    if not 0 < length <= LONGEST:
        raise FiligreeError(
            f"length {_quoted(text)} is {figure(length)} mm, outside 0 to {LONGEST:g} mm",
            remedy="check figure and unit",
            where=where,
        )
    return length


def is_nothing(text: str) -> bool:
    """Tell whether a length is written as none at all.

    >>> is_nothing("0"), is_nothing("0.0 mm"), is_nothing("0.1")
    (True, True, False)
    """
    return re.fullmatch(r"0+(\.0*)?\s*(mm|cm|in)?", text.strip()) is not None


def mm_down(value: float, places: int = 2) -> str:
    """Print mm so that a bridge never looks wider than it is: rounded down, but for the noise of geometry.

    >>> mm_down(2.399), mm_down(2.2999999999)
    ('2.39', '2.30')
    """
    step = Decimal(1).scaleb(-places)
    return str(Decimal(repr(round(float(value), NOISE_PLACES))).quantize(step, rounding=ROUND_DOWN))


def mm(value: float, places: int = 1) -> str:
    """Print a dimension, mm, rounded to nearest.

    >>> mm(2.38125)
    '2.4'
    """
    step = Decimal(1).scaleb(-places)
    return str(Decimal(repr(float(value))).quantize(step, rounding=ROUND_HALF_UP))


def figure(value: float) -> str:
    """Print a figure of any size for a message: four digits, or whole; no power of ten up to a million million.

    >>> figure(90000.0), figure(39.2906), figure(0.00004), figure(1e300)
    ('90000', '39.29', '0.00004', '1e+300')
    """
    if 1000 <= abs(value) < 1e12:
        return f"{value:.0f}"
    short = f"{value:.4g}"
    return f"{Decimal(short):f}" if 0 < abs(value) < 1 else short


def _range(low: float, high: float) -> str:
    return figure(low) if low == high else f"{figure(low)} to {figure(high)}"


def _plain(text: str) -> str:
    """Lower case, single spaces, plain hyphens; too long a text reads as nothing."""
    if len(text) > LONGEST_TEXT:
        return ""
    dashes = str.maketrans(
        {"\u2010": "-", "\u2011": "-", "\u2013": "-", "\u2014": "-", "\u2033": '"'}
    )
    return " ".join(text.lower().translate(dashes).split())


def _quoted(text: str) -> str:
    """The text in quotes, cut short and printable."""
    short = text if len(text) <= LONGEST_TEXT else text[:LONGEST_TEXT] + "..."
    return ascii(short) if not short.isprintable() else f"'{short}'"


def _read_thickness(plain: str, *, where: str, text: str) -> tuple[Fraction, Fraction] | None:
    """Low and high as written, mm, or None when nothing matches."""
    if (m := _INCH_ONE.fullmatch(plain)) and m[2] in _INCH_NAMES:
        value = _inches(m[1])
        return None if value is None else (value * _INCH, value * _INCH)
    if (m := _INCH_TWO.fullmatch(plain)) and m[4] in _INCH_NAMES and (m[2] or m[4]) in _INCH_NAMES:
        low, high = _inches(m[1]), _inches(m[3])
        return None if low is None or high is None else (low * _INCH, high * _INCH)
    if m := _TWO.fullmatch(plain):
        last = m[4] or m[2] or "oz"
        first = m[2] or last
        if first not in _THICKNESS_UNITS or last not in _THICKNESS_UNITS:
            return None
        return _number(m[1]) * _THICKNESS_UNITS[first], _number(m[3]) * _THICKNESS_UNITS[last]
    if (m := _ONE.fullmatch(plain)) is None:
        return None
    if m[2] is None:
        raise FiligreeError(
            f"thickness {_quoted(text)} has no unit",
            remedy=f"write '{m[1]} mm' or '{m[1]} oz'",
            where=where,
        )
    if m[2] not in _THICKNESS_UNITS:
        return None
    value = _number(m[1]) * _THICKNESS_UNITS[m[2]]
    return value, value


def counted(count: int, noun: str) -> str:
    """Count things in words.

    >>> counted(1, "opening"), counted(3, "opening"), counted(0, "stop")
    ('1 opening', '3 openings', '0 stops')
    """
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _number(text: str) -> Fraction:
    """A decimal with point or comma."""
    return Fraction(text.replace(",", "."))


def _inches(text: str) -> Fraction | None:
    """Inches of `1/8`, `1 1/8`, `1-1/8` or `0.125`; None for a zero denominator."""
    if "/" not in text:
        return _number(text)
    head, denominator = text.split("/")
    if int(denominator) == 0:
        return None
    *whole, numerator = re.split(r"[\s-]+", head.strip())
    return sum(map(int, whole)) + Fraction(int(numerator), int(denominator))
