"""The whole road on one screen: art in, plies and papers out. This is the public API.

read -> divide -> choose -> pattern_of -> measure -> judge -> build -> write
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import msgspec

from filigree.checks import judge
from filigree.checks.drawing import judge_drawing
from filigree.drawing.model import Drawing
from filigree.drawing.read import read
from filigree.job import Job, limits_of, loss_of
from filigree.measure import measure
from filigree.measure.finished import finished
from filigree.output.folder import write_folder
from filigree.output.report import Report, report_json
from filigree.output.summary import summary
from filigree.output.text import report_text
from filigree.output.written import written
from filigree.pattern import pattern_of
from filigree.plies.build import build
from filigree.plies.model import Plies
from filigree.regions.background import choose
from filigree.regions.divide import divide
from filigree.regions.model import Choice, RegionMap
from filigree.regions.picks import with_numbers
from filigree.regions.rim import with_rim
from filigree.worked import Worked

Files = Literal["all", "cuts"]
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """A piece worked out, nothing written: every noun of the road, and the report on them."""

    worked: Worked
    report: Report

    @property
    def holds(self) -> bool:
        """True when no finding is a stop."""
        return self.report.holds

    def as_json(self) -> str:
        """Give the report as JSON."""
        return report_json(self.report).decode()

    def as_text(self) -> str:
        """Give the verdict, then the findings, worst first, for a terminal."""
        return report_text(self.report)


def plan(
    art: Path,
    job: Job | None = None,
    *,
    progress: Progress | None = None,
) -> Plan:
    """Work a piece out without writing anything.

    Args:
        art: an SVG drawing, or a scan or photo.
        job: settings; the defaults when None.
        progress: told each step as it begins.

    Raises:
        FiligreeError: something in the art or the settings that the maker can put right.
    """
    tell = progress or _silent
    job = job or Job()
    limits_of(job)  # a bad thickness is told before any work is done
    tell("reading the drawing")
    drawing = read(art, job)
    tell("finding the fields")
    regions = divide(drawing, gap=job.limits.gap)
    if job.sheet.rim is not None:
        regions = with_rim(regions, width=job.sheet.rim, shape=job.sheet.rim_shape)
    job = with_numbers(job, regions)
    tell("choosing the background")
    choices = choose(
        regions,
        drawing,
        picks_open=job.choose.open,
        picks_keep=job.choose.keep,
        sure=job.limits.sure,
    )
    return _judged(job, drawing, regions, choices, tell)


def check(
    art: Path,
    job: Job | None = None,
    *,
    progress: Progress | None = None,
) -> Plan:
    """Say whether the face meets the limits; the same as `plan`."""
    return plan(art, job, progress=progress)


def make(
    art: Path,
    out: Path | None = None,
    job: Job | None = None,
    *,
    files: Files = "all",
    progress: Progress | None = None,
) -> Plan:
    """Work a piece out and write its folder, in one step that leaves the old folder or the new one.

    Args:
        art: an SVG drawing, or a scan or photo.
        out: the folder; `STEM-cut` in the current folder when None.
        job: settings; the defaults when None.
        progress: told each step as it begins.
        files: "cuts" for ply files, report and job only.
    """
    worked = plan(art, job, progress=progress)
    tell = progress or _silent
    tell("writing the files")
    write_folder(out or folder_for(art), files_of(worked, files=files))
    return worked


def files_of(worked: Plan, *, files: Files = "all") -> dict[str, bytes]:
    """Give every file of the piece by name; the same plan gives the same bytes."""
    return written(worked.worked, worked.report, pictures=files == "all")


def folder_for(art: Path) -> Path:
    """Name the folder that `make` writes when none is given."""
    return Path(f"{art.stem}-cut")


def with_thickness(before: Plan, thickness: str) -> Plan:
    """Judge the same piece again for another face."""
    was = before.worked
    face = msgspec.structs.replace(was.job.face, thickness=thickness)
    job = msgspec.structs.replace(was.job, face=face)
    return _judged(job, was.drawing, was.regions, was.choices, _silent)


def _judged(
    job: Job, drawing: Drawing, regions: RegionMap, choices: tuple[Choice, ...], tell: Progress
) -> Plan:
    limits = limits_of(job)
    colours = [(wish.at, wish.inlay) for wish in job.choose.colours]
    pattern = pattern_of(regions, choices, drawing=drawing, inlay=job.inlay.colour, colours=colours)
    measures = None
    plies: Plies = ()
    findings = judge_drawing(drawing, regions, choices, limits)
    if pattern is not None:
        tell("measuring the face")
        measures = measure(finished(pattern, loss_of(job)), wanted=limits.bridge.good)
        findings += judge(measures, limits)
        plies = build(pattern, job)
    worked = Worked(
        job=job,
        limits=limits,
        drawing=drawing,
        regions=regions,
        choices=choices,
        pattern=pattern,
        measures=measures,
        findings=tuple(sorted(findings, key=lambda f: f.severity != "stop")),
        plies=plies,
    )
    return Plan(worked=worked, report=summary(worked))


def _silent(step: str) -> None:
    """Tell nobody."""
