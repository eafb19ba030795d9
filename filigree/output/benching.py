"""Benching: what the bench needs, as rows of the report, rounded as it is printed."""

from filigree.output.report import (
    BenchRow,
    GlueRow,
    JointRow,
    PunchRow,
    SheetRow,
    StackRow,
    StitchRow,
    mm,
    up,
)
from filigree.plies.bench import Bench, Cement, Sheet
from filigree.plies.punch import trade_number
from filigree.units import MM2_PER_DM2, MM2_PER_FT2


def bench_row(bench: Bench) -> BenchRow:
    """Fold the bench facts into the report: needs are rounded up, sizes to the nearest."""
    stack = bench.stack
    return BenchRow(
        sheets=tuple(_sheet(sheet) for sheet in bench.sheets),
        stack=StackRow(
            thickness_mm=(round(stack.thickness.low, 2), round(stack.thickness.high, 2)),
            plies=stack.plies,
            mass_g=round(stack.total_g, 1),
            loose=round(stack.loose, 2),
            bonded=round(stack.bonded, 2),
            skive=bench.skive,
            lengths_mm=tuple(round(length, 1) for length in bench.lengths),
            cost=None if bench.cost is None else up(bench.cost, 2),
        ),
        stitch=_stitch(bench),
        punches=tuple(
            PunchRow(diameter_mm=size, trade=trade_number(size), count=count)
            for size, count in bench.punches.counts
        ),
        hardware=tuple(
            PunchRow(diameter_mm=size, trade=trade_number(size), count=count)
            for size, count in bench.hardware
        ),
        corners=bench.punches.corners,
        corners_by_blade=len(bench.punches.knife_only),
        glue=_glue(bench.cement),
        cautions=bench.cautions,
    )


def _glue(cement: Cement) -> GlueRow:
    bonds = cement.bonds
    return GlueRow(
        area_dm2=up(sum(b.area_mm2 for b in bonds) / MM2_PER_DM2, 2),
        spread_dm2=up(sum(b.spread_mm2 for b in bonds) / MM2_PER_DM2, 2),
        volume_ml=up(sum(b.volume_ml for b in bonds)),
        open_min=cement.open_minutes,
        roll_min=up(sum(b.roll_minutes for b in bonds)),
        keep_out_mm=mm(cement.keep_out),
        set_h=cement.set_hours,
        joints=tuple(
            JointRow(
                plies=bond.plies,
                area_dm2=up(bond.area_mm2 / MM2_PER_DM2, 2),
                spread_dm2=up(bond.spread_mm2 / MM2_PER_DM2, 2),
                volume_ml=up(bond.volume_ml),
                roll_min=up(bond.roll_minutes),
            )
            for bond in bonds
        ),
    )


def _sheet(sheet: Sheet) -> SheetRow:
    span = sheet.ply.thickness
    return SheetRow(
        ply=sheet.ply.ply,
        file=sheet.ply.file,
        leather=sheet.kind.name,
        tannage=sheet.kind.tannage,
        colour=sheet.ply.colour,
        thickness=f"{span.low:.2f}-{span.high:.2f} mm"
        if span.high > span.low
        else f"{span.low:.2f} mm",
        width_mm=round(sheet.width, 1),
        height_mm=round(sheet.height, 1),
        gross_dm2=up(sheet.gross_mm2 / MM2_PER_DM2, 2),
        gross_ft2=up(sheet.gross_mm2 / MM2_PER_FT2, 2),
        net_dm2=round(sheet.net_mm2 / MM2_PER_DM2, 2),
        net_ft2=round(sheet.net_mm2 / MM2_PER_FT2, 2),
        mass_g=round(sheet.mass_g, 1),
        cost=None if sheet.cost is None else up(sheet.cost, 2),
    )


def _stitch(bench: Bench) -> StitchRow | None:
    sewing = bench.sewing
    if sewing is None:
        return None
    return StitchRow(
        length_mm=round(sewing.length, 1),
        pitch_mm=round(sewing.pitch, 2),
        stitches=sewing.stitches,
        holes=sewing.holes,
        in_openings=sewing.in_openings,
        inset_mm=round(sewing.inset, 2),
        thread_mm=up(sewing.thread, 0),
        tails_mm=sewing.tails,
        thread_size_mm=sewing.thread_size,
        needle=sewing.needle,
    )
