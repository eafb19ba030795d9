"""Mended: a pattern with leather added, what was done where, and what could not be done."""

from dataclasses import dataclass
from typing import Literal

from filigree.geometry.types import XY, Area
from filigree.job import Mend
from filigree.pattern import Pattern

How = Literal["widen", "tie", "fill", "support", "strengthen", "round", "blunt"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Change:
    """One place that was mended.

    Attributes:
        how: "widen" a bridge, "tie" a loose part, "fill" an opening, "support" a long strand, "strengthen"
            the weakest way across, "round" a corner of an opening, "blunt" a point of face.
        at: the place on the drawing, mm; it names the change in `job.toml`.
        why: one sentence.
        before: width before, mm, radius of a corner or point; 0 for a loose part or a filled opening.
        after: width or radius after, mm.
        lost: area lost by each opening, mm2, by opening id; under 0 where a point of face was blunted.
        added: leather added; of a blunted point, the leather cut away.
        end: of a tie that supports a strand: where it meets other leather.
    """

    how: How
    at: XY
    why: str
    before: float
    after: float
    lost: tuple[tuple[int, float], ...]
    added: Area
    end: XY | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmended:
    """One place that could not be mended within the limit of change."""

    at: XY
    why: str
    width: float
    wanted: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mended:
    """The result of mending.

    Attributes:
        pattern: with the leather added; the very same pattern when nothing was to be done.
        changes: in the order in which they were made.
        unmended: narrowest first.
        filled: ids of the openings that are gone.
        entries: the changes as `[[mend]]` entries; a job that holds them gives the same result.
        gone: entries as drawn that fitted no place, where that was forgiven.
    """

    pattern: Pattern
    changes: tuple[Change, ...]
    unmended: tuple[Unmended, ...]
    filled: tuple[int, ...]
    entries: tuple[Mend, ...]
    gone: tuple[Mend, ...] = ()
