"""The whole road on one screen: art in, plies and papers out. This is the public API.

read -> divide -> choose -> pattern_of -> measure -> judge -> build -> write
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import msgspec

from filigree.checks import judge
from filigree.checks.drawing import judge_drawing
from filigree.checks.finding import Finding
from filigree.checks.seams import judge_seams
from filigree.colour.colourways import Colourway, colourways
from filigree.colour.palette import hex_of
from filigree.colour.reading import propose
from filigree.colour.spreading import colours_by_marks, spread_colours
from filigree.drawing.closing import closed_by_hand
from filigree.drawing.model import Drawing
from filigree.drawing.read import read
from filigree.errors import FiligreeError
from filigree.job import Job, Limits, limits_of, loss_of
from filigree.measure import Measures, measure
from filigree.measure.asked import asked_of
from filigree.measure.finished import finished
from filigree.measure.stiffness import load_of
from filigree.mend.advice import advice, table, weights
from filigree.mend.crossing import bridged
from filigree.mend.mend import mend
from filigree.mend.model import Mended
from filigree.output.colours import colour_files
from filigree.output.folder import check_ours, settled, write_folder
from filigree.output.report import Report, report_json
from filigree.output.summary import summary
from filigree.output.text import report_text
from filigree.output.written import written
from filigree.pattern import Pattern, on_edge, pattern_of
from filigree.plies.bench import bench
from filigree.plies.build import build
from filigree.plies.drawn import draw
from filigree.plies.model import Plies
from filigree.regions.background.choose import choose
from filigree.regions.background.look import Look
from filigree.regions.divide import divide
from filigree.regions.model import Choice, RegionMap
from filigree.regions.openends import open_ends
from filigree.regions.picks import with_numbers
from filigree.regions.rim import with_rim, with_true_outline
from filigree.worked import Read, Worked

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
    for ply in (job.face, job.inlay, job.backing):
        hex_of(ply.colour)


def divided(drawing: Drawing, job: Job) -> tuple[Drawing, RegionMap]:
    """Draw the lines that close gaps by hand, and find the fields and the outline.

    Returns:
        The drawing with those lines, and its fields; none when nothing is enclosed.
    """
    drawing = closed_by_hand(drawing, [(line.start, line.end) for line in job.close])
    regions = divide(
        drawing,
        gap=job.limits.gap,
        most_segments=job.reading.segments,
        most_faces=job.reading.regions,
    )
    if job.sheet.rim is not None and regions.regions:
        return drawing, with_rim(regions, width=job.sheet.rim, shape=job.sheet.rim_shape)
    return drawing, with_true_outline(regions)


def refuse_open(drawing: Drawing, regions: RegionMap) -> None:
    """Refuse a drawing in which nothing is enclosed.

    Raises:
        FiligreeError: such a drawing.
    """
    if not regions.regions:
        found = open_ends(regions)
        near = ""
        if found:
            (x, y), width = found[0]
            near = f"; two ends are {width:.1f} mm apart at ({x:.1f}, {y:.1f})"
        raise FiligreeError(
            f"nothing is enclosed: no line of the drawing closes round a field{near}",
            remedy="close the lines, or give --gap 3 to have gaps of up to 3 mm closed; 5 is the most",
            where=drawing.name,
        )


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
    if pattern is not None and (mending or job.mend):
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
    measures = None
    plies: Plies = ()
    pulled = None
    if pattern is not None:
        face = finished(pattern, loss_of(job))
        measures = measure(face, wanted=limits.bridge.good, asked=asked_of(job, limits))
        pulled = load_of(face, measures, use=job.use, unasked=False)
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
        measures=measures,
        findings=findings_of(read_in, limits, pattern, measures),
        plies=plies,
        load=pulled,
    )
    return Plan(worked=worked, report=summary(worked))


def chosen_fields(
    job: Job, drawing: Drawing, regions: RegionMap, *, seen: Look | None = None
) -> tuple[Choice, ...]:
    """Say what becomes of each field, by the picks of the job, the marks of the drawing and the guess."""
    return choose(
        regions,
        drawing,
        picks_open=job.choose.open,
        picks_keep=job.choose.keep,
        sure=job.limits.sure,
        seen=seen,
    )


def drawn_pattern(
    job: Job, drawing: Drawing, regions: RegionMap, choices: tuple[Choice, ...]
) -> Pattern | None:
    """Cut the chosen fields out and give each opening its colour; None without an outline."""
    pattern = pattern_of(
        regions,
        choices,
        drawing=drawing,
        inlay=job.inlay.colour,
        colours=[(wish.at, wish.inlay) for wish in job.choose.colours],
    )
    if pattern is not None and job.bridge:
        pattern = bridged(
            pattern, job.bridge, width=bridge_width(job), first_free=first_free(regions, pattern)
        )
    if pattern is not None and job.choose.colours_by:
        pattern = colours_by_marks(
            pattern, drawing.marks, by=job.choose.colours_by, colours=job.colours.inlays
        )
    if pattern is not None and job.choose.spread > 1:
        wanted = limits_of(job).bridge.good
        pattern = spread_colours(pattern, palette_of(job), wanted=wanted)
    return pattern


def bridge_width(job: Job) -> float:
    """Give the width of a bridge drawn by hand that names none, mm: what is wanted once it is cut."""
    loss = loss_of(job)
    return limits_of(job).bridge.good + 2 * loss.char - loss.bevel


def first_free(regions: RegionMap, pattern: Pattern) -> int:
    """Give the lowest number that neither a field nor an opening has."""
    return max([len(regions.regions), *(o.id for o in pattern.openings)]) + 1


def findings_of(
    read_in: Read, limits: Limits, pattern: Pattern | None, measures: Measures | None
) -> tuple[Finding, ...]:
    """Judge the drawing and what was measured on its face: stops first, then worst first."""
    findings = judge_drawing(
        read_in.drawing,
        read_in.regions,
        read_in.choices,
        limits,
        on_edge=on_edge(pattern),
        gaps=open_ends(read_in.regions),
    )
    if pattern is not None and measures is not None:
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
    progress: Progress | None = None,
) -> Plan:
    """Work a piece out and write its folder, in one step that leaves the old folder or the new one.

    Args:
        art: an SVG drawing, or a scan or photo.
        out: the folder; `STEM-cut` in the current folder when None.
        job: settings; the defaults when None.
        files: "cuts" for ply files, report and job only.
        mending: mend whatever falls short.
        progress: told each step as it begins.
    """
    folder = out or folder_for(art)
    check_ours(settled(folder))  # somebody else's folder is refused before any work is done
    planned = plan(art, job, mending=mending, progress=progress)
    if files == "all":
        planned = with_bench(planned)
    (progress or _silent)("writing the files")
    write_folder(folder, files_of(planned, files=files))
    return planned


def with_bench(planned: Plan) -> Plan:
    """Work out what the bench papers say: leather, stack, stitching, punches and glue."""
    was = planned.worked
    if was.pattern is None or was.measures is None or was.pattern.land.is_empty:
        return planned  # no leather, no papers
    face = finished(was.pattern, loss_of(was.job))
    worked = replace(
        was,
        bench=bench(was.drawing, was.pattern, was.measures, was.plies, was.job),
        load=was.load or load_of(face, was.measures, use=was.job.use, unasked=True),
    )
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
    drawn = draw(worked.drawing, worked.regions, worked.choices, worked.pattern)
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


def palette_of(job: Job) -> tuple[str, ...]:
    """Give the inlay colours that openings are spread over: those listed, else the job's own and proposals."""
    listed = job.colours.inlays or (
        job.inlay.colour,
        *propose(job.face.colour, job.choose.spread),
    )
    return tuple(dict.fromkeys(listed))[: job.choose.spread]


def _silent(step: str) -> None:
    """Tell nobody."""
