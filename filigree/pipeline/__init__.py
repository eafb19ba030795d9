"""The whole road on one screen: art in, plies and papers out. This is the public API.

read -> divide -> choose -> pattern_of -> measure -> judge -> build -> write
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import msgspec

from filigree.checks import judge
from filigree.checks.closed import judge_closed
from filigree.checks.drawing import judge_drawing
from filigree.checks.finding import Finding
from filigree.checks.placed import judge_placed
from filigree.checks.seams import judge_seams
from filigree.checks.stitches import beside_stops, judge_inset, judge_stitches
from filigree.colour.colourways import Colourway, colourways
from filigree.colour.palette import hex_of
from filigree.drawing.model import Drawing
from filigree.drawing.read import read
from filigree.errors import FiligreeError
from filigree.job import Job, Limits, limits_of, loss_of, stitch_inset
from filigree.measure import Measures, measured
from filigree.measure.ascut import as_cut
from filigree.measure.asked import asked_of
from filigree.measure.finished import finished
from filigree.measure.placed import off_piece
from filigree.measure.stiffness import Load, load_of
from filigree.mend.advice import advice, table, weights
from filigree.mend.mend import mend
from filigree.mend.model import Mended
from filigree.output.byhand import keep_notes, refuse_changed, with_hand
from filigree.output.colours import colour_files
from filigree.output.folder import check_ours, settled, write_folder
from filigree.output.report import Report, report_json
from filigree.output.summary import summary
from filigree.output.text import report_text
from filigree.output.written import written
from filigree.pattern import Pattern, on_edge
from filigree.pipeline.fields import (
    bridge_width,
    chosen_fields,
    divided,
    drawn_pattern,
    first_free,
    mends,
    palette_of,
    refuse_open,
)
from filigree.plies.bench import bench
from filigree.plies.build import build
from filigree.plies.drawn import draw
from filigree.plies.model import Plies
from filigree.plies.stitch import stitches_in_openings
from filigree.regions.model import RegionMap
from filigree.regions.openends import open_ends
from filigree.regions.picks import with_numbers
from filigree.worked import Read, Worked

__all__ = [
    "Files",
    "Plan",
    "Progress",
    "bridge_width",
    "check",
    "check_settings",
    "chosen",
    "chosen_fields",
    "colours",
    "divided",
    "drawn_pattern",
    "files_of",
    "findings_of",
    "first_free",
    "folder_for",
    "judged",
    "make",
    "mends",
    "palette_of",
    "plan",
    "refuse_open",
    "weights_table",
    "with_bench",
]

Files = Literal["all", "cuts"]
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """A piece worked out: every noun of the road, and the report on them.

    Attributes:
        worked: the nouns.
        report: on them.
        notes: copy of the maker's own text of the settings, when others took its place as this was written.
    """

    worked: Worked
    report: Report
    notes: Path | None = None

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
    mending: bool = False,
    progress: Progress | None = None,
) -> Plan:
    """Work a piece out without writing anything.

    Args:
        art: an SVG drawing, or a scan or photo.
        job: settings; the defaults when None. A job with `[[mend]]` entries is mended as they say.
        mending: mend whatever falls short.
        progress: told each step as it begins.

    Raises:
        FiligreeError: something in the art or the settings that the maker can put right.
    """
    tell = progress or _silent
    job = job or Job()
    check_settings(job)
    tell("reading the drawing")
    drawing = read(art, job)
    tell("finding the fields")
    drawing, regions = divided(drawing, job)
    refuse_open(drawing, regions)
    return chosen(with_numbers(job, regions), drawing, regions, mending=mending, progress=progress)


def check_settings(job: Job) -> None:
    """Refuse a bad thickness or colour before any work is done.

    Raises:
        FiligreeError: such a setting.
    """
    limits_of(job)
    colours = {"face": job.face.colour, "inlay": job.inlay.colour, "backing": job.backing.colour}
    if job.stiffener is not None and job.stiffener.colour:
        colours["stiffener"] = job.stiffener.colour
    for ply, colour in colours.items():
        hex_of(colour, where=f"[{ply}] colour")


def chosen(
    job: Job,
    drawing: Drawing,
    regions: RegionMap,
    *,
    mending: bool = False,
    progress: Progress | None = None,
) -> Plan:
    """Go on from the fields of a drawing: choose the background, mend when asked, measure and judge."""
    tell = progress or _silent
    tell("choosing the background")
    choices = chosen_fields(job, drawing, regions)
    pattern = drawn_pattern(job, drawing, regions, choices)
    mended = None
    if pattern is not None and mends(job, mending=mending):
        tell("mending")
        mended = mend(
            pattern,
            limits_of(job),
            loss=loss_of(job),
            first_free=first_free(regions, pattern),
            listed=job.mend if not mending else tuple(m for m in job.mend if m.as_drawn),
            veins=regions.loose,
            pull=job.use.pull,
        )
        job = msgspec.structs.replace(
            job, mend=(*(m for m in job.mend if m.as_drawn), *mended.entries)
        )
    tell("measuring the face")
    return judged(job, Read(drawing=drawing, regions=regions, choices=choices), pattern, mended)


def judged(job: Job, read_in: Read, drawn: Pattern | None, mended: Mended | None) -> Plan:
    """Measure and judge a pattern, and build its plies."""
    limits = limits_of(job)
    pattern = mended.pattern if mended is not None else drawn
    cut = measures = None
    plies: Plies = ()
    pulled = None
    if pattern is not None:
        found = measured(
            pattern, loss=loss_of(job), wanted=limits.bridge.good, asked=asked_of(job, limits)
        )
        cut, measures = found.cut, found.measures
        pulled = load_of(found.face, measures, use=job.use, unasked=False)
        plies = build(pattern, job)
    worked = Worked(
        job=job,
        limits=limits,
        drawing=read_in.drawing,
        regions=read_in.regions,
        choices=read_in.choices,
        drawn=drawn,
        mended=mended,
        advice=advice(drawn, job)
        if drawn is not None and mended is not None and mended.unmended
        else None,
        pattern=pattern,
        cut=cut,
        measures=measures,
        findings=findings_of(read_in, limits, pattern, measures, job=job),
        plies=plies,
        load=pulled,
    )
    return Plan(worked=worked, report=summary(worked))


def findings_of(
    read_in: Read,
    limits: Limits,
    pattern: Pattern | None,
    measures: Measures | None,
    *,
    job: Job,
) -> tuple[Finding, ...]:
    """Judge the drawing, what was measured on its face, and what the job places: stops first, then worst first."""
    findings = judge_drawing(
        read_in.drawing,
        read_in.regions,
        read_in.choices,
        limits,
        on_edge=on_edge(pattern),
        gaps=open_ends(read_in.regions),
    )
    if pattern is not None and measures is not None:
        findings += judge_placed(read_in.drawing, off_piece(pattern.outline, job.use))
        cut, bevel = as_cut(pattern, loss_of(job)), loss_of(job).bevel
        findings += judge_closed(pattern.openings, cut.openings, bevel=bevel)
        if job.stitch is not None:
            holes = stitches_in_openings(pattern, job)
            findings += judge_stitches(holes, limits, inset=stitch_inset(job))
            x, y = pattern.outline.exterior.coords[0][:2]
            findings += judge_inset(stitch_inset(job), at=(x, y))
            measures = beside_stops(measures, holes)
        findings += judge(measures, limits)
        findings += judge_seams(measures, limits, {o.id: o.inlay for o in pattern.openings})
    return tuple(sorted(findings, key=lambda f: f.severity != "stop"))


def check(art: Path, job: Job | None = None, *, progress: Progress | None = None) -> Plan:
    """Say whether the face meets the limits; the same as `plan`."""
    return plan(art, job, progress=progress)


def make(
    art: Path,
    out: Path | None = None,
    job: Job | None = None,
    *,
    files: Files = "all",
    mending: bool = False,
    job_file: Path | None = None,
    progress: Progress | None = None,
) -> Plan:
    """Work a piece out and write its folder, in one step that leaves the old folder or the new one.

    Args:
        art: an SVG drawing, or a scan or photo.
        out: the folder; `STEM-cut` in the current folder when None.
        job: settings; the defaults when None.
        files: "cuts" for ply files, report and job only.
        mending: mend whatever falls short.
        job_file: where `job` was read from, which may be the folder itself.
        progress: told each step as it begins.

    Raises:
        FiligreeError: also when the settings in the folder were changed by hand and are not those of `job`.
    """
    folder = out or folder_for(art)
    check_ours(settled(folder))  # somebody else's folder is refused before any work is done
    refuse_changed(folder, job or Job(), used=job_file)
    planned = plan(art, job, mending=mending, progress=progress)
    if files == "all":
        planned = with_bench(planned)
    (progress or _silent)("writing the files")
    own = with_hand(folder, files_of(planned, files=files), planned.worked.job)
    notes = keep_notes(folder, planned.worked.job)
    write_folder(folder, own)
    return replace(planned, notes=notes)


def with_bench(planned: Plan) -> Plan:
    """Work out what the bench papers say: leather, stack, stitching, punches and glue."""
    was = planned.worked
    if was.pattern is None or was.cut is None or was.measures is None or was.pattern.land.is_empty:
        return planned  # no leather, no papers
    face = finished(was.pattern, loss_of(was.job))
    with ThreadPoolExecutor(1) as beside:  # on a second core, most of it without Python's lock
        load = beside.submit(_load, was, face, was.measures)
        papers = bench(was.drawing, was.cut, was.measures, was.plies, was.job)
        worked = replace(was, bench=papers, load=load.result())
    return Plan(worked=worked, report=summary(worked))


def files_of(planned: Plan, *, files: Files = "all") -> dict[str, bytes]:
    """Give every file of the piece by name; the same plan gives the same bytes."""
    return written(planned.worked, planned.report, pictures=files == "all")


def colours(
    art: Path, out: Path, job: Job | None = None, *, progress: Progress | None = None
) -> tuple[Colourway, ...]:
    """Draw a piece in the colourways that its job asks for, and write the pictures.

    Raises:
        FiligreeError: also when the drawing has no opening to colour.
    """
    planned = plan(art, job, progress=progress)
    worked = planned.worked
    if worked.pattern is None or not worked.pattern.openings:
        raise FiligreeError(
            "no opening to put a colour behind",
            remedy="see what filigree check says of the drawing",
            where=art.name,
        )
    groups = tuple(dict.fromkeys(o.inlay for o in worked.pattern.openings))
    ways = colourways(worked.job, groups)
    (progress or _silent)("drawing the colours")
    drawn = draw(worked.drawing, worked.regions, worked.choices, worked.cut)
    write_folder(out, colour_files(drawn, ways, title=art.stem))
    return ways


def weights_table(art: Path, job: Job | None = None, *, progress: Progress | None = None) -> str:
    """Say for each way of cutting and each common weight whether a piece holds as drawn, mended or not.

    Raises:
        FiligreeError: also when the drawing has no outline.
    """
    worked = plan(art, job, progress=progress).worked
    if worked.drawn is None:
        raise FiligreeError(
            "no outline encloses the fields",
            remedy="draw the edge, or give --rim 8",
            where=art.name,
        )
    (progress or _silent)("trying every weight")
    return table(
        weights(
            worked.drawn,
            worked.job,
            first_free=first_free(worked.regions, worked.drawn),
            veins=worked.regions.loose,
        )
    )


def folder_for(art: Path) -> Path:
    """Name the folder that `make` writes when none is given."""
    return Path(f"{art.stem}-cut")


def _load(was: Worked, face: Pattern, measures: Measures) -> Load | None:
    """Pull the finished face, unless that is done already; it reads coordinates and prepares no shape."""
    if was.load is not None:
        return was.load
    return load_of(face, measures, use=was.job.use, unasked=True)


def _silent(step: str) -> None:
    """Tell nobody."""
