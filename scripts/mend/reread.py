"""Reread: the mended face as it is written, read in again as if it were new art."""

import tempfile
from dataclasses import dataclass
from pathlib import Path

from filigree.drawing.read import read
from filigree.geometry.curves import Source
from filigree.job import Choose, CutLoss, Job, Limits
from filigree.mend.mend import mend
from filigree.output.markup import path_data
from filigree.pattern import Pattern, pattern_of
from filigree.pipeline.fields import chosen_fields, divided
from filigree.plies.lines import closeness, edge_cut, opening_cut


@dataclass(frozen=True, slots=True, kw_only=True)
class Reread:
    """What mending does to a mended face that was written and read again.

    Attributes:
        necks: strands that it widens.
        short: the most by which one of them falls short, mm.
        area: leather that it adds, mm2.
        alike: the guess opens the same fields, with nothing picked.
    """

    necks: int
    short: float
    area: float
    alike: bool


def face_svg(pattern: Pattern) -> str:
    """Write openings and outline as `face.svg` has them for a face that is cut by knife."""
    source = Source(pattern.curves)
    within = closeness(pattern.openings)
    cuts = (
        opening_cut(pattern.openings, source, stand_back=0.0, kerf=0.0),
        edge_cut("outline", [pattern.outline], source, kerf=0.0, within=within),
    )
    left, top, right, bottom = pattern.outline.bounds
    wide, tall = right - left + 10, bottom - top + 10
    paths = "".join(f'<path d="{path_data(p)}"/>\n' for cut in cuts for p in cut.paths)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{tall}mm" '
        f'viewBox="{left - 5} {top - 5} {wide} {tall}">\n'
        f'<g fill="none" stroke="#000000" stroke-width="0.1">\n{paths}</g></svg>\n'
    )


def reread(pattern: Pattern, job: Job, limits: Limits, loss: CutLoss) -> Reread:
    """Write a mended pattern, read it as new art, and mend that."""
    left, top, _, _ = pattern.outline.bounds
    at = tuple((o.at[0] - left + 5, o.at[1] - top + 5) for o in pattern.openings)
    with tempfile.TemporaryDirectory() as folder:
        art = Path(folder) / "face.svg"
        art.write_text(face_svg(pattern), encoding="utf-8")
        drawing, regions = divided(read(art, job), job)
    picked = Job(face=job.face, cut=job.cut, limits=job.limits, choose=Choose(open=at))
    choices = chosen_fields(picked, drawing, regions)
    guessed = chosen_fields(job, drawing, regions)
    again = pattern_of(regions, choices, drawing=drawing, inlay="red")
    free = pattern_of(regions, guessed, drawing=drawing, inlay="red")
    if again is None or free is None:
        raise ValueError("the face that was written has no outline")
    done = mend(again, limits, loss=loss, first_free=len(regions.regions) + 1)
    short = [c.after - c.before for c in done.changes if c.how == "widen"]
    return Reread(
        necks=len(done.changes),
        short=max(short, default=0.0),
        area=float(done.pattern.land.area - again.land.area),
        alike={o.id for o in free.openings} == {o.id for o in again.openings},
    )
