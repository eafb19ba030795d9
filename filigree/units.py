"""Lengths and thicknesses: ounces, irons, inches and millimetres.

1 oz of leather thickness is 1/64 in, 1 iron is 1/48 in (handbook 1.1).
"""

import math
import re
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from filigree.errors import FiligreeError

MM_PER_INCH = 25.4
MM_PER_OUNCE = MM_PER_INCH / 64
MM_PER_IRON = MM_PER_INCH / 48


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A range of thickness over a hide, mm; `low` equals `high` for a single figure."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Middle of the range, mm, for mass."""
        return (self.low + self.high) / 2


def mm_down(value: float, places: int = 2) -> str:
    """Print mm so that a bridge never looks wider than it is: rounded down.

    >>> mm_down(2.399)
    '2.39'
    """
    step = Decimal(1).scaleb(-places)
    return str(Decimal(repr(value)).quantize(step, rounding=ROUND_DOWN))
