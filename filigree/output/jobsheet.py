"""Job sheet: every block of it as plain lines, from the report alone, for paper and screen alike."""

import math
from dataclasses import dataclass

from filigree.checks.words import mm_up
from filigree.job import Job
from filigree.output.leftout import left_out_sentences
from filigree.output.opened import openings_said
from filigree.output.pulled import load_said
from filigree.output.report import BenchRow, BridgeRow, Report
from filigree.output.words import words

NARROWEST = 5  # narrow places that are lettered on the picture
LETTERS = "ABCDE"
INCH = 25.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A heading and its lines; `boxes` asks for a box to tick before each line."""

    title: str
    lines: tuple[str, ...]
    boxes: bool = False


def blocks(report: Report, job: Job) -> tuple[Block, ...]:
    """Write the job sheet of a piece that has a bench.

    Raises:
        ValueError: the report has none.
    """
    bench = report.bench
    if bench is None:
        raise ValueError("a job sheet needs the bench of a report")
    found = [
        _about(report, job),
        _leather(report, bench, job),
        _openings(report, job),
        _punches(bench),
        _glue(bench, job),
        _stitch(bench, job),
        Block(title=words("sheet.order"), lines=order(report, job), boxes=True),
        Block(
            title=words("sheet.cautions"),
            lines=tuple(words(f"caution.{number}") for number in bench.cautions),
        ),
    ]
    return tuple(block for block in found if block.lines)


def length(value: float, job: Job, places: int = 1) -> str:
    """Write a length in the units of the job: mm, inches or both.

    >>> length(25.4, Job())
    '25.4 mm'
    """
    metric = f"{value:.{places}f} mm"
    inches = f"{value / INCH:.{places + 1}f} in"
    return {"mm": metric, "in": inches, "both": f"{metric} ({inches})"}[job.paper.units]


def limit(value: float, job: Job) -> str:
    """Write a limit as every paper and screen does, rounded up, in the units of the job.

    >>> limit(3.5719, Job())
    '3.6 mm'
    """
    metric, inches = f"{mm_up(value)} mm", f"{mm_up(value / INCH, 3)} in"
    return {"mm": metric, "in": inches, "both": f"{metric} ({inches})"}[job.paper.units]


def narrowest(report: Report) -> tuple[BridgeRow, ...]:
    """Give the narrow places that are lettered, narrowest first."""
    return report.bridges[:NARROWEST]


def order(report: Report, job: Job) -> tuple[str, ...]:
    """List the steps of the work that this job has, in order (handbook 2.4, 3.1)."""
    way, bench = job.cut.way, report.bench
    hardened = job.backing.hardened or bool(job.stiffener and job.stiffener.hardened)
    stitched = bench is not None and bench.stitch is not None
    holes = words("order.holes") if stitched else ""
    steps = [
        words("order.blank"),
        words("order.case"),
        words("order.dry"),
        words("order.punch") if way == "knife" and bench is not None and bench.punches else "",
        words(f"order.cut.{way}"),
        words(f"order.clean.{way}"),
        words("order.dye"),
        words("order.harden") if hardened else "",
        words("order.glue"),
        words("order.back"),
        words("order.trim", holes=holes) if job.cut.trim == "after" else "",
        words("order.stitch") if stitched else "",
        words("order.edge"),
    ]
    return tuple(step for step in steps if step)


def _about(report: Report, job: Job) -> Block:
    face = report.face
    limits = words(
        "sheet.face",
        thickness=face.thickness,
        assumed=words("sheet.assumed") if face.assumed else "",
        way=face.way,
        good=limit(face.bridge_wanted_mm, job),
        stop=limit(face.bridge_stop_mm, job),
    )
    return Block(
        title=report.verdict, lines=(limits, words("sheet.limits"), *left_out_sentences(report))
    )


def _leather(report: Report, bench: BenchRow, job: Job) -> Block:
    sides = {ply.file: ply for ply in report.plies}
    lines = [
        words(
            "sheet.ply",
            ply=sheet.ply,
            file=sheet.file,
            leather=", ".join(part for part in (sheet.leather, sheet.colour) if part),
            thickness=sheet.thickness,
            width=length(sheet.width_mm, job),
            height=length(sheet.height_mm, job),
            gross=_area(sheet.gross_dm2, sheet.gross_ft2, job),
            net=_area(sheet.net_dm2, sheet.net_ft2, job),
            mass=sheet.mass_g,
            cost="" if sheet.cost is None else words("sheet.cost", cost=f"{sheet.cost:.2f}"),
            side=sides[sheet.file].cut_from,
            mirrored=words("sheet.mirrored") if sides[sheet.file].mirrored else "",
        )
        for sheet in bench.sheets
    ]
    stack = bench.stack
    low, high = stack.thickness_mm
    lines.append(
        words(
            "sheet.stack",
            plies=stack.plies,
            low=length(low, job, 2),
            high=length(high, job, 2),
            mass=stack.mass_g,
            loose=stack.loose,
            bonded=stack.bonded,
        )
    )
    if stack.skive:
        lines.append(words("sheet.skive", plies=stack.plies))
    if stack.lengths_mm:
        run = ", ".join(length(value, job) for value in stack.lengths_mm)
        lines.append(words("sheet.curve", lengths=run))
    if stack.cost is not None:
        lines.append(words("sheet.total", cost=f"{stack.cost:.2f}"))
    return Block(title=words("sheet.plies"), lines=tuple(lines))


def _openings(report: Report, job: Job) -> Block:
    if not report.openings:
        return Block(title=words("sheet.openings"), lines=())
    cut = [o for o in report.openings if o.holes]
    smallest = min(cut or report.openings, key=lambda o: (o.area_mm2, o.id))
    lines = [
        words(
            "sheet.open",
            openings=openings_said(report),
            area=f"{report.open_area_dm2:.2f}",
            share=f"{100 * report.open_share:.1f}",
            smallest=smallest.id,
            least=f"{smallest.area_mm2:.1f}",
        )
    ]
    closed = [str(o.id) for o in report.openings if not o.holes]
    if closed:
        lines.append(words("sheet.closed", numbers=", ".join(closed)))
    for letter, bridge in zip(LETTERS, narrowest(report), strict=False):
        x, y = bridge.start
        lines.append(
            words(
                "sheet.bridge",
                letter=letter,
                width=length(int(bridge.width_mm * 100) / 100, job, 2),
                x=f"{x:.1f}",
                y=f"{y:.1f}",
                between=_between(bridge),
            )
        )
    for number, island in enumerate(report.islands, start=1):
        x, y = island.at
        lines.append(
            words(
                "sheet.islands",
                number=number,
                area=f"{island.area_mm2:.1f}",
                x=f"{x:.1f}",
                y=f"{y:.1f}",
            )
        )
    if report.section is not None:
        lines.append(
            words(
                "sheet.section",
                width=length(int(report.section.width_mm * 10) / 10, job),
                share=int(100 * report.section.share),
            )
        )
    if report.load is not None:
        lines.append(load_said(report))
    return Block(title=words("sheet.openings"), lines=tuple(lines))


def _between(bridge: BridgeRow) -> str:
    one, other = bridge.between
    if one == other == "edge":
        return "at the edge"
    if "edge" in bridge.between:
        return f"opening {other if one == 'edge' else one} to the edge"
    return f"openings {one} and {other}" if one != other else f"opening {one} to itself"


def _punches(bench: BenchRow) -> Block:
    lines = [
        words(
            "sheet.punch",
            diameter=f"{punch.diameter_mm:.1f}",
            trade=words("sheet.trade", trade=punch.trade) if punch.trade else "",
            count=punch.count,
        )
        for punch in bench.punches
    ]
    blade, corners = bench.corners_by_blade, bench.corners
    if lines and blade:
        lines.append(words("sheet.punched", count=corners - blade, corners=corners))
    elif lines:
        lines.append(words("sheet.punched.all", corners=corners))
    if blade:
        lines.append(words("sheet.blade", count=blade, corners=corners))
    lines += [
        words(
            "sheet.hardware",
            diameter=f"{hole.diameter_mm:.1f}",
            trade=words("sheet.trade", trade=hole.trade) if hole.trade else "",
            count=hole.count,
        )
        for hole in bench.hardware
    ]
    return Block(title=words("sheet.punches"), lines=tuple(lines))


def _glue(bench: BenchRow, job: Job) -> Block:
    glue = bench.glue
    lines = [
        words(
            "sheet.joint",
            joint=" to ".join(joint.plies).capitalize(),
            area=joint.area_dm2,
            spread=joint.spread_dm2,
            volume=joint.volume_ml,
            roll=math.ceil(joint.roll_min),
        )
        for joint in glue.joints
    ]
    lines.append(
        words(
            "sheet.gluing",
            volume=glue.volume_ml,
            keep_out=length(glue.keep_out_mm, job),
            open=f"{glue.open_min:g}",
            set=f"{glue.set_h:g}",
        )
    )
    return Block(title=words("sheet.glue"), lines=tuple(lines))


def _stitch(bench: BenchRow, job: Job) -> Block:
    stitch = bench.stitch
    if stitch is None:
        return Block(title=words("sheet.stitch"), lines=())
    line = words(
        "sheet.stitching",
        length=length(stitch.length_mm, job),
        pitch=length(stitch.pitch_mm, job, 2),
        inset=length(stitch.inset_mm, job),
        stitches=stitch.stitches,
        holes=stitch.holes,
        size=stitch.thread_size_mm,
        thread=length(stitch.thread_mm, job, 0),
        tails=length(stitch.tails_mm, job, 0),
        needle=stitch.needle,
    )
    lines = [line]
    if stitch.in_openings:
        lines.append(words("sheet.fallen", count=stitch.in_openings, holes=stitch.holes))
    return Block(title=words("sheet.stitch"), lines=tuple(lines))


def _area(dm2: float, ft2: float, job: Job) -> str:
    metric, imperial = f"{dm2:.2f} dm2", f"{ft2:.2f} ft2"
    return {"mm": metric, "in": imperial, "both": f"{metric} ({imperial})"}[job.paper.units]
