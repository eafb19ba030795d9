"""Looking: the findings of a job on a drawing that is already divided, without the plies.

It walks the road of `pipeline.chosen` as far as the findings, and keeps what the last step has measured:
another thickness or way of cutting is judged again and measured only where the limits ask for more.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import msgspec

from filigree.checks.finding import Finding
from filigree.drawing.model import Drawing
from filigree.errors import FiligreeError
from filigree.job import Job, Mend, limits_of, loss_of
from filigree.measure import Measured, asked_of, measured
from filigree.mend.mend import mend
from filigree.mend.model import Mended
from filigree.page.edits import what_shows
from filigree.pattern import Pattern
from filigree.pipeline import (
    bridge_width,
    chosen_fields,
    drawn_pattern,
    findings_of,
    first_free,
    mends,
)
from filigree.regions.background.look import Look as Seen
from filigree.regions.model import Choice, RegionMap
from filigree.worked import Read

TRIED = 6  # thicknesses and ways of cutting whose measures are kept


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Look:
    """What the page shows of one state of the work.

    Attributes:
        job: with its mending entries worked out, and no colour where no opening is.
        choices: what becomes of each field.
        drawn: the pattern as drawn; None without an outline.
        mended: what mending did; None when nothing is to be mended.
        measured: what was measured of the finished face; None without a pattern.
        tried: what was measured of this pattern before, for other leather and cuts, newest first.
        findings: stops first.
        listed: it is mended as the job lists it, and nothing else is.
    """

    job: Job
    choices: tuple[Choice, ...]
    drawn: Pattern | None
    mended: Mended | None
    measured: Measured | None
    findings: tuple[Finding, ...]
    tried: tuple[Measured, ...] = ()
    listed: bool = False

    @property
    def pattern(self) -> Pattern | None:
        """The face as it will be cut."""
        return self.mended.pattern if self.mended is not None else self.drawn

    @property
    def holds(self) -> bool:
        """True when no finding is a stop."""
        return all(f.severity != "stop" for f in self.findings)


def look(
    job: Job,
    drawing: Drawing,
    regions: RegionMap,
    *,
    seen: Seen | None = None,
    mending: bool = False,
    last: Look | None = None,
    progress: Callable[[str], None],
) -> Look:
    """Choose, mend when asked, measure and judge.

    Args:
        job: settings and picks; it is mended as its `[[mend]]` entries say when it is opened, as `make` does, and until
            leather, cut or limits change: then it is mended anew but for the places left as drawn.
        drawing: the art.
        regions: its fields.
        seen: what the choice of background has seen of the fields.
        mending: mend whatever falls short.
        last: an earlier look at the same drawing, to take measures from.
        progress: told each step as it begins.
    """
    limits = limits_of(job)
    progress("choosing the background")
    if last is not None and _picks(last.job) == _picks(job):
        choices = last.choices
    else:
        choices = chosen_fields(job, drawing, regions, seen=seen)
    job = what_shows(job, regions, choices)
    if last is not None and last.choices == choices and _paint(last.job) == _paint(job):
        drawn = last.drawn
    else:
        drawn = drawn_pattern(job, drawing, regions, choices)
    mended, listed = None, False
    if drawn is not None and mends(job, mending=mending):
        progress("mending")
        known = None if mending or last is None else _known(job, drawn, last)
        if known is not None:
            mended, listed = known, last is not None and last.listed
        else:
            anew = mending or (last is not None and not (last.listed and _as_before(job, last)))
            job, mended, listed = _mended(job, drawn, regions, anew=anew)
    face = None
    pattern = mended.pattern if mended is not None else drawn
    if pattern is not None:
        progress("measuring the face")
        face = _measured(job, pattern, last)
    measures = face.measures if face is not None else None
    found = Read(drawing=drawing, regions=regions, choices=choices)
    findings = findings_of(found, limits, pattern, measures, job=job)
    return Look(
        job=job,
        choices=choices,
        drawn=drawn,
        mended=mended,
        listed=listed,
        measured=face,
        findings=findings,
        tried=_tried(face, last),
    )


def _known(job: Job, drawn: Pattern, last: Look) -> Mended | None:
    """Give what was mended before, where nothing that it hangs on has changed."""
    return last.mended if last.drawn is drawn and _as_before(job, last) else None


def _as_before(job: Job, last: Look) -> bool:
    """Say whether a job mends to the same limits, and lists the same, as one before."""
    was = last.job
    return (
        was.mend == job.mend
        and limits_of(was) == limits_of(job)
        and loss_of(was) == loss_of(job)
        and was.use.pull == job.use.pull
    )


def _mended(
    job: Job, drawn: Pattern, regions: RegionMap, *, anew: bool
) -> tuple[Job, Mended, bool]:
    """Mend as the job lists it, or anew.

    A list that no longer fits is as good as none. Places left as drawn that are no longer there are forgotten, each by
    itself.

    Returns:
        The job with its entries, what was done, and whether that is what the job lists.
    """
    left = tuple(m for m in job.mend if m.as_drawn)
    done, listed = None, not anew and len(left) < len(job.mend)
    if listed:
        try:
            done = _mend(job, drawn, regions, job.mend)
        except FiligreeError:
            listed = False
    if done is None:
        done = _mend(job, drawn, regions, left)
    left = tuple(m for m in left if m not in done.gone)
    return msgspec.structs.replace(job, mend=(*left, *done.entries)), done, listed


def _mend(job: Job, drawn: Pattern, regions: RegionMap, listed: tuple[Mend, ...]) -> Mended:
    return mend(
        drawn,
        limits_of(job),
        loss=loss_of(job),
        first_free=first_free(regions, drawn),
        listed=listed,
        veins=regions.loose,
        pull=job.use.pull,
        forgiving=True,
    )


def _measured(job: Job, pattern: Pattern, last: Look | None) -> Measured:
    """Measure the face, but for the weakest section where no limit of the job asks for it."""
    limits = limits_of(job)
    asked = replace(asked_of(job, limits), section=limits.section is not None)
    loss = loss_of(job)
    for known in last.tried if last is not None else ():
        if known.drawn is pattern and known.fits(loss=loss, wanted=limits.bridge.good, asked=asked):
            return known
    return measured(
        pattern,
        loss=loss,
        wanted=limits.bridge.good,
        asked=asked,
        last=last.measured if last is not None else None,
    )


def _tried(face: Measured | None, last: Look | None) -> tuple[Measured, ...]:
    """Keep what was measured of one pattern, so that leather and cuts can be compared without waiting."""
    if face is None:
        return ()
    before = last.tried if last is not None else ()
    return (face, *(b for b in before if b is not face and b.drawn is face.drawn))[:TRIED]


def _picks(job: Job) -> tuple[object, ...]:
    """Give what the choices depend on besides the drawing."""
    return (job.choose.open, job.choose.keep, job.limits.sure)


def _paint(job: Job) -> tuple[object, ...]:
    """Give what the pattern as drawn depends on besides the choices."""
    spread = (job.choose.spread, job.colours.inlays, job.face, job.cut) if job.choose.spread else ()
    bridges = (job.bridge, bridge_width(job)) if job.bridge else ()
    return (
        job.inlay.colour,
        job.choose.colours,
        job.choose.colours_by,
        job.colours.inlays,
        spread,
        bridges,
    )
