"""Listed: the `[[mend]]` entries of a job, matched with places on the drawing.

"widen", "tie", "fill", "support", "strengthen", "round" and "blunt" name places; "spare" names an opening that gives nothing, when strands are widened
to the entry's width, or to the wanted width when it has none.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from shapely import Point

from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import Mend
from filigree.pattern import Pattern

NEAR = 0.6  # mm: an entry names the place this near
SPARE = "spare"
WIDEN = "widen"


@dataclass(slots=True)
class Listed:
    """Entries of a job and which of them have been met.

    Attributes:
        entries: in the order of the job.
        only: True when only places that are named are to be mended.
        met: for each entry whether a place was found for it.
    """

    entries: tuple[Mend, ...]
    only: bool
    met: list[bool] = field(default_factory=list)

    @classmethod
    def of(cls, entries: Sequence[Mend]) -> "Listed":
        """Take the entries of a job."""
        return cls(
            entries=tuple(entries),
            only=any(not e.as_drawn for e in entries),
            met=[False] * len(entries),
        )

    def asks(self, how: str, at: XY, width: float) -> bool:
        """Say whether a place is to be mended to `width` mm."""
        named, drawn = False, False
        for k, entry in enumerate(self.entries):
            if entry.how != how or _apart(entry.at, at) > NEAR:
                continue
            drawn |= entry.as_drawn
            same = entry.width is None or abs(entry.width - width) <= NEAR / 10
            named |= same and not entry.as_drawn
            self.met[k] |= same or entry.as_drawn
        return not drawn and (named or not self.only)

    def leaves(self, how: str, at: XY) -> bool:
        """Say whether a place is to stay as drawn."""
        return any(e.as_drawn and e.how == how and _apart(e.at, at) <= NEAR for e in self.entries)

    def names(self, how: str) -> bool:
        """Say whether any entry is of this kind."""
        return any(e.how == how for e in self.entries)

    def spared(self, pattern: Pattern, width: float | None) -> set[int]:
        """Give the openings that the entries spare when strands are widened to `width` mm."""
        found = set()
        for k, entry in enumerate(self.entries):
            if entry.how == SPARE and not entry.as_drawn and _same(entry.width, width):
                held = [o.id for o in pattern.openings if o.shape.intersects(Point(entry.at))]
                self.met[k] = bool(held)
                found.update(held)
        return found

    def gone(self, mended: Pattern) -> tuple[Mend, ...]:
        """Give the entries as drawn that fit no place."""
        return tuple(entry for _, entry in self._unmet(mended) if entry.as_drawn)

    def refuse_unmet(self, mended: Pattern, *, but: Sequence[Mend] = ()) -> None:
        """Refuse a list that no longer fits the drawing.

        Args:
            mended: the pattern in the end.
            but: entries that need not fit.

        Raises:
            FiligreeError: an entry names a place where nothing is to be mended.
        """
        for number, entry in self._unmet(mended):
            if entry not in but:
                where = f"{entry.at[0]:g}, {entry.at[1]:g}"
                raise FiligreeError(
                    f"entry {number} ({entry.how} at {where}) fits no place of the drawing",
                    remedy="remove the entry, or all of them, and run filigree mend again",
                    where="[[mend]]",
                )

    def _unmet(self, mended: Pattern) -> list[tuple[int, Mend]]:
        """Number, from 1, the entries that fit no place.

        A strand that another entry has already made wide enough needs nothing more: its entry fits when it
        names face beside an opening.
        """
        return [
            (number, entry)
            for number, (entry, met) in enumerate(zip(self.entries, self.met, strict=True), start=1)
            if not met and not (entry.how == WIDEN and _beside(entry, mended))
        ]


def _beside(entry: Mend, pattern: Pattern) -> bool:
    """Does an entry name a place on the face, no farther from an opening than its width?"""
    at = Point(entry.at)
    reach = entry.width if entry.width is not None else NEAR
    near = any(o.shape.dwithin(at, reach) for o in pattern.openings)
    return near and bool(pattern.land.intersects(at))


def _apart(one: XY, other: XY) -> float:
    return float(((one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2) ** 0.5)


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= NEAR / 10
