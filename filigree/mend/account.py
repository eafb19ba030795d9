"""Account: what mending has come to so far, and what each opening has lost of its drawn area."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from shapely import Polygon

from filigree.geometry.middle import Discs
from filigree.geometry.necks import NeckLines
from filigree.measure.model import Neck, Side
from filigree.measure.necks import neck_lines
from filigree.mend.axis import Axis
from filigree.mend.land import with_parts
from filigree.mend.mirror import Images
from filigree.mend.model import Change
from filigree.mend.patches import Leather
from filigree.mend.taking import Known, Taken
from filigree.pattern import Drawn, Pattern

SAME = 1e-6  # mm: widths this near are one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Search:
    """The necks of a pattern, searched once, and the leather worked out for them so far.

    Attributes:
        pattern: that was searched.
        under: mm.
        found: every neck line.
        rows: those that count.
        necks: in the order of the rows.
        discs: grown on its boundary so far.
        leather: by row, spared side and width.
        images: mirror images of leather.
        known: what is left of the openings when leather is taken from them.
    """

    pattern: Pattern
    under: float
    found: NeckLines
    rows: tuple[int, ...]
    necks: tuple[Neck, ...]
    discs: Discs
    leather: dict[tuple[int, Side | None, float], Leather] = field(default_factory=dict)
    images: Images = field(default_factory=dict)
    known: Known = field(default_factory=Known)


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
        last: the last search for necks, which holds as long as the pattern is the same.
        axes: lines of symmetry of the pattern when widening began.
    """

    pattern: Pattern
    drawn: dict[int, float]
    owner: dict[int, int]
    first_free: int
    lost: dict[int, float] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    filled: set[int] = field(default_factory=set)
    last: Search | None = None
    axes: tuple[Axis, ...] = ()

    @classmethod
    def of(cls, pattern: Pattern, *, first_free: int) -> "Account":
        """Open an account of a pattern as drawn, or go on with that of one that was mended before."""
        owner = {o.id: o.id if o.drawn is None else o.drawn.id for o in pattern.openings}
        drawn, left = {}, dict.fromkeys(owner.values(), 0.0)
        for o in pattern.openings:
            drawn[owner[o.id]] = o.area_mm2 if o.drawn is None else o.drawn.area_mm2
            left[owner[o.id]] += o.area_mm2
        return cls(
            pattern=pattern,
            drawn=drawn,
            owner=owner,
            first_free=first_free,
            lost={d: area - left[d] for d, area in drawn.items() if area != left[d]},
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
            last=self.last,
            axes=self.axes,
        )

    def search(self, under: float) -> Search:
        """Find the necks of the pattern as it stands, unless they are known."""
        last = self.last
        if last is None or last.pattern is not self.pattern or last.under != under:
            before = last.found if last is not None else None
            found, rows, necks = neck_lines(self.pattern, under=under, last=before)
            last = Search(
                pattern=self.pattern,
                under=under,
                found=found,
                rows=rows,
                necks=necks,
                discs=Discs(found.rings),
            )
            self.last = last
        return last

    def over(self, taken: Taken, most: float) -> set[int]:
        """Give the openings as drawn that would lose more than the share `most`, or vanish."""
        sums: dict[int, float] = {}
        for i, area in taken.lost.items():
            sums[self.owner[i]] = sums.get(self.owner[i], 0.0) + area
        return {d for d, s in sums.items() if self.lost.get(d, 0.0) + s > most * self.drawn[d]}

    def room(self, most: float) -> dict[int, float]:
        """Area that each opening may still lose before its drawn one loses more than the share `most`, mm2."""
        return {
            o.id: most * self.drawn[d] - self.lost.get(d, 0.0)
            for o in self.pattern.openings
            for d in (self.owner[o.id],)
        }

    def now(self, drawn: Collection[int]) -> set[int]:
        """Give the openings that stand now for these openings as drawn."""
        return {o.id for o in self.pattern.openings if self.owner[o.id] in drawn}

    def spared(self, width: float) -> set[int]:
        """Give the openings as drawn that gave nothing when they were mended before to no more than this width, mm."""
        return {
            o.drawn.id
            for o in self.pattern.openings
            if o.drawn is not None and any(known <= width + SAME for known in o.drawn.spared)
        }

    def remembered(
        self, before: Pattern, spared: Sequence[tuple[float, Collection[int]]]
    ) -> Pattern:
        """Give the pattern, each opening that has changed or was spared with what it was as drawn.

        Args:
            before: the pattern that mending began with.
            spared: widths, mm, and the openings as drawn that gave nothing for them.
        """
        if not self.changes:
            return self.pattern
        known = {id(o.shape) for o in before.openings}
        openings = []
        for o in self.pattern.openings:
            owner = self.owner[o.id]
            widths = {width for width, own in spared if owner in own}
            if widths or id(o.shape) not in known:
                widths |= set(o.drawn.spared) if o.drawn is not None else set()
                was = Drawn(id=owner, area_mm2=self.drawn[owner], spared=tuple(sorted(widths)))
                openings.append(replace(o, drawn=was))
            else:
                openings.append(o)
        return replace(self.pattern, openings=tuple(openings))

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
