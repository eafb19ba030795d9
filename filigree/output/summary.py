"""Summary: every noun of the road folded into one `Report`."""

from collections.abc import Sequence

from filigree.checks.finding import Finding
from filigree.colour.palette import hex_of
from filigree.drawing.model import Drawing
from filigree.job import ASSUMED_FACE, Job, Limits, loss_of
from filigree.measure import Measures
from filigree.measure.stiffness import bonded
from filigree.mend.advice import Advice
from filigree.mend.model import Mended
from filigree.output.benching import bench_row
from filigree.output.report import (
    BridgeRow,
    ChangeRow,
    DrawingRow,
    FaceRow,
    FindingRow,
    GapRow,
    IslandRow,
    LoadRow,
    LostRow,
    MendedRow,
    OpeningRow,
    PlyRow,
    RegionRow,
    Report,
    SectionRow,
    SkippedRow,
    SolidRow,
    StrandRow,
    TidiedRow,
    UnmendedRow,
    mm,
    mm_floor,
    place,
)
from filigree.pattern import Opening, Pattern
from filigree.plies.lie import way_said
from filigree.plies.model import Ply
from filigree.regions.model import RegionMap
from filigree.units import MM2_PER_DM2, counted
from filigree.worked import Worked


def summary(worked: Worked) -> Report:
    """Fold everything into the report; nothing is computed here but the verdict and the open share."""
    pattern, measures = worked.pattern, worked.measures
    cut = worked.cut
    openings = cut.openings if cut else ()
    for opening in pattern.openings if pattern else ():  # an unknown colour is told before writing
        hex_of(opening.inlay, where=f"colour behind opening {opening.id}")
    outline = pattern.outline.area if pattern else 0.0
    return Report(
        drawing=_drawing(worked.drawing, worked.regions),
        face=_face(worked.job, worked.limits),
        regions=_regions(worked),
        solids=_solids(worked),
        openings=_openings(pattern, openings),
        open_share=mm(sum(o.area_mm2 for o in openings) / outline) if outline else 0.0,
        open_area_dm2=round(sum(o.area_mm2 for o in openings) / MM2_PER_DM2, 2),
        bevel_mm=mm(loss_of(worked.job).bevel),
        holes=len(openings),
        bridges=tuple(
            BridgeRow(
                width_mm=mm_floor(n.width),
                start=place(n.start),
                end=place(n.end),
                between=n.between,
            )
            for n in (measures.necks if measures else ())
        ),
        islands=tuple(
            IslandRow(area_mm2=mm(i.area_mm2), at=place(i.at))
            for i in (measures.islands if measures else ())
        ),
        findings=tuple(_finding(f) for f in worked.findings),
        holds=all(f.severity != "stop" for f in worked.findings),
        verdict=verdict(worked.findings),
        section=_section(measures),
        load=_load(worked),
        mended=_mended(worked.mended, worked.advice),
        bench=None if worked.bench is None else bench_row(worked.bench),
        plies=tuple(_ply(p) for p in worked.plies),
    )


def _openings(pattern: Pattern | None, cut: Sequence[Opening]) -> tuple[OpeningRow, ...]:
    """One row an opening as drawn, with what is cut of it."""
    parts: dict[int, list[Opening]] = {}
    for one in cut:
        parts.setdefault(one.id, []).append(one)
    return tuple(
        OpeningRow(
            id=o.id,
            regions=o.regions,
            area_mm2=mm(sum(part.area_mm2 for part in own)),
            at=place(max(own, key=lambda part: part.area_mm2, default=o).at),
            inlay=o.inlay,
            holes=len(own),
        )
        for o in (pattern.openings if pattern else ())
        for own in (parts.get(o.id, []),)
    )


def _regions(worked: Worked) -> tuple[RegionRow, ...]:
    return tuple(
        RegionRow(
            id=r.id,
            kind=c.kind,
            area_mm2=mm(r.area_mm2),
            at=place(r.at),
            how=c.how,
            sure=mm(c.sure),
            edge=r.edge,
        )
        for r, c in zip(worked.regions.regions, worked.choices, strict=True)
        if not r.solid
    )


def _solids(worked: Worked) -> tuple[SolidRow, ...]:
    return tuple(
        SolidRow(
            id=r.id,
            kind=c.kind,
            area_mm2=mm(r.area_mm2),
            at=place(r.at),
            how=c.how,
            sure=mm(c.sure),
        )
        for r, c in zip(worked.regions.regions, worked.choices, strict=True)
        if r.solid
    )


