"""Strands and tongues: not too long for their width, and no part of the face on one strand alone?"""

from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, between, mm_up
from filigree.job import Limits, limits_in
from filigree.measure import Measures, Neck, Strand
from filigree.units import mm_down


def check(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find slender strands and tongues, and parts that hang on one bridge (handbook 2.2, 6.5).

    Tongues on an inlay that is glued behind the face may be longer than unglued ones.
    """
    found = []
    for strand in measures.strands:
        here = limits_in(limits, strand.at)
        most = getattr(here, _limit(strand, here))
        if strand.length > most * strand.mean * (1 + NOISE):
            found.append(_slender(strand, most, here))
    for neck in measures.necks:
        if neck.alone <= 0:
            continue
        here = limits_in(limits, neck.middle)
        wanted = here.lone * here.bridge.good
        if neck.alone >= here.island_area_mm2 and NOISE < neck.width < wanted - NOISE:
            found.append(_lone(neck, wanted, here))
    return tuple(found)


def _limit(strand: Strand, limits: Limits) -> str:
    """Name of the limit that a strand goes by."""
    if strand.kind == "strand":
        return "strand"
    return "tongue_glued" if limits.glued else "tongue"


def _slender(strand: Strand, most: float, limits: Limits) -> Finding:
    long, wide = mm_up(strand.length), mm_down(strand.mean)
    if strand.kind == "tongue":
        held = limits.glued or strand.length > limits.tongue_glued * strand.mean * (1 + NOISE)
        glue = "" if held else ", or glue the inlay behind it"
        say = (
            f"This tongue is {long} mm long and {wide} mm wide: widen it to {mm_up(strand.length / most)} mm, "
            f"or tie its tip{glue}."
        )
    else:
        say = f"This strand runs {long} mm between supports and is {wide} mm wide: widen it to {mm_up(strand.length / most)} mm, or tie it half-way."
    return Finding(
        check=strand.kind,
        severity="caution",
        at=strand.at,
        measured=strand.length / strand.mean,
        wanted=most,
        say=say,
        why=limits.why.get(_limit(strand, limits), "") + _bed(strand, limits),
        unit="",
    )


def _bed(strand: Strand, limits: Limits) -> str:
    if strand.kind == "strand":
        return ""
    return ", glued" if limits.glued else ", unglued"


def _lone(neck: Neck, wanted: float, limits: Limits) -> Finding:
    return Finding(
        check="lone-bridge",
        severity="caution",
        at=neck.middle,
        measured=neck.width,
        wanted=wanted,
        say=(
            f"{mm_down(neck.alone, 0)} mm2 of face hang on the bridge {between(neck.between)} alone: widen it "
            f"from {mm_down(neck.width)} to {mm_up(wanted)} mm, or tie that part in a second place."
        ),
        why=f"{limits.why.get('lone', '')} ({limits.bridge.why})",
        ends=(neck.start, neck.end),
    )
