"""Account: what mending has come to so far, and what each opening has lost of its drawn area."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from shapely import Polygon

from filigree.mend.model import Change
from filigree.mend.taking import Taken, with_parts
from filigree.pattern import Pattern


@dataclass(slots=True)
class Account:
    """A pattern being mended.

    Attributes:
        pattern: as it stands.
        drawn: area of each opening as drawn, mm2, by id.
        owner: the opening as drawn that each opening is a part of.
        first_free: number of the next opening that comes apart.
        lost: area lost, mm2, by opening as drawn.
        changes: in the order in which they were made.
        filled: openings that are gone.
    """

    pattern: Pattern
    drawn: dict[int, float]
    owner: dict[int, int]
    first_free: int
    lost: dict[int, float] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    filled: set[int] = field(default_factory=set)

    @classmethod
    def of(cls, pattern: Pattern, *, first_free: int) -> "Account":
        """Open an account of a pattern as drawn."""
        return cls(
            pattern=pattern,
            drawn={o.id: o.area_mm2 for o in pattern.openings},
            owner={o.id: o.id for o in pattern.openings},
            first_free=first_free,
        )

    def copy(self) -> "Account":
        """Give an account that goes on from here by itself."""
        return Account(
            pattern=self.pattern,
            drawn=dict(self.drawn),
            owner=dict(self.owner),
            first_free=self.first_free,
            lost=dict(self.lost),
            changes=list(self.changes),
            filled=set(self.filled),
        )

    def over(self, taken: Taken, most: float) -> set[int]:
        """Give the openings as drawn that would lose more than the share `most`, or vanish."""
        sums: dict[int, float] = {}
        for i, area in taken.lost.items():
            sums[self.owner[i]] = sums.get(self.owner[i], 0.0) + area
        return {d for d, s in sums.items() if self.lost.get(d, 0.0) + s > most * self.drawn[d]}

    def now(self, drawn: Collection[int]) -> set[int]:
        """Give the openings that stand now for these openings as drawn."""
        return {o.id for o in self.pattern.openings if self.owner[o.id] in drawn}

    def record(
        self,
        parts: Mapping[int, Sequence[Polygon]],
        lost: Mapping[int, float],
        changes: Sequence[Change],
    ) -> None:
        """Put what is left of openings into the pattern, with what was done."""
        self.pattern, came_from = with_parts(self.pattern, parts, first_free=self.first_free)
        for new, old in came_from.items():
            self.owner[new] = self.owner[old]
            self.first_free = max(self.first_free, new + 1)
        for i, area in lost.items():
            drawn = self.owner[i]
            self.lost[drawn] = self.lost.get(drawn, 0.0) + area
        self.filled |= {i for i, own in parts.items() if not own}
        self.changes += changes
