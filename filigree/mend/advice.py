"""Advice: at which thickness, and at which size, a piece would hold as drawn; and a table over all weights."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np
from shapely import MultiLineString, Polygon, affinity

from filigree.checks import judge
from filigree.job import Job, Way, limits_of, loss_of
from filigree.measure import Measures, asked_of, measured
from filigree.mend.mend import mend
from filigree.pattern import Pattern, as_area

WEIGHTS = tuple(f"{low}-{low + 1} oz" for low in range(1, 13))  # as hides are sold (handbook 1.1)
LARGEST = 3.0  # times: a piece that must grow more is another piece
FINE = 0.005  # of the size


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What would make a piece hold as drawn.

    Attributes:
        thickness: the thickest common weight that holds, or "" when none does.
        scale: the least enlargement that holds at the job's own thickness, or None.
    """

    thickness: str
    scale: float | None

    @property
    def say(self) -> str:
        """Give it as words: "holds at 3-4 oz, or 18 % larger"."""
        parts = []
        if self.thickness:
            parts.append(f"at {self.thickness}")
        if self.scale is not None:
            parts.append(f"{100 * (self.scale - 1):.0f} % larger")
        if not parts:
            return (
                "As drawn it holds at no common weight, and at no size up to three times this one."
            )
        return f"As drawn it holds {', or '.join(parts)}."


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightRow:
    """Whether a piece meets the limits for one way of cutting and one weight."""

    way: Way
    thickness: str
    as_drawn: bool
    mended: bool


def advice(pattern: Pattern, job: Job) -> Advice:
    """Find the thickness and the size at which a pattern holds as drawn."""
    own = job.face.span.high
    found = _measured(pattern, job)
    thinner = [w for w in WEIGHTS if _with(job, thickness=w).face.span.high < own]
    holds = [w for w in thinner if _holds(found, _with(job, thickness=w))]
    return Advice(thickness=holds[-1] if holds else "", scale=_scale(pattern, job))


def weights(
    pattern: Pattern, job: Job, *, first_free: int, veins: MultiLineString
) -> tuple[WeightRow, ...]:
    """Say for each way of cutting and each common weight whether the piece holds as drawn, or mended."""
    rows = []
    for way in ("knife", "laser"):
        for weight in WEIGHTS:
            other = _with(job, thickness=weight, way=way)
            drawn = _holds(_measured(pattern, other), other)
            done = drawn
            if not drawn:
                fixed = mend(
                    pattern,
                    limits_of(other),
                    loss=loss_of(other),
                    first_free=first_free,
                    veins=veins,
                    pull=other.use.pull,
                ).pattern
                done = _holds(_measured(fixed, other), other)
            rows.append(WeightRow(way=way, thickness=weight, as_drawn=drawn, mended=done))
    return tuple(rows)


def _scale(pattern: Pattern, job: Job) -> float | None:
    """Give the least enlargement that holds, to half a percent, rounded up; None over three times."""

    def holds(scale: float) -> bool:
        larger = _scaled(pattern, scale)
        return _holds(_measured(larger, job), job)

    if not holds(LARGEST):
        return None
    low, high = 1.0, LARGEST
    while high - low > FINE:
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return float(np.ceil(high * 100) / 100)


def _scaled(pattern: Pattern, scale: float) -> Pattern:
    def larger(shape: Polygon) -> Polygon:
        return affinity.scale(shape, scale, scale, origin=(0, 0))

    openings = tuple(
        replace(
            o,
            shape=larger(o.shape),
            at=(o.at[0] * scale, o.at[1] * scale),
            area_mm2=o.area_mm2 * scale**2,
        )
        for o in pattern.openings
    )
    land = as_area(affinity.scale(pattern.land, scale, scale, origin=(0, 0)))
    return replace(pattern, outline=larger(pattern.outline), openings=openings, land=land)


def _measured(pattern: Pattern, job: Job) -> Measures:
    limits = limits_of(job)
    return measured(
        pattern, loss=loss_of(job), wanted=limits.bridge.good, asked=asked_of(job, limits)
    ).measures


def _holds(found: Measures, job: Job) -> bool:
    return all(f.severity != "stop" for f in judge(found, limits_of(job)))


def _with(job: Job, *, thickness: str, way: Way | None = None) -> Job:
    face = msgspec.structs.replace(job.face, thickness=thickness)
    cut = job.cut if way is None else msgspec.structs.replace(job.cut, way=way)
    return msgspec.structs.replace(job, face=face, cut=cut)


def table(rows: Sequence[WeightRow]) -> str:
    """Write the rows as a table, ways side by side."""
    words = {(True, True): "as drawn", (False, True): "mended", (False, False): "no"}
    by_key = {(r.way, r.thickness): words[r.as_drawn, r.mended] for r in rows}
    lines = [f"{'face':10s} {'by knife':10s} {'by laser':10s}"]
    lines += [
        f"{w:10s} {by_key.get(('knife', w), ''):10s} {by_key.get(('laser', w), ''):10s}".rstrip()
        for w in dict.fromkeys(r.thickness for r in rows)
    ]
    return "\n".join(lines)