def _ply(ply: Ply) -> PlyRow:
    return PlyRow(
        ply=ply.ply,
        file=ply.file,
        area_mm2=mm(ply.area_mm2),
        width_mm=mm(ply.size[0]),
        height_mm=mm(ply.size[1]),
        cut_from=ply.cut_from,
        mirrored=ply.mirrored,
        thickness_mm=(mm(ply.thickness.low), mm(ply.thickness.high)),
    )


def _drawing(drawing: Drawing, regions: RegionMap) -> DrawingRow:
    gaps = [t for t in regions.tidied if t.what == "gap closed"]
    rest = [t for t in regions.tidied if t.what != "gap closed"]
    return DrawingRow(
        file=drawing.name,
        width_mm=mm(drawing.width),
        height_mm=mm(drawing.height),
        scale_from=drawing.scale_from,
        skipped=tuple(SkippedRow(what=s.what, why=s.why) for s in drawing.skipped),
        gaps_closed=(
            *(GapRow(at=place(c.at), length_mm=mm(c.length)) for c in drawing.closed),
            *(GapRow(at=place(g.at), length_mm=mm(g.length)) for g in gaps),
        ),
        tidied=tuple(TidiedRow(what=t.what, at=place(t.at), length_mm=mm(t.length)) for t in rest),
        dark=drawing.dark,
        dark_sure=mm(drawing.dark_sure),
        outlines=len(regions.outlines) + (regions.outline is not None),
    )


def _face(job: Job, limits: Limits) -> FaceRow:
    span = job.face.span
    return FaceRow(
        thickness=job.face.thickness or ASSUMED_FACE,
        thickness_mm=(mm(span.low), mm(span.high)),
        assumed=job.face.assumed,
        way=job.cut.way,
        bridge_wanted_mm=mm(limits.bridge.good),
        bridge_stop_mm=mm(limits.bridge.stop),
        why=limits.bridge.why,
    )


def _finding(finding: Finding) -> FindingRow:
    down = mm_floor if finding.unit == "mm" else mm
    return FindingRow(
        check=finding.check,
        severity=finding.severity,
        at=place(finding.at),
        measured_mm=down(finding.measured),
        wanted_mm=mm(finding.wanted),
        say=finding.say,
        why=finding.why,
        unit=finding.unit,
    )


def _section(measures: Measures | None) -> SectionRow | None:
    section = measures.section if measures else None
    if section is None:
        return None
    return SectionRow(
        width_mm=mm_floor(section.width),
        share=mm_floor(section.share),
        line=tuple(place(p) for p in section.line),
    )


def _load(worked: Worked) -> LoadRow | None:
    load = worked.load
    if load is None:
        return None
    job = worked.job
    behind = [job.inlay, job.backing, *([job.stiffener] if job.stiffener is not None else [])]
    return LoadRow(
        pull=way_said(load.along),
        stiffness=mm(load.stiffness),
        bonded=mm(
            bonded(
                load.stiffness,
                face=job.face.span.middle,
                behind=[ply.span.middle for ply in behind],
            )
        ),
        hardest=tuple(
            StrandRow(at=place(s.at), share=mm(s.share), intensity=mm(s.intensity), rank=s.rank)
            for s in load.hardest
        ),
    )


def _mended(mended: Mended | None, advice: Advice | None) -> MendedRow | None:
    if mended is None:
        return None
    return MendedRow(
        changes=tuple(
            ChangeRow(
                how=c.how,
                at=place(c.at),
                why=c.why,
                before_mm=mm_floor(c.before),
                after_mm=mm_floor(c.after),
                lost=tuple(LostRow(opening=i, area_mm2=mm(area)) for i, area in c.lost),
            )
            for c in mended.changes
        ),
        unmended=tuple(
            UnmendedRow(
                at=place(u.at), why=u.why, width_mm=mm_floor(u.width), wanted_mm=mm(u.wanted)
            )
            for u in mended.unmended
        ),
        filled=mended.filled,
        advice="" if advice is None else advice.say,
    )


def verdict(findings: Sequence[Finding]) -> str:
    """Say whether a face meets its limits, with the first stop."""
    stops = [f for f in findings if f.severity == "stop"]
    cautions = len(findings) - len(stops)
    tail = f"; {counted(cautions, 'caution')}" if cautions else ""
    if not stops:
        return f"Meets the limits{tail}."
    more = f" ({counted(len(stops), 'stop')}{tail})" if len(stops) > 1 or cautions else ""
    return f"Does not meet the limits: {stops[0].say}{more}"
