"""Worked: every noun of the road for one piece, as the writers read them."""

from dataclasses import dataclass

from filigree.checks.finding import Finding
from filigree.drawing.model import Drawing
from filigree.job import Job, Limits
from filigree.measure import Measures
from filigree.measure.stiffness import Load
from filigree.mend.advice import Advice
from filigree.mend.model import Mended
from filigree.pattern import Pattern
from filigree.plies.bench import Bench
from filigree.plies.model import Plies
from filigree.regions.model import Choice, RegionMap


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Read:
    """A drawing with its fields and what becomes of each."""

    drawing: Drawing
    regions: RegionMap
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Worked:
    """A piece worked out, nothing written.

    Attributes:
        job: the settings that were in force, picks included.
        limits: the limits worked out from them.
        drawing: the art as read.
        regions: its enclosed fields.
        choices: what becomes of each, in id order.
        drawn: outline and openings as drawn; None when the drawing has no outline.
        mended: what mending did to it; None when nothing was asked to be mended.
        advice: thickness and size at which it would hold as drawn; None when all could be mended.
        pattern: as it will be cut, mended or as drawn.
        cut: the pattern with its openings as they are cut on the grain side, set back by a bevel; None without a
            pattern.
        measures: of the finished face; None without a pattern.
        findings: stops first, then worst first.
        load: what works hardest; None when it was not asked for, or would take long.
        plies: the cut files; empty without a pattern.
        bench: what the papers say; None without a pattern, and when no papers are wanted.
    """

    job: Job
    limits: Limits
    drawing: Drawing
    regions: RegionMap
    choices: tuple[Choice, ...]
    drawn: Pattern | None
    mended: Mended | None
    advice: Advice | None
    pattern: Pattern | None
    measures: Measures | None
    findings: tuple[Finding, ...]
    plies: Plies
    load: Load | None = None
    cut: Pattern | None = None
    bench: Bench | None = None
