"""Bench: what a maker would work out on scrap paper for one piece, worked out once for every paper."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from filigree.checks.corners import tight_corners
from filigree.drawing.model import Drawing
from filigree.job import Job, Leather, default, limits_of
from filigree.measure import Fallen, Measures
from filigree.pattern import Pattern
from filigree.plies.cautions import cautions
from filigree.plies.glue import GlueMap, Joint, glue_map, joints
from filigree.plies.hardware import counts, on_piece
from filigree.plies.leathers import Kind, kind_of
from filigree.plies.model import Plies, Ply
from filigree.plies.papers import glue_sheet, transfer_sheet
from filigree.plies.punch import PunchSchedule, punch_schedule
from filigree.plies.stack import Layer, Stack, mass_g, stack, wrap_lengths
from filigree.plies.stitch import StitchLine, fallen, stitch_line, thread_length
from filigree.units import MM2_PER_FT2

THREADS = (  # up to this pitch as set, mm: thread, mm (handbook 4)
    (3.4, 0.6),
    (4.0, 0.8),
    (5.0, 1.0),
    (math.inf, 1.2),
)
NEEDLES = (  # up to this thread, mm: needle size (handbook 4, from memory)
    (0.6, "4"),
    (0.8, "2"),
    (1.0, "0"),
    (math.inf, "000"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sewing:
    """Stitching in figures: lengths mm, `tails` at both ends together."""

    length: float
    pitch: float
    stitches: int
    holes: int
    in_openings: int
    inset: float
    thread: float
    tails: float
    thread_size: float
    needle: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bond:
    """Gluing of one joint in figures: area once, and spread on both plies."""

    plies: tuple[str, str]
    area_mm2: float
    spread_mm2: float
    volume_ml: float
    roll_minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cement:
    """Gluing in figures; `set_hours` until full strength."""

    bonds: tuple[Bond, ...]
    open_minutes: float
    set_hours: float
    keep_out: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One ply's leather: blank and net area, mass, and cost of the blank when it has a price."""

    ply: Ply
    kind: Kind
    width: float
    height: float
    gross_mm2: float
    net_mm2: float
    density: float
    mass_g: float
    cost: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bench:
    """Everything for the papers of one piece.

    Attributes:
        sheets: one a ply of leather, face first.
        stack: of those plies.
        skive: True when so many plies meet at the edge that one wants thinning.
        lengths: middle lengths round `[use] curve`, inner ply first, mm for a whole turn; empty when flat.
        sewing: None without stitching.
        line: the stitch line, None without stitching.
        punches: ends of the tight inside corners.
        hardware: diameters and counts of the holes for hardware, mm.
        glue: the glue map.
        cement: its figures.
        cautions: numbers of the sentences that apply.
        papers: the glue map and the tooling pattern.
        cost: of all plies with the waste of a hide, None when no ply has a price.
    """

    sheets: tuple[Sheet, ...]
    stack: Stack
    skive: bool
    lengths: tuple[float, ...]
    sewing: Sewing | None
    line: StitchLine | None
    punches: PunchSchedule
    hardware: tuple[tuple[float, int], ...]
    glue: GlueMap
    cement: Cement
    cautions: tuple[int, ...]
    papers: Plies
    cost: float | None


def bench(drawing: Drawing, pattern: Pattern, measures: Measures, plies: Plies, job: Job) -> Bench:
    """Work out the papers of a piece.

    Args:
        drawing: as read.
        pattern: with its openings as they are cut on the grain side.
        measures: of the finished face.
        plies: the cut files.
        job: the settings.
    """
    sheets = tuple(_sheet(ply, job) for ply in plies if ply.ply != "trim")
    stacked = stack(_layers(sheets))
    line = stitch_line(pattern.outline, job) if job.stitch is not None else None
    punches = _punches(pattern, measures, job)
    hardware = counts(on_piece(job.use.holes, pattern.outline))
    glue = glue_map(pattern, job)
    costs = [s.cost for s in sheets if s.cost is not None]
    inward = [layer.thickness.middle for layer in reversed(_layers(sheets))]
    return Bench(
        sheets=sheets,
        stack=stacked,
        skive=stacked.plies >= default("skive.plies"),
        lengths=tuple(wrap_lengths(job.use.curve, inward, angle=2 * math.pi))
        if job.use.curve
        else (),
        sewing=_sewing(line, stacked, job, fallen(line, pattern.openings, pattern.outline))
        if line is not None
        else None,
        line=line,
        punches=punches,
        hardware=hardware,
        glue=glue,
        cement=_cement(joints(pattern, glue, plies), job),
        cautions=cautions(
            job,
            [s.kind for s in sheets],
            punched=bool(punches.punches or (hardware and job.cut.way == "knife")),
            loose=bool(measures.islands),
        ),
        papers=(
            transfer_sheet(drawing, pattern, job, line=line, punches=punches),
            glue_sheet(pattern, job, glue),
        ),
        cost=sum(costs) / job.paper.yield_share if costs else None,
    )


