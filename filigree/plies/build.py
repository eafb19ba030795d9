"""Build: from a pattern and a job to the plies that are cut."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from filigree.geometry.curves import NO_CURVES, Source
from filigree.geometry.types import Area
from filigree.job import CutLoss, Hole, Job, Leather, loss_of
from filigree.measure.ascut import as_cut
from filigree.pattern import Pattern
from filigree.plies.hardware import centres, hardware_cut, on_piece, through
from filigree.plies.inlay import file_name, patches
from filigree.plies.leathers import kind_of
from filigree.plies.lines import Sheet, closeness, edge_cut, hole_cut, opening_cut
from filigree.plies.model import Cut, Plies, Ply
from filigree.plies.stitch import HOLE, punched, stitch_line
from filigree.plies.stock import Stock, stock_of
from filigree.plies.tooling import before_tooling
from filigree.units import Span

PLAIN = Source(NO_CURVES)
_OUTWARD: Mapping[str, tuple[str, Literal["grain", "flesh"]]] = {  # backing, by where a nap looks
    "": ("Cut from the grain side, mirrored, since its grain looks away from the face.", "grain"),
    "out": ("Cut from the nap side, mirrored, since its nap looks away from the face.", "flesh"),
    "in": (
        "Cut from the side without nap, mirrored, since its nap looks toward the face.",
        "grain",
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Bench:
    """What every ply of one piece is made from."""

    pattern: Pattern
    source: Source
    job: Job
    stock: Stock
    loss: CutLoss
    holes: tuple[Hole, ...]


def build(pattern: Pattern, job: Job) -> Plies:
    """Work out every ply of a piece, ready to be written.

    Plies lie on sheets of one size with the drawing at one place, so that pin holes fall together. Each is cut
    with the side up that looks outward (handbook 2.6): face and inlays as they show, the backing mirrored, from
    its grain side. Suede has its nap on the flesh side, so with the nap outward (handbook 3.3) it is cut from there.

    Raises:
        FiligreeError: the margin has no room for the pins, the outline none for the stitch line, or a leather is
            not in the table.
    """
    bench = _Bench(
        pattern=pattern,
        source=Source(pattern.curves),
        job=job,
        stock=stock_of(pattern.outline, job),
        loss=loss_of(job),
        holes=on_piece(job.use.holes, pattern.outline),
    )
    return (_face(bench), *_trim(bench), *_inlays(bench), *_stiffener(bench), _backing(bench))


def _face(bench: _Bench) -> Ply:
    """The face: openings, with blank and pins, or with the outline when it is trimmed before lining."""
    job, stock, loss = bench.job, bench.stock, bench.loss
    drawn = as_cut(bench.pattern, loss).land
    holes = through(bench.holes, drawn)
    spots = np.vstack([stock.pins, centres(holes)])
    pattern, blank, spots, shrunk = before_tooling(bench.pattern, stock.blank, spots, job)
    pins, rest = np.split(spots, [len(stock.pins)])
    hardware = hardware_cut(holes, rest, kerf=loss.kerf)
    source = bench.source if pattern is bench.pattern else Source(pattern.curves)
    openings = opening_cut(pattern.openings, source, stand_back=loss.bevel, kerf=loss.kerf)
    if job.cut.trim == "before":
        edge = _outline_cut(pattern, source, loss)
        cuts = [*hardware, openings, edge]
        when = "cut to its outline before lining"
    else:
        cuts = [
            hole_cut("pins", pins, stock.pin, kerf=loss.kerf),
            *hardware,
            openings,
            edge_cut("blank", [blank], PLAIN, kerf=loss.kerf),
        ]
        when = "trimmed after lining, by trim.svg"
    lost = sorted({o.id for o in pattern.openings} - set(openings.owners))
    none = f" Too narrow to be cut: {', '.join(map(str, lost))}." if lost else ""
    return _ply(
        bench,
        "face",
        title="Face",
        note=f"Cut from the grain side, not mirrored; {when}. {_where(loss)}{shrunk}{none}",
        colour=job.face.colour,
        thickness=job.face.span,
        cuts=cuts,
        shape=drawn,
    )


def _outline_cut(pattern: Pattern, source: Source, loss: CutLoss) -> Cut:
    within = closeness(pattern.openings)
    return edge_cut("outline", [pattern.outline], source, kerf=loss.kerf, within=within)


def _where(loss: CutLoss) -> str:
    """Say where the openings are cut, and where the paths of the file lie."""
    back = f"{loss.bevel:g} mm inside the drawn line" if loss.bevel else "on the drawn line"
    path = (
        f"; the paths lie {'another ' if loss.bevel else ''}{loss.kerf / 2:g} mm inside it, half the kerf"
        if loss.kerf
        else ""
    )
    return f"Openings are cut {back}{path}."


def _trim(bench: _Bench) -> list[Ply]:
    """What is cut through the glued stack: stitch holes and the final outline."""
    job, pattern, loss = bench.job, bench.pattern, bench.loss
    cuts = []
    lost = 0
    if job.stitch is not None:
        line = stitch_line(pattern.outline, job)
        holes = punched(line, as_cut(pattern, loss).openings)
        lost = len(line.holes) - len(holes)
        if len(holes):
            cuts.append(hole_cut("stitch-holes", holes, HOLE, kerf=loss.kerf))
    if job.cut.trim == "after":
        cuts.append(_outline_cut(pattern, bench.source, loss))
    if not cuts:
        return []
    plies = [job.face, job.inlay, job.backing, *([job.stiffener] if job.stiffener else [])]
    return [
        _ply(
            bench,
            "trim",
            title="Trim",
            note="Cut from the grain side of the face through all plies, not mirrored, after lining."
            + (f" {_left_out(lost)}" if lost else ""),
            colour="",
            thickness=Span(sum(p.span.low for p in plies), sum(p.span.high for p in plies)),
            cuts=cuts,
            shape=pattern.outline,
        )
    ]


def _left_out(holes: int) -> str:
    """Say that stitch holes are missing."""
    if holes == 1:
        return "1 stitch hole would fall into an opening and is left out."
    return f"{holes} stitch holes would fall into openings and are left out."


def _inlays(bench: _Bench) -> list[Ply]:
    """One ply a colour: a whole sheet when there is one, else patches that meet under the face."""
    pattern, job = bench.pattern, bench.job
    nap = _nap(job.inlay, job)
    lies = f"Cut {'from the nap side, which shows' if nap else 'with the side that shows upwards'}, not mirrored"
    side: Literal["grain", "flesh"] = "flesh" if nap else "grain"
    colours = list(dict.fromkeys(o.inlay or job.inlay.colour for o in pattern.openings))
    if len(colours) < 2:
        colour = colours[0] if colours else job.inlay.colour
        return [
            _ply(
                bench,
                "inlay",
                file=f"{file_name(colour, [])}.svg",
                title=f"Inlay, {colour}",
                note=f"{lies}; laid under the face on the pins.",
                colour=colour,
                thickness=job.inlay.span,
                cut_from=side,
                cuts=_sheet(bench),
                shape=pattern.outline,
            )
        ]
    plies: list[Ply] = []
    for patch in patches(pattern, job.inlay.colour):
        name = file_name(patch.colour, [p.file for p in plies])
        kerf, holes = bench.loss.kerf, through(bench.holes, patch.shape)
        cut = edge_cut("patches", patch.parts, Source(patch.curves), kerf=kerf)
        plies.append(
            _ply(
                bench,
                "inlay",
                file=f"{name}.svg",
                title=f"Inlay, {patch.colour}",
                note=f"{lies}; patches meet under the face and are laid by the glue map.",
                colour=patch.colour,
                thickness=job.inlay.span,
                cut_from=side,
                cuts=[*hardware_cut(holes, centres(holes), kerf=kerf), cut],
                shape=patch.shape,
            )
        )
    return plies


def _stiffener(bench: _Bench) -> list[Ply]:
    leather = bench.job.stiffener
    if leather is None:
        return []
    return [
        _ply(
            bench,
            "stiffener",
            title="Stiffener",
            note="Cut from the grain side, not mirrored; lies between inlay and backing.",
            colour=leather.colour,
            thickness=leather.span,
            cuts=_sheet(bench),
            shape=bench.pattern.outline,
        )
    ]


def _nap(leather: Leather, job: Job) -> bool:
    return kind_of(leather, job.leathers).nap


def _backing(bench: _Bench) -> Ply:
    """The backing, whose outward side lies up: the nap of suede that is worn nap out, else the grain."""
    job = bench.job
    note, side = _OUTWARD[job.backing.nap if _nap(job.backing, job) else ""]
    return _ply(
        bench,
        "backing",
        title="Backing",
        note=note,
        colour=job.backing.colour,
        thickness=job.backing.span,
        cut_from=side,
        cuts=_sheet(bench),
        shape=bench.pattern.outline,
        mirrored=True,
    )


def _sheet(bench: _Bench) -> list[Cut]:
    """A whole oversize ply: pin holes, holes for hardware and blank."""
    stock, kerf = bench.stock, bench.loss.kerf
    return [
        hole_cut("pins", stock.pins, stock.pin, kerf=kerf),
        *hardware_cut(bench.holes, centres(bench.holes), kerf=kerf),
        edge_cut("blank", [stock.blank], PLAIN, kerf=kerf),
    ]


def _ply(
    bench: _Bench,
    ply: Literal["face", "trim", "inlay", "backing", "stiffener"],
    *,
    title: str,
    note: str,
    colour: str,
    thickness: Span,
    cuts: Sequence[Cut],
    shape: Area,
    file: str = "",
    cut_from: Literal["grain", "flesh"] = "grain",
    mirrored: bool = False,
) -> Ply:
    """Lay the cuts of one ply onto its sheet."""
    stock = bench.stock
    sheet = Sheet(size=stock.size, offset=stock.offset, mirrored=mirrored)
    return Ply(
        ply=ply,
        file=file or f"{ply}.svg",
        title=title,
        note=note,
        colour=colour,
        thickness=thickness,
        cut_from=cut_from,
        mirrored=mirrored,
        cuts=tuple(sheet.placed(cut) for cut in cuts),
        shape=shape,
        area_mm2=float(shape.area),
        size=stock.size,
        offset=stock.offset,
    )
