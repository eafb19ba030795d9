"""Finding: one place where the face falls short of a limit, and what to do."""

from dataclasses import dataclass
from typing import Literal

from filigree.geometry.types import XY


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One row of the report.

    Attributes:
        check: name of the check, for example "bridge".
        severity: "stop" or "caution".
        at: the place, mm.
        measured: what was found, in `unit`.
        wanted: what the limit asks for, in `unit`.
        say: one sentence that names the place and a remedy that removes the finding when done.
        why: which limit applied and where it comes from ("1.5 x 2.38 mm, by knife").
        unit: "mm", "mm2", "deg", "%" or "" for a plain count.
        ends: the measured width as a line, `(from, to)`, or None.
    """

    check: str
    severity: Literal["stop", "caution"]
    at: XY
    measured: float
    wanted: float
    say: str
    why: str = ""
    unit: str = "mm"
    ends: tuple[XY, XY] | None = None