def _punches(pattern: Pattern, measures: Measures, job: Job) -> PunchSchedule:
    """Punches end the corners that a knife cuts; a beam rounds them itself and no step of its work punches."""
    if job.cut.way != "knife":
        return PunchSchedule(punches=(), knife_only=())
    limits = limits_of(job)
    radius = max(limits.corner, default("corner.better") * job.face.span.high)
    tight = [[c.at for c in tight_corners(size, limits)] for size in measures.openings]
    return punch_schedule(pattern.openings, tight, radius=radius, least=limits.corner)


def _leather(ply: Ply, job: Job) -> Leather:
    if ply.ply == "stiffener" and job.stiffener is not None:
        return job.stiffener
    return {"face": job.face, "inlay": job.inlay, "backing": job.backing}[ply.ply]


def _sheet(ply: Ply, job: Job) -> Sheet:
    leather = _leather(ply, job)
    kind = kind_of(leather, job.leathers)
    xy = [path.cubics.reshape(-1, 2) for cut in ply.cuts for path in cut.paths]
    left, top = (min(float(p[:, k].min()) for p in xy) for k in (0, 1))
    right, bottom = (max(float(p[:, k].max()) for p in xy) for k in (0, 1))
    gross = (right - left) * (bottom - top)
    return Sheet(
        ply=ply,
        kind=kind,
        width=right - left,
        height=bottom - top,
        gross_mm2=gross,
        net_mm2=ply.area_mm2,
        density=kind.density_middle,
        mass_g=mass_g(ply.area_mm2, leather.span.middle, kind.density_middle),
        cost=None if leather.price is None else leather.price * gross / MM2_PER_FT2,
    )


def _layers(sheets: tuple[Sheet, ...]) -> list[Layer]:
    """Lay one layer a ply; patches of several colours are one inlay."""
    layers: dict[str, Layer] = {}
    for sheet in sheets:
        before = layers.get(sheet.ply.ply)
        layers[sheet.ply.ply] = Layer(
            ply=sheet.ply.ply,
            thickness=sheet.ply.thickness,
            area_mm2=sheet.net_mm2 + (before.area_mm2 if before else 0.0),
            density=sheet.density,
        )
    return list(layers.values())


def _sewing(line: StitchLine, stacked: Stack, job: Job, lost: tuple[Fallen, ...]) -> Sewing:
    if job.stitch is None:
        raise ValueError("this job has no [stitch]")
    by_pitch = next(thread for most, thread in THREADS if job.stitch.pitch <= most)
    thread = job.stitch.thread if job.stitch.thread is not None else by_pitch
    tails = 2 * job.stitch.tail
    holes = len(line.holes)
    return Sewing(
        length=line.length,
        pitch=line.length / max(line.stitches, 1),
        stitches=line.stitches,
        holes=holes,
        in_openings=sum(one.holes for one in lost),
        inset=line.inset,
        thread=thread_length(
            length=line.length, holes=holes, stack=stacked.thickness.high, tails=tails
        ),
        tails=tails,
        thread_size=thread,
        needle=next(size for most, size in NEEDLES if thread <= most),
    )


def _cement(found: Sequence[Joint], job: Job) -> Cement:
    """Work out every joint of the stack: cement by its coverage, minutes by the pace of a roller."""
    return Cement(
        bonds=tuple(
            Bond(
                plies=joint.plies,
                area_mm2=joint.area_mm2,
                spread_mm2=2 * joint.area_mm2,
                volume_ml=joint.area_mm2 / 1e6 / job.glue.coverage * 1000,
                roll_minutes=joint.area_mm2 / MM2_PER_FT2 / default("glue.roll"),
            )
            for joint in found
        ),
        open_minutes=job.glue.open_time,
        set_hours=default("glue.set"),
        keep_out=job.glue.keep_out,
    )
